"""The columns of a recording: what each one is, its unit, and how that becomes the unit used here.

Headers carry the unit: `gyro_x_deg_h`, `gyro_x [deg/s]` or `ax (g)`. A column without one is refused, never guessed.
"""

import re
from dataclasses import dataclass

from registry.inertial.refusal import CannotCompute
from registry.inertial.units import FORCE_IN_M_S2, RATE_IN_DEG_H

TIME_IN_S = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}
ANGLE_IN_DEG = {"deg": 1.0, "rad": 57.29577951308232, "mrad": 0.05729577951308232}
SPEED_IN_M_S = {"m/s": 1.0, "cm/s": 0.01, "mm/s": 0.001, "kn": 1852 / 3600}
LENGTH_IN_M = {"m": 1.0, "cm": 0.01, "mm": 0.001}

#: Kind -> (unit used here, worth of each unit in it).
KINDS = {
    "time": ("s", TIME_IN_S),
    "rate": ("deg/h", RATE_IN_DEG_H),
    "force": ("m/s2", FORCE_IN_M_S2),
    "angle": ("deg", ANGLE_IN_DEG),
    "speed": ("m/s", SPEED_IN_M_S),
    "length": ("m", LENGTH_IN_M),
    "flag": ("1", {"1": 1.0}),
}
_AXIS_WORDS = {
    "rate": ("gyro", "gyr", "gyroscope", "rate", "omega", "w", "g"),
    "force": ("acc", "accel", "accelerometer", "force", "f", "a"),
}
#: Quantity -> (kind, header words for it, lower case).
QUANTITIES: dict[str, tuple[str, tuple[str, ...]]] = {
    "time": ("time", ("time", "t", "timestamp", "seconds", "elapsed")),
    **{
        f"{kind}_{axis}": (kind, tuple(f"{word}{join}{axis}" for word in words for join in ("_", "")))
        for kind, words in _AXIS_WORDS.items()
        for axis in "xyz"
    },
    "heading": ("angle", ("heading", "hdg", "yaw")),
    "pitch": ("angle", ("pitch",)),
    "roll": ("angle", ("roll",)),
    "dvl_x": ("speed", ("dvl_x", "dvl_forward", "dvl_fwd")),
    "dvl_y": ("speed", ("dvl_y", "dvl_starboard", "dvl_right")),
    "dvl_z": ("speed", ("dvl_z", "dvl_down")),
    "ref_north": ("speed", ("ref_north", "ref_n", "v_north", "vel_north", "vn")),
    "ref_east": ("speed", ("ref_east", "ref_e", "v_east", "vel_east", "ve")),
    "depth": ("length", ("depth",)),
    "bottom_lock": ("flag", ("bottom_lock", "lock")),
}
_BY_WORD = {word: name for name, (_, words) in QUANTITIES.items() for word in words}
#: Other spellings of units, as people write them.
SPELLED = {
    "°": "deg",
    "°/h": "deg/h",
    "°/s": "deg/s",
    "deg/hr": "deg/h",
    "deg/hour": "deg/h",
    "deg/sec": "deg/s",
    "dps": "deg/s",
    "m/s^2": "m/s2",
    "m/s²": "m/s2",
    "m/s/s": "m/s2",
    "µg": "ug",
    "μg": "ug",
    "knots": "kn",
    "sec": "s",
    "seconds": "s",
    "0/1": "1",
    "bool": "1",
    "flag": "1",
}
_TAILS = {unit.replace("/", "_"): unit for _, units in KINDS.values() for unit in units}
_BRACKETS = re.compile(r"(.+?)\s*[\[(]\s*([^\])]+?)\s*[\])]")


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is used: where it stands, what it is, its declared unit, and the factor to the unit here."""

    index: int
    header: str
    quantity: str
    unit: str
    factor: float


def read_header(header: str, index: int) -> Column | None:
    """The column a header names, or None for one that is not needed. Raises CannotCompute when its unit is left out."""
    name, unit = _split(header.strip().strip('"').lower())
    quantity = _BY_WORD.get(re.sub(r"[\s\-.]+", "_", name))
    if quantity is None:
        return None
    kind = QUANTITIES[quantity][0]
    _, units = KINDS[kind]
    if kind == "flag" and unit is None:
        unit = "1"
    if unit is None:
        example = next(iter(units)).replace("/", "_")
        raise CannotCompute(
            f"The column “{header.strip()}” has no unit.", f"Name it {name}_{example} or {name} [{next(iter(units))}]."
        )
    if unit not in units:
        raise CannotCompute(
            f"The column “{header.strip()}” is in {unit}, which is no unit of {kind}.",
            f"Use one of {', '.join(units)}.",
        )
    return Column(index, header.strip(), quantity, unit, units[unit])


def _split(header: str) -> tuple[str, str | None]:
    if match := _BRACKETS.fullmatch(header):
        unit = match[2].replace(" ", "")
        return match[1], SPELLED.get(unit, unit)
    if header in _BY_WORD:
        return header, None
    for tail in sorted(_TAILS, key=len, reverse=True):
        if header.endswith(f"_{tail}") and len(header) > len(tail) + 1:
            return header.removesuffix(f"_{tail}"), _TAILS[tail]
    return header, None


def read_headers(headers: list[str]) -> tuple[dict[str, Column], tuple[str, ...]]:
    """Columns by quantity, and the headers that are not used. Raises CannotCompute when two are the same thing."""
    found: dict[str, Column] = {}
    unused = []
    for index, header in enumerate(headers):
        column = read_header(header, index)
        if column is None:
            unused.append(header.strip())
        elif column.quantity in found:
            raise CannotCompute(
                f"“{found[column.quantity].header}” and “{column.header}” are both {column.quantity}.",
                "Leave one of them out.",
            )
        else:
            found[column.quantity] = column
    return found, tuple(unused)


def need(found: dict[str, Column], *quantities: str) -> None:
    """Raise CannotCompute naming every column that is missing, with a header that would do."""
    missing = [name for name in quantities if name not in found]
    if missing:
        examples = {"time": "time_s", "rate": "gyro_{0}_deg_h", "force": "acc_{0}_m_s2"}
        named = [
            examples.get(QUANTITIES[name][0], f"{name}_{KINDS[QUANTITIES[name][0]][0].replace('/', '_')}").format(
                name[-1]
            )
            for name in missing
        ]
        raise CannotCompute(
            f"The recording lacks {', '.join(missing)}.", f"Add {', '.join(named)}, units in the headers."
        )
