"""How a unit sits: its mounting by the faces, and its fine angles by directions."""

from typing import Any

import click

from registry.cli.compute_answer import tell
from registry.cli.compute_input import all_or_usage, one_of, three
from registry.cli.compute_table import read_table
from registry.cli.telling import as_json

_FORCES = {"force_x": "force", "force_y": "force", "force_z": "force"}
_DIRECTIONS = {f"{axes}_{axis}": "number" for axes in ("unit", "vehicle") for axis in "xyz"}


@click.command()
@click.argument("file", required=False)
@click.option(
    "--entered", metavar="X,Y,Z", help="Where the unit’s x, y and z point by the entry: forward, starboard, down …"
)
@click.option(
    "--pose-m-s2-deg",
    "poses",
    type=float,
    nargs=5,
    multiple=True,
    metavar="FX FY FZ PITCH ROLL",
    help="A resting pose: mean specific force in unit axes (m/s²), pitch bow up and roll starboard down (deg). May be repeated.",
)
@click.option(
    "--gravity-m-s2", type=float, default=9.80665, show_default=True, metavar="G", help="Gravity at the place."
)
@click.option("--moving-deck", is_flag=True, help="The poses are means of 120 s or more on a moving deck.")
@click.option("--turn-deg-s", type=float, metavar="RATE", help="A level turn, to starboard positive, instead of poses.")
@click.option("--rates-deg-s", type=float, nargs=3, metavar="X Y Z", help="Mean rates in unit axes in that turn.")
@click.option(
    "--measured-deg",
    type=float,
    nargs=3,
    metavar="YAW PITCH ROLL",
    help="A measured attitude on the vehicle: the nearest mounting.",
)
@as_json
def orientation(file: str | None, as_json: bool, **given: Any) -> None:
    """Say how a unit sits, squared to the vehicle, and whether the entry is true.

    FILE (CSV, NPZ or -) holds a pose in each row: force_x_m_s2, force_y_m_s2, force_z_m_s2, pitch_deg, roll_deg, and
    if kept spread_m_s2 and duration_s. One level pose cannot tell which way the unit is turned about the vertical.

    \b
    Example:
      pairbook compute orientation --entered starboard,aft,down \\
        --pose-m-s2-deg 0 0 -9.81 0 0 --pose-m-s2-deg 0 -1.70 -9.66 10 0
    """
    from registry.inertial import check_mounting, check_turn, matrix_from_ypr, mounting_from_words, nearest_mounting

    turned = given["turn_deg_s"] is not None
    measured = given["measured_deg"] is not None
    way = one_of(
        {
            "FILE": bool(file),
            "--pose-m-s2-deg": bool(given["poses"]),
            "--turn-deg-s": turned,
            "--measured-deg": measured,
        }
    )
    if measured:
        tell({"mounting": nearest_mounting(matrix_from_ypr(*given["measured_deg"]))}, as_json)
        return
    all_or_usage(given, "entered")
    entered = mounting_from_words(*three(given["entered"], "--entered"))
    if way == "--turn-deg-s":
        all_or_usage(given, "rates_deg_s")
        found = check_turn(entered, given["turn_deg_s"], given["rates_deg_s"])
        tell({"turn": found}, as_json, frame="unit axes; a turn to starboard is positive")
        return
    poses, unused = _poses(file, given)
    tell({"mounting": check_mounting(poses, entered)}, as_json, notes=unused)


def _poses(file: str | None, given: dict[str, Any]) -> tuple[list[Any], tuple[str, ...]]:
    from registry.inertial import pose

    how = {"gravity_m_s2": given["gravity_m_s2"], "moving_deck": given["moving_deck"]}
    if not file:
        return [pose(each[:3], *each[3:], **how) for each in given["poses"]], ()
    angles = {"pitch": "angle", "roll": "angle"}
    table = read_table(file, _FORCES | angles, {"spread": "force", "duration": "time"})
    return [
        pose(
            [row[name] for name in _FORCES],
            row["pitch"],
            row["roll"],
            spread_m_s2=row.get("spread") or 0.0,
            seconds=row.get("duration"),
            **how,
        )
        for row in table.rows
    ], table.notes


@click.command()
@click.argument("file", required=False)
@click.option(
    "--pair-deg",
    "pairs",
    type=float,
    nargs=7,
    multiple=True,
    metavar="UX UY UZ VX VY VZ SIGMA",
    help="A direction in unit axes, the same in vehicle axes (any length), and its sigma in degrees. May be repeated.",
)
@click.option("--two-vector", is_flag=True, help="Meet the first of two pairs exactly: when it is much the better one.")
@as_json
def alignment(file: str | None, pairs: tuple[tuple[float, ...], ...], two_vector: bool, as_json: bool) -> None:
    """Fit mounting angles to pairs of directions, with their covariance and a test of the fit.

    FILE (CSV, NPZ or -) holds a pair in each row: unit_x, unit_y, unit_z, vehicle_x, vehicle_y, vehicle_z (of any
    length) and sigma_deg. Vehicle axes are forward, starboard, down.

    \b
    Example:
      pairbook compute alignment --pair-deg 0 0 -1 0.02 0 -1 0.05 --pair-deg 1 0 0 1 0.01 0.02 0.1
    """
    from registry.inertial import fit_directions

    notes: tuple[str, ...] = ()
    if one_of({"FILE": bool(file), "--pair-deg": bool(pairs)}) == "FILE":
        table = read_table(file or "", _DIRECTIONS | {"sigma": "angle"})
        pairs = tuple(tuple(row[name] for name in (*_DIRECTIONS, "sigma")) for row in table.rows)
        notes = table.notes
    unit, vehicle, sigma = [p[:3] for p in pairs], [p[3:6] for p in pairs], [p[6] for p in pairs]
    if two_vector and len(pairs) != 2:
        raise click.UsageError("--two-vector takes exactly two pairs.")
    tell({"alignment": fit_directions(unit, vehicle, sigma, two_vector=two_vector)}, as_json, notes=notes)
