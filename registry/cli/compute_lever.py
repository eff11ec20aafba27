"""Lever arms: into vehicle axes, and what a turn, late data and a crooked attitude make of them."""

from typing import Any

import click

from registry.cli.compute_answer import tell
from registry.cli.compute_input import all_or_usage, one_of, three
from registry.cli.compute_table import read_table
from registry.cli.telling import as_json

_ARM = {"forward": "length", "starboard": "length", "down": "length", "sigma": "length"}


@click.command()
@click.argument("file", required=False)
@click.option(
    "--arm-m",
    type=float,
    nargs=3,
    metavar="FORWARD STARBOARD DOWN",
    help="From the unit’s reference point to the sensor’s. With --unit-axes: along the unit’s x, y, z.",
)
@click.option("--sigma-m", type=float, metavar="SIGMA", help="Sigma of each of the three.")
@click.option(
    "--unit-axes",
    metavar="X,Y,Z",
    help="The arm was measured in unit axes, which point there: forward,starboard,down …",
)
@click.option("--turn-deg-s", type=float, metavar="RATE", help="Price it in a level turn, to starboard positive.")
@click.option(
    "--speed-m-s", type=float, default=0.0, metavar="SPEED", help="Forward speed in that turn, or under latency."
)
@click.option("--latency-s", type=float, metavar="SECONDS", help="The sensor’s data come late by this much.")
@click.option(
    "--attitude-off-deg", type=float, metavar="DEG", help="Attitude that is off by this much, across the arm."
)
@as_json
def lever(file: str | None, as_json: bool, **given: Any) -> None:
    """Put a lever arm into vehicle axes (forward, starboard, down) and price what is left of it.

    FILE (CSV, NPZ or -) holds an arm in each row: name, forward_m, starboard_m, down_m, sigma_m.

    \b
    Example:
      pairbook compute lever --arm-m 2 0 0 --sigma-m 0.05 --turn-deg-s 3 --speed-m-s 1.5
    """
    results, notes = {}, []
    if one_of({"FILE": bool(file), "--arm-m": given["arm_m"] is not None}) == "FILE":
        table = read_table(file or "", {"name": "text"} | _ARM)
        arms = [
            (name, [row[axis] for axis in ("forward", "starboard", "down")], row["sigma"])
            for name, row in table.by_name().items()
        ]
        notes += table.notes
    else:
        all_or_usage(given, "sigma_m")
        arms = [("lever arm", given["arm_m"], given["sigma_m"])]
    for name, arm, sigma in arms:
        found, note = _in_vehicle_axes(arm, sigma, given["unit_axes"])
        results[name] = found
        notes += note
        results |= _effects(name, found, given)
        notes += _crooked(name, found, given["attitude_off_deg"])
    if given["latency_s"] is not None:
        from registry.inertial import latency_effect

        results["late data"] = latency_effect(given["latency_s"], given["speed_m_s"], given["turn_deg_s"] or 0.0)
    tell(results, as_json, frame="along the track, and about down", notes=tuple(notes))


def _in_vehicle_axes(arm: Any, sigma: float, unit_axes: str | None) -> tuple[Any, list[str]]:
    from registry.inertial import frame_mistake_m, lever_arm, lever_arm_from_unit_axes, mounting_from_words

    if not unit_axes:
        return lever_arm(*arm, sigma_m=sigma), []
    c_vu = mounting_from_words(*three(unit_axes, "--unit-axes")).matrix
    off = frame_mistake_m(arm, c_vu)
    told = f"Entered as if these were vehicle axes, the arm would be off by {off:.3f} m."
    return lever_arm_from_unit_axes(arm, c_vu, sigma_m=sigma), [told] if off > 0 else []


def _effects(name: str, arm: Any, given: dict[str, Any]) -> dict[str, Any]:
    from registry.inertial import motion_at_sensor

    if given["turn_deg_s"] is None:
        return {}
    motion = motion_at_sensor((0.0, 0.0, given["turn_deg_s"]), arm.vector_m, (given["speed_m_s"], 0.0, 0.0))
    return {f"{name} in the turn": motion}


def _crooked(name: str, arm: Any, attitude_off_deg: float | None) -> list[str]:
    from math import hypot

    from registry.inertial import position_error_m

    if attitude_off_deg is None:
        return []
    off = position_error_m(attitude_off_deg, hypot(*arm.vector_m))
    return [f"{name}: an attitude off by {attitude_off_deg:g} deg moves its far end by {off:.4f} m."]
