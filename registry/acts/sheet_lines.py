"""From what was filled in to the lines of a settings sheet, and everything about them that is refused. Pure."""

from typing import Any

from registry.domain.mountings import AXES
from registry.domain.settings import (
    TIME_SCALES,
    WIRINGS,
    Line,
    Ports,
    reasons_of_names,
    reasons_of_ports,
    reasons_of_uses,
    reasons_of_values,
)
from registry.errors import Reason

_LED = {"unit": "unit-led", "host": "host-led"}


def given_lines(body: dict[str, Any], taken: list[Line]) -> list[Line]:
    """Every line of the sheet in order; `taken` are those the bay gives."""
    run = [Line("run", "Led by", _LED[body["led_by"]]), Line("run", "Time scale", TIME_SCALES[body["time_scale"]])]
    return [*run, *taken, *_arms(body), *_ports(body), *_aiding(body), *_feeds(body), *_own(body)]


def _arms(body: dict[str, Any]) -> list[Line]:
    return [
        Line("lever_arm", f"Lever arm to {row['sensor']}, {axis}", row[f"{axis}_m"], "m", "entered with the sheet")
        for row in body["aiding"]
        if row["forward_m"] is not None
        for axis in AXES
    ]


def _ports(body: dict[str, Any]) -> list[Line]:
    lines = []
    for row in body["serial_ports"]:
        name = f"Serial port {row['port']}"
        lines.append(Line("port", f"{name}, wiring", WIRINGS[row["wiring"]]))
        lines.append(Line("port", f"{name}, rate", row["rate"], "baud"))
        lines.append(Line("port", f"{name}, carries", row["carries"]))
    for row in body["network_ports"]:
        name = f"Network port {row['port']}"
        lines.append(Line("port", f"{name}, address", row["address"]))
        lines.append(Line("port", f"{name}, carries", row["carries"]))
    return lines


def _aiding(body: dict[str, Any]) -> list[Line]:
    lines = []
    for row in body["aiding"]:
        lines.append(Line("aiding", row["sensor"], f"{row['gives']} on {row['on']}"))
        if row["time_scale"]:
            lines.append(Line("aiding", f"{row['sensor']}, time", TIME_SCALES[row["time_scale"]]))
    return lines


def _feeds(body: dict[str, Any]) -> list[Line]:
    return [Line("feeds", row["feeds"], f"on {row['on']}") for row in body["feeds"]]


def _own(body: dict[str, Any]) -> list[Line]:
    return [Line("own", row["setting"], row["value"], _unit(row)) for row in body["values"]]


def _unit(row: dict[str, Any]) -> str:
    return "" if row["unit"] == "text" else row["unit"]


def plan_of(body: dict[str, Any]) -> dict[str, list[int]]:
    """Kind of port -> the numbers the plan uses, in order."""
    return {kind: [row["port"] for row in body[f"{kind}_ports"]] for kind in ("serial", "network")}


def scales_of(body: dict[str, Any]) -> list[tuple[str, str]]:
    """(sensor, time scale) of every aiding sensor that says one."""
    return [(row["sensor"], row["time_scale"]) for row in body["aiding"] if row["time_scale"]]


def reasons_of_sheet(body: dict[str, Any], lines: list[Line], ports: Ports) -> list[Reason]:
    """Everything refused about what was filled in, each at its field."""
    plan = plan_of(body)
    uses = [(f"{name}.{number}.on", row["on"]) for name in ("aiding", "feeds") for number, row in enumerate(body[name])]
    own = [(f"values.{number}.value", row["value"], _unit(row)) for number, row in enumerate(body["values"])]
    typed = {row["setting"]: f"values.{number}.setting" for number, row in enumerate(body["values"])}
    typed |= {row["sensor"]: f"aiding.{number}.sensor" for number, row in enumerate(body["aiding"])}
    typed |= {row["feeds"]: f"feeds.{number}.feeds" for number, row in enumerate(body["feeds"])}
    names = [(typed.get(line.name, "values"), line.name) for line in lines]
    return [
        *reasons_of_ports(plan, ports),
        *reasons_of_uses(uses, plan),
        *reasons_of_values(own),
        *(_once(reasons_of_names(names), plan)),
    ]


def _once(reasons: list[Reason], plan: dict[str, list[int]]) -> list[Reason]:
    """A port given twice is told as that, not for each of its lines."""
    twice = any(len(set(numbers)) < len(numbers) for numbers in plan.values())
    return [] if twice else reasons
