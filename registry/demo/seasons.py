"""Eighteen months of work: pairs go in, come out and are swapped, ashore and at sea, a few of them entered late."""

from typing import NamedTuple

from registry.demo.alignments import Aligning
from registry.demo.hand import Hand
from registry.demo.outfit import METERS, PAIRS, READ_WITH, START, VEHICLES, calibrate
from registry.demo.verifications import carry_out, planned

KIND = {name: kind for kind, names in PAIRS.items() for name in names}
TAKES = {
    f"{vehicle} {letter}": types for vehicle, (*_rest, bays) in VEHICLES.items() for letter, _m, types, _use in bays
}
#: (days before the anchor, vehicle): voyages aboard, fourteen days each.
VOYAGES = [
    (-400, "Teasel"),
    (-352, "Burdock"),
    (-300, "Yarrow"),
    (-236, "Teasel"),
    (-171, "Mallow"),
    (-118, "Burdock"),
    (-61, "Teasel"),
]


class Seat(NamedTuple):
    """A pair that went into a bay: when somebody else may look at it, and who put it in."""

    bay: str
    day: float
    who: str
    entered: float = 0.0
    aboard: bool = False
    clock: str = "09:45"


class Seasons:
    """What sits where as the months go by, so that every act in the script is a lawful one."""

    def __init__(self, hand: Hand):
        self.hand = hand
        self.inside: dict[str, str] = {}
        self.aside: set[str] = set()  # pairs that an incident has taken out of circulation
        self.turn = 0
        self.aligning = Aligning(hand)
        self.seats: list[Seat] = []
        self.last: dict[str, float] = {}  # pair -> the day it came out last

    def technician(self) -> str:
        self.turn += 1
        return ("Ida Brekke", "Yusuf Lind")[self.turn % 2]

    def free(self, bay: str, day: float) -> str | None:
        """The pair that has lain longest on a shelf and fits this bay."""
        received = {name: START + 4 + number * 9 for number, name in enumerate(KIND)}
        taken = {*self.inside.values(), *self.aside}
        fitting = [
            name for name, kind in KIND.items() if kind in TAKES[bay] and name not in taken and received[name] < day - 2
        ]
        return min(fitting, key=lambda name: (self.last.get(name, START), name), default=None)

    def sign(self, who: str, day: float, clock: str, station: str, entered: float = 0.0) -> None:
        """The readings of a good day, a little different each time."""
        dice = self.hand.dice
        strap = f"{dice.uniform(1.4, 9.8):.1f}"
        more = (
            {"surface_mohm": f"{dice.uniform(12, 260):.0f}", "field_kv_m": f"{dice.uniform(0.1, 1.8):.1f}"}
            if station.endswith("ench") or station == "Bench 2"
            else {"bond_mohm": f"{dice.uniform(3, 60):.0f}", "insulators_cleared": True, "gloves_on": True}
        )
        self.hand.do(
            "sign_esd",
            day,
            clock,
            by=who,
            entered=entered,
            station=station,
            strap_mohm=strap,
            meters=READ_WITH[station],
            **more,
        )

    def check(self, station: str, day: float) -> None:
        """The periodic check: every three months at a bench, before each voyage for a kit."""
        dice = self.hand.dice
        read = {"surface_mohm": f"{dice.uniform(20, 200):.0f}", "field_kv_m": f"{dice.uniform(0.1, 1.2):.1f}"}
        read |= {"bond_mohm": f"{dice.uniform(2, 30):.0f}"} if station == "Kit 1" else {}
        self.hand.do(
            "check_station", day, "06:30", by="Oda Fenn", station=station, looks_sound=True, meters=READ_WITH[station], **read
        )  # fmt: skip

    def station_for(self, vehicle: str, aboard: bool) -> str:
        return "Kit 1" if aboard else "Bench 2" if VEHICLES[vehicle][3] == "North shed" else "Quay bench"

    def work(self, bay: str, day: float, *, aboard: bool = False, entered: float = 0.0) -> None:
        """Install or swap one bay, then close and leak-test its housing."""
        vehicle, letter = bay.rsplit(" ", 1)
        pair = self.free(bay, day)
        if pair is None:
            return
        who, hand = self.technician(), self.hand
        offset = 1 if aboard and self.turn % 3 == 0 else 0
        self.sign(who, day, "07:40", self.station_for(vehicle, aboard), entered)
        old = self.inside.get(bay)
        told = {"by": who, "entered": entered, "offset_h": offset, "bay": bay}
        if old:
            hand.do(
                "swap_pairs",
                day,
                "09:25",
                sensor_out=f"{old} S",
                electronics_out=f"{old} E",
                removed_at=hand.at(day, "08:50"),
                sensor_in=f"{pair} S",
                electronics_in=f"{pair} E",
                **told,
            )
            self.last[old] = day
        else:
            hand.do("install_pair", day, "09:25", sensor=f"{pair} S", electronics=f"{pair} E", **told)
        self.inside[bay] = pair
        self.seats.append(Seat(bay, day, who, entered, aboard))
        self.close(vehicle, letter, day, who, entered)
        self.aligning.after_install(bay, pair, day, who, entered, swapped=bool(old))

    def close(self, vehicle: str, letter: str, day: float, who: str, entered: float = 0.0) -> None:
        """Shut, and tested with a change that the temperature explains but for a little."""
        housing = self.housing(vehicle, letter)
        dice = self.hand.dice
        self.hand.do(
            "close_housing",
            day,
            "10:20",
            by=who,
            entered=entered,
            housing=housing,
            words="Seals new, faces wiped, desiccant changed.",
        )
        start, warm = dice.uniform(752, 768), dice.uniform(-0.8, 0.9)
        end = start * (293.15 + warm) / 293.15 + dice.uniform(0.1, 1.3)
        self.hand.do(
            "record_leak_test", day, "11:20", by=who, entered=entered, housing=housing, start_mbar=f"{start:.1f}", start_c="20.0",
            end_mbar=f"{end:.1f}", end_c=f"{20 + warm:.1f}", hold_min="30",
        )  # fmt: skip

    @staticmethod
    def housing(vehicle: str, letter: str) -> str:
        bays = VEHICLES[vehicle][4]
        return f"{vehicle} main" if len(bays) == 1 else f"{vehicle} {'forward' if letter == bays[0][0] else 'aft'}"

    def voyage(self, day: float, vehicle: str) -> None:
        """Aboard, a swap at sea entered days later, and home again."""
        hand, home = self.hand, VEHICLES[vehicle][3]
        hand.do("move_vehicle", day, "06:00", by="Tomas Oyelaran", vehicle=vehicle, site="Halcyon Tern")
        bay = f"{vehicle} {VEHICLES[vehicle][4][0][0]}"
        spare = self.free(bay, day)
        if spare:
            hand.do(
                "move_halves",
                day,
                "06:10",
                by="Oda Fenn",
                halves=[f"{spare} S", f"{spare} E"],
                site="Halcyon Tern",
                spot="instrument locker",
            )
        self.work(bay, day + 6, aboard=True, entered=5.0)
        hand.do("move_vehicle", day + 14, "18:00", by="Tomas Oyelaran", vehicle=vehicle, site=home)

    def look(self, bay: str, day: float) -> None:
        """An auditor scans what is in a bay; the record holds."""
        pair = self.inside.get(bay)
        if pair:
            self.hand.do(
                "record_sighting", day, "14:00", by="Anselm Quay", bay=bay, sensor=f"{pair} S", electronics=f"{pair} E"
            )


