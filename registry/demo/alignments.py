"""How the bays of the invented outfit are mounted, and what follows each install: signs looked at, alignment entered,
carried over on dowels, confirmed by the next mission; one fitted to directions, one to a DVL run, one left outside."""

import math
from decimal import Decimal
from typing import Any

from registry.demo.hand import Hand
from registry.demo.outfit import PAIRS, START, VEHICLES

#: Bays whose roll is judged, too.
_MULTIBEAM = ("Teasel A", "Tansy A")
#: Bays without dowels: every unit in them is measured anew.
_NO_DOWELS = ("Campion A", "Yarrow B")
_SQUARE, _ACROSS = "forward starboard down", "starboard aft down"
_RIGHT = {"bow_down": "pitch_down", "roll_right": "roll_right", "turn": "rises"}
_SIGMA = "0.008"


def bays() -> list[str]:
    return [f"{vehicle} {row[0]}" for vehicle, (*_rest, listed) in VEHICLES.items() for row in listed]


def plate_of(bay: str) -> dict[str, str]:
    """Invented plate angles of a bay, a few tenths of a degree."""
    place = bays().index(bay)
    return {"roll": f"0.{3 + place:02d}", "pitch": f"-0.{11 + place:02d}", "yaw": f"0.{21 + 2 * place:02d}"}


def mount(hand: Hand) -> None:
    """Every bay as the yard surveyed it, and its lever arms."""
    on = hand.at(START + 1).date().isoformat()
    for place, bay in enumerate(bays()):
        dowels = {"dowels": "none"} if bay in _NO_DOWELS else {"dowels": "two", "dowel_play_mm": "0.05", "dowel_spacing_mm": "120"}  # fmt: skip
        told: dict[str, Any] = {f"{name}_deg": degrees for name, degrees in plate_of(bay).items()}
        told |= {f"{name}_sigma_deg": _SIGMA for name in ("roll", "pitch", "yaw")}
        measured = {
            "measured_how": f"invented yard survey {40 + place}, theodolite on the keel line",
            "measured_on": on,
        }
        by = {"by": "Tomas Oyelaran", "bay": bay}
        hand.do(
            "record_mounting",
            START + 3,
            "10:00",
            orientation=_ACROSS if place % 3 else _SQUARE,
            **told,
            **dowels,
            **measured,
            **by,
        )
        arms = {"dvl": ("-0.62", "0.04", "0.31"), "gnss": ("0.18", "-0.02", "-0.74")}
        for leads_to, (forward, starboard, down) in arms.items():
            arm = {
                "forward_m": f"{Decimal(forward) - place * Decimal('0.03')}",
                "starboard_m": starboard,
                "down_m": down,
                "sigma_m": "0.005",
            }
            hand.do("record_lever_arm", START + 3, "10:10", leads_to=leads_to, **arm, **measured, **by)


class Aligning:
    """What each stay was aligned by, so that the next may carry it over."""

    def __init__(self, hand: Hand):
        self.hand = hand
        self.aligned: dict[str, str] = {}  # bay -> the kind of the pair aligned there last

    def after_install(self, bay: str, pair: str, day: float, who: str, entered: float = 0.0, *, swapped: bool) -> None:
        """The signs, then the alignment: carried over where the bay has dowels and was aligned before, else entered."""
        kind = next(kind for kind, names in PAIRS.items() if pair in names)
        told = {"by": who, "entered": entered, "bay": bay}
        self.hand.do("record_axis_check", day, "12:05", **_RIGHT, **told)
        if swapped and self.aligned.get(bay) == kind and bay not in _NO_DOWELS:
            self.hand.do(
                "carry_alignment",
                day,
                "12:20",
                faces_clean=True,
                in_unit_yaw_deg=self._yaw(bay),
                in_unit_roll_deg=self._roll(bay),
                **told,
            )
            if day + 3 < -60 and bay != "Teasel B":  # Its missions are not looked at yet.
                run = {"residual_deg": f"{self.hand.dice.uniform(-0.02, 0.02):.3f}", "sigma_deg": "0.02"}
                if bay in _MULTIBEAM:
                    run |= {"roll_residual_deg": "0.010", "roll_sigma_deg": "0.015"}
                self.hand.do(
                    "confirm_alignment",
                    day + 3,
                    "17:00",
                    by="Vera Stroud",
                    bay=bay,
                    words="First mission, box of 3 km.",
                    **run,
                )
        else:
            sheet = {"source": f"invented factory sheet of {pair}", "north": "none", "in_unit_yaw_deg": self._yaw(bay)}
            self.hand.do("record_alignment", day, "12:20", in_unit_roll_deg=self._roll(bay), **_UNIT, **sheet, **told)
        self.aligned[bay] = kind

    @staticmethod
    def _roll(bay: str) -> str:
        return f"{Decimal(plate_of(bay)['roll']) + Decimal(_UNIT['unit_roll_deg'])}"

    @staticmethod
    def _yaw(bay: str) -> str:
        return f"{Decimal(plate_of(bay)['yaw']) + Decimal(_UNIT['unit_yaw_deg'])}"


