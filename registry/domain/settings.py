"""Settings sheets of bays: what their lines are called, what the port plan must fit, what looks like a placeholder."""

import hashlib
import ipaddress
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from registry.domain.canonical import canonical
from registry.domain.mountings import reasons_of_metres, remarks_of_arm, remarks_of_plate
from registry.errors import Reason

LED_BY = {
    "unit": "unit-led: the settings live in the unit",
    "host": "host-led: the vehicle’s computer sets and starts it",
}
#: Time scale -> words, and seconds it is ahead of UTC. TAI−UTC is 37 s since 1 January 2017 (IERS Bulletin C 52), and
#: A bare “yes” says nothing of where a value comes from.
LEAST_WORDS = 3
#: GPS time is TAI − 19 s (IS-GPS-200). `own` counts from power-up and is ahead of nothing.
TIME_SCALES = {"utc": "UTC", "gps": "GPS time", "tai": "TAI", "own": "the unit’s own clock"}
AHEAD_OF_UTC_S = {"utc": 0, "gps": 18, "tai": 37}
WIRINGS = {"rs232": "RS-232", "rs422": "RS-422", "rs485": "RS-485"}
#: Rates of asynchronous serial lines in baud (common practice, no source).
RATES = {
    rate: f"{int(rate):,} baud"
    for rate in ("4800", "9600", "19200", "38400", "57600", "115200", "230400", "460800", "921600")
}
#: TIA-232-F is written for rates up to 20 kbit/s.
RS232_MOST_BAUD = 20_000
AIDING = {"positioning": "positioning", "velocity": "velocity", "timing": "timing"}
UNITS = {"": "text", "deg": "deg", "m": "m", "s": "s", "ms": "ms", "Hz": "Hz", "m/s": "m/s", "%": "%", "°C": "°C"}
PARTS = {
    "run": "How it runs",
    "mounting": "Mounting",
    "lever_arm": "Lever arms",
    "port": "Ports",
    "aiding": "Aiding sensors",
    "feeds": "What it feeds",
    "own": "Further values",
}
#: What came of reading the file out of a unit before it is pulled.
SAVED = {"saved": "saved", "dead": "the unit is dead"}
PORT_KINDS = {"serial": "serial", "network": "network"}
#: Where much equipment leaves its factory (common practice, no source).
_DEFAULT_HOSTS = re.compile(r"192\.168\.[012]\.(1|10|100|254)$", re.ASCII)
_PORT = re.compile(r"(serial|network) ([1-9]\d?)", re.ASCII)
_FIGURE = re.compile(r"-?\d{1,15}(\.\d{1,9})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Line:
    """One setting of a sheet: what it is called, its value as it is typed in, its unit, and where it came from."""

    part: str
    name: str
    value: str
    unit: str = ""
    source: str = ""

    def say(self) -> str:
        return f"{self.value.replace('-', '−') if self.unit else self.value} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class Ports:
    """How many ports a unit type has, as its maker states; None is not stated."""

    type_name: str
    serial: int | None
    network: int | None

    def count(self, kind: str) -> int | None:
        return self.serial if kind == "serial" else self.network


def plain(text: str) -> str:
    """A name as it is compared: case and blanks aside."""
    return " ".join(text.casefold().split())


def document(bay_code: str, version: int, lines: Iterable[Line]) -> dict[str, Any]:
    """The sheet as its checksum is taken of it. Where a value came from is no setting, and is left out."""
    values = [{"name": line.name, "value": line.value, "unit": line.unit} for line in lines]
    return {"bay": bay_code, "version": version, "values": values}


def document_bytes(bay_code: str, version: int, lines: Iterable[Line]) -> bytes:
    """Canonical JSON (RFC 8785) of the sheet."""
    return canonical(document(bay_code, version, lines))


def checksum(bay_code: str, version: int, lines: Iterable[Line]) -> str:
    """SHA-256 of the sheet’s canonical JSON, 64 digits in lower case."""
    return hashlib.sha256(document_bytes(bay_code, version, lines)).hexdigest()


def say_checksum(full: str) -> str:
    """`3f9a 12cd`, the short form people compare by eye."""
    return f"{full[:4]} {full[4:8]}"


def read_address(text: str) -> str:
    """An IPv4 address with the length of its network, as `ipaddress` reads it. Raises ValueError with a sentence."""
    text = text.strip()
    if "/" not in text:
        raise ValueError("Give the address with the length of its network, like 192.0.2.14/24.")
    try:
        read = ipaddress.IPv4Interface(text)
    except ValueError:
        raise ValueError(f"{text[:40]!r} is no IPv4 address. Write four numbers, like 192.0.2.14/24.") from None
    network = read.network
    ends = {network.network_address, network.broadcast_address} if network.prefixlen < 31 else set()
    if read.ip in ends or read.ip.is_multicast or read.ip.is_loopback or read.ip.is_unspecified:
        raise ValueError(f"{read.ip} is no address of one unit in {network}.")
    return str(read)


def reasons_of_ports(plan: Mapping[str, Iterable[int]], ports: Ports) -> list[Reason]:
    """Ports that the type does not have, and ports given twice. `plan` is kind -> the numbers used, in order."""
    reasons = []
    for kind, numbers in plan.items():
        have, used = ports.count(kind), list(numbers)
        for row, number in enumerate(used):
            field = f"{kind}_ports.{row}.port"
            if have is not None and number > have:
                told = f"{ports.type_name} has {have} {kind} {'port' if have == 1 else 'ports'}; there is no {number}."
                reasons.append(Reason("wrong_form", told, field, "Look at the plug, or enter the ports of the type."))
            if number in used[:row]:
                told = f"{kind.capitalize()} port {number} stands here twice."
                reasons.append(Reason("wrong_form", told, field, "One line a port: put all it carries into it."))
    return reasons


def reasons_of_uses(uses: Iterable[tuple[str, str]], plan: Mapping[str, Iterable[int]]) -> list[Reason]:
    """Aiding sensors and outputs on ports that the plan does not have. `uses` is (field, `serial 1`)."""
    known = {f"{kind} {number}" for kind, numbers in plan.items() for number in numbers}
    return [
        Reason(
            "wrong_form",
            f"{port.capitalize()} is not in the port plan of this sheet.",
            field,
            "Add a line for that port, or look at the number.",
        )
        for field, port in uses
        if port not in known
    ]


def is_port(text: str) -> bool:
    """Whether the text names a port, like `serial 2`."""
    return _PORT.fullmatch(text) is not None


def reasons_of_names(names: Iterable[tuple[str, str]]) -> list[Reason]:
    """A name that stands twice on a sheet: a read-back could not tell which is meant. `names` is (field, name)."""
    reasons, seen = [], set()
    for field, name in names:
        if plain(name) in seen:
            told = f"{name} stands on this sheet already."
            reasons.append(Reason("wrong_form", told, field, "Give each value a name of its own."))
        seen.add(plain(name))
    return reasons


def reasons_of_values(values: Iterable[tuple[str, str, str]]) -> list[Reason]:
    """Values with a unit that are no figures. `values` is (field, value, unit)."""
    return [
        Reason(
            "wrong_form",
            f"{value[:40]!r} is not a figure in {unit}.",
            field,
            "Write digits with a point, like 7.2, or choose text as its unit.",
        )
        for field, value, unit in values
        if unit and not _FIGURE.fullmatch(value)
    ]


def questions(lines: Iterable[Line], lengths: Mapping[str, str], addresses_near: Mapping[str, str]) -> list[str]:
    """What on this sheet looks like a placeholder, or like a slip that nobody notices later; each a question.

    `lengths` is words -> metres known of the bay; `addresses_near` is address -> which other bay of the vehicle has it.
    """
    lines = list(lines)
    asked = [*_of_angles(lines), *_of_arms(lines), *_of_addresses(lines, addresses_near)]
    # Only what was typed in by hand: an angle that was worked out may well be spelled like a length.
    degrees = {line.name: line.value for line in lines if line.part == "own" and line.unit == "deg"}
    asked += [f"{reason.field}: {reason.message}" for reason in reasons_of_metres(degrees, lengths)]
    zeros = [line.name for line in lines if line.part == "own" and line.unit and not Decimal(line.value)]
    asked += [f"{name} is zero: measured, or never filled in?" for name in zeros]
    return asked


def _of_angles(lines: list[Line]) -> list[str]:
    angles = [line.value for line in lines if line.part == "mounting" and line.name in ("Roll", "Pitch", "Yaw")]
    if not angles:
        return ["The sheet has no mounting angles: no alignment of this bay is in force. Will the unit run without?"]
    return remarks_of_plate(angles)


def _of_arms(lines: list[Line]) -> list[str]:
    arms: dict[str, list[str]] = {}
    for line in lines:
        whose, found, axis = line.name.rpartition(", ")
        if found and axis in ("forward", "starboard", "down") and line.unit == "m":
            arms.setdefault(whose, []).append(line.value)
    if not arms:
        return ["The sheet has no lever arm: nothing says where the aiding sensors sit. Are they all at the unit?"]
    return [f"{whose}: {told}" for whose, arm in arms.items() for told in remarks_of_arm(arm)]


def _of_addresses(lines: list[Line], near: Mapping[str, str]) -> list[str]:
    asked = []
    for line in lines:
        if line.part == "port" and line.name.endswith(", address"):
            host = line.value.partition("/")[0]
            if host in near:
                asked.append(f"{host} is also the address of {near[host]}: on networks of their own, or a slip?")
            elif _DEFAULT_HOSTS.match(host):
                asked.append(f"{host} looks like an address from the factory: yours, or never changed?")
    return asked


def question_of_time(unit_scale: str, sources: Iterable[tuple[str, str]]) -> list[str]:
    """Sensors that count another time than the unit gives out. `sources` is (sensor, its scale)."""
    sources = list(sources)
    asked = []
    if unit_scale in ("gps", "tai") and not sources:
        asked.append(
            f"The unit is to run on {TIME_SCALES[unit_scale]}, and nothing on the sheet gives it the time: where does it come from?"
        )
    for sensor, scale in sources:
        if scale != unit_scale and "own" not in (scale, unit_scale):
            off = abs(AHEAD_OF_UTC_S[scale] - AHEAD_OF_UTC_S[unit_scale])
            asked.append(
                f"{sensor} gives {TIME_SCALES[scale]}, the unit is to run on {TIME_SCALES[unit_scale]}: they are {off} s "
                f"apart, {off * 1.5:g} m at 1.5 m/s. Who corrects it?"
            )
    return asked


def remarks_of_rates(rates: Iterable[tuple[int, str, str]]) -> list[str]:
    """Rates beyond what the wiring’s standard is written for. Each is (port, wiring, baud)."""
    return [
        f"Serial port {port}: RS-232 is written for up to 20 kbit/s; at {int(baud):,} baud keep its lead short."
        for port, wiring, baud in rates
        if wiring == "rs232" and int(baud) > RS232_MOST_BAUD
    ]


def reasons_unanswered(asked: Iterable[str], answer: str | None) -> list[Reason]:
    """What looks like a placeholder goes on a sheet when somebody says in words that it is none."""
    if answer and len(answer.split()) >= LEAST_WORDS:
        return []
    do = f"Put it right, or say in {LEAST_WORDS} words or more where the value comes from."
    return [Reason("looks_like_placeholder", told, "answer", do) for told in asked]
