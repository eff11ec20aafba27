"""Do results agree, scatter or drift? Two alignments, two values, repeats, and a history."""

from typing import Any

import click

from registry.cli.compute_answer import tell
from registry.cli.compute_calibration import tolerance, unit_option
from registry.cli.compute_input import all_or_usage, one_of
from registry.cli.compute_table import one_unit, read_table
from registry.cli.telling import as_json
from registry.inertial import CannotCompute

_ANGLES = "YAW PITCH ROLL"


@click.command()
@click.argument("file", required=False)
@click.option(
    "--earlier-deg", type=float, nargs=3, metavar=_ANGLES, help="The earlier alignment of one pair in one bay."
)
@click.option("--earlier-sigma-deg", type=float, nargs=3, metavar=_ANGLES, help="Its sigmas.")
@click.option("--later-deg", type=float, nargs=3, metavar=_ANGLES, help="The later alignment.")
@click.option("--later-sigma-deg", type=float, nargs=3, metavar=_ANGLES, help="Its sigmas.")
@click.option("--first", type=float, nargs=2, metavar="VALUE U", help="A value and its expanded uncertainty, k = 2.")
@click.option("--second", type=float, nargs=2, metavar="VALUE U", help="Another of the same thing.")
@tolerance
@click.option(
    "--refit-after", "refits", type=int, multiple=True, metavar="N", help="A refit came after the first N values."
)
@unit_option
@as_json
def repeat(file: str | None, as_json: bool, **given: Any) -> None:
    """Say whether two alignments or two values agree, how repeats scatter, or how a figure drifts.

    FILE (CSV, NPZ or -) holds value_deg (in any one unit) with set, for repeats within sets; or with day_d or on (a day
    like 2026-05-04), for a history in order, with --refit-after at each recorded refit and limits if there are any.

    \b
    Example:
      pairbook compute repeat --earlier-deg 0.10 0.20 -0.10 --earlier-sigma-deg 0.05 0.05 0.05 \\
        --later-deg 0.45 0.22 -0.08 --later-sigma-deg 0.05 0.05 0.05
    """
    way = one_of(
        {"FILE": bool(file), "--earlier-deg": given["earlier_deg"] is not None, "--first": given["first"] is not None}
    )
    if way == "--earlier-deg":
        _alignments(given, as_json)
    elif way == "--first":
        from registry.inertial import normalised_error

        all_or_usage(given, "second", "unit")
        tell({"agreement": normalised_error(*given["first"], *given["second"])}, as_json, unit=given["unit"])
    else:
        _series(file or "", given, as_json)


def _alignments(given: dict[str, Any], as_json: bool) -> None:
    from registry.inertial import compare_alignments, covariance_from_sigmas_rad2, matrix_from_ypr

    all_or_usage(given, "earlier_sigma_deg", "later_deg", "later_sigma_deg")
    # Sigmas are asked for in the order of the angles; the covariance is about forward, starboard and down.
    sides = [
        part
        for side in ("earlier", "later")
        for part in (
            matrix_from_ypr(*given[f"{side}_deg"]),
            covariance_from_sigmas_rad2(*reversed(given[f"{side}_sigma_deg"])),
        )
    ]
    tell({"difference": compare_alignments(*sides)}, as_json)


def _series(file: str, given: dict[str, Any], as_json: bool) -> None:
    from registry.inertial import pooled_repeatability, read_history

    table = read_table(file, {"value": "value"}, {"set": "text", "day": "days", "on": "text"})
    unit, values = one_unit(table, given["unit"]), table.column("value")
    days = _days(table)
    if days is None:
        sets: dict[str, list[float]] = {}
        for row in table.rows:
            sets.setdefault(row.get("set") or "", []).append(row["value"])
        tell({"repeats": pooled_repeatability(list(sets.values()))}, as_json, unit=unit, notes=table.notes)
        return
    limits = {"lower": given["lower"], "upper": given["upper"]}
    history = read_history(days, values, given["refits"], **limits, unit=unit)
    results: dict[str, Any] = {f"refit after {place} values": step for place, step in history.steps}
    if history.trend:
        results["trend"] = history.trend
    tell(results or {"history": history}, as_json, unit=unit, notes=table.notes)


def _days(table: Any) -> list[float] | None:
    """Days of a history, counted from the first when they are calendar days; None when the table has none."""
    from datetime import date

    from registry.domain.times import read_day

    if table.rows[0].get("day") is not None:
        days = table.column("day")
    elif table.rows[0].get("on") is not None:
        try:
            dates = [date.fromisoformat(read_day(text or "")) for text in table.column("on")]
        except ValueError as problem:
            raise CannotCompute(str(problem), "Write days like 2026-05-04.") from None
        days = [float((each - dates[0]).days) for each in dates]
    else:
        return None
    if None in days or sorted(days) != days:
        raise CannotCompute("The days are not in order, or one is missing.", "Put the rows in order of time.")
    return days