_UNIT = {f"unit_{name}_{kind}": value for name, angle in (("roll", "0.01"), ("pitch", "0.02"), ("yaw", "0.04")) for kind, value in (("deg", angle), ("sigma_deg", _SIGMA))}  # fmt: skip


def look_closer(hand: Hand, seasons: Any) -> None:
    """The last weeks: Tansy’s DVL against RTK, Teasel’s unit against gravity and boresight, Sorrel’s yaw never corrected."""
    files = [hand.keep("invented DVL run.csv", run())]
    told = {
        "heading_north": "true",
        "reference_north": "true",
        "sound_speed_m_s": "1502",
        "measured_sound_speed_m_s": "1498",
    }
    hand.do(
        "fit_dvl_run",
        -16,
        "15:00",
        by="Yusuf Lind",
        bay="Tansy A",
        name="Tansy A run",
        files=files,
        rtk=True,
        in_unit_dvl_deg="0.62",
        **told,
    )
    pairs = _directions(bays().index("Teasel A"))
    hand.do(
        "fit_alignment",
        -9,
        "14:00",
        by="Vera Stroud",
        bay="Teasel A",
        pairs=pairs,
        source="invented: inclinometer, boresight telescope",
        north="true",
        in_unit_yaw_deg="0.27",
        in_unit_roll_deg="0.05",
    )
    sheet = {"source": "invented factory sheet, entered again", "north": "none", "in_unit_yaw_deg": "0.00"}
    hand.do("record_alignment", -8, "11:00", by="Ida Brekke", bay="Sorrel A", **_UNIT, **sheet)


def _directions(place: int) -> list[dict[str, str]]:
    """Gravity level and with the bow up, and the boresight, as a unit a little off square would see them."""
    across = bool(place % 3)
    seen = ((("-0.0017", "-0.0009", "-1"), ("0", "0", "-1")), (("1", "-0.0047", "-0.0017"), ("1", "0", "0")))
    rows = []
    for (x, y, z), (forward, starboard, down) in seen:
        unit = (y, f"{-Decimal(x)}", z) if across else (x, y, z)
        row = dict(zip(("unit_x", "unit_y", "unit_z"), unit, strict=True))
        rows.append(row | {"forward": forward, "starboard": starboard, "down": down, "sigma_deg": "0.02"})
    return rows


def run() -> bytes:
    """Four legs of 250 m with turns between, one row a second; every figure invented, and the same on every machine."""
    rows = ["time_s,heading_deg,dvl_x_m_s,dvl_y_m_s,ref_north_m_s,ref_east_m_s,bottom_lock"]
    heading = 20.0
    for wanted in (20.0, 200.0, 290.0, 470.0):
        while heading < wanted:
            heading = min(heading + 10.0, wanted)
            rows.append(_row(len(rows) - 1, heading))
        rows += [_row(len(rows) - 1 + second, heading) for second in range(190)]
    return "\n".join([*rows, ""]).encode()


def _row(second: int, heading: float) -> str:
    """The DVL points 0.65° to starboard and reads 0.4 % short; what wavers does so by whole thousandths."""
    waver = [((second * step) % 17 - 8) / 2000 for step in (5, 7, 11, 13)]
    course, off = math.radians(heading), math.radians(-0.65)
    x, y = 1.4 / 1.004 * math.cos(off) + waver[0], 1.4 / 1.004 * math.sin(off) + waver[1]
    north, east = 1.4 * math.cos(course) + waver[2], 1.4 * math.sin(course) + waver[3]
    return f"{second},{heading % 360:.1f},{x:.4f},{y:.4f},{north:.4f},{east:.4f},1"