def live(hand: Hand) -> Seasons:
    """The ordinary months, up to six weeks before the anchor."""
    seasons = Seasons(hand)
    plan: list[tuple[float, str, str]] = [(day, "voyage", vehicle) for day, vehicle in VOYAGES]
    for number, bay in enumerate(TAKES):
        plan += [
            (START + 170 + number * 3 + turn * 47, "work", bay)
            for turn in range(8)
            if START + 170 + number * 3 + turn * 47 < -45
        ]
        plan.append((-200.0 + number * 4, "look", bay))
    plan += [(day - 1, "check", "Kit 1") for day, _vehicle in VOYAGES]
    plan += [(float(day), "check", name) for name in ("Bench 2", "Quay bench") for day in range(START + 160, -45, 85)]
    plan += [(START + 290.0, "calibrate", name) for name in METERS]
    plan += planned()
    away = [(day - 1, day + 16, vehicle) for day, vehicle in VOYAGES]
    for day, what, where in sorted(plan):
        if what == "voyage":
            seasons.voyage(day, where)
        elif what == "check":
            seasons.check(where, day)
        elif what == "calibrate":
            calibrate(hand, where, day, "06:00")
        elif what == "verify":
            carry_out(hand, day, where)
        elif not any(since <= day <= until and where.startswith(vehicle) for since, until, vehicle in away):
            seasons.work(where, day) if what == "work" else seasons.look(where, day)
    return seasons
