"""Calibration: uncertainty budgets, verdicts against a tolerance, and when to calibrate next."""

from typing import Any

import click

from registry.cli.compute_answer import tell
from registry.cli.compute_input import all_or_usage, day, one_of
from registry.cli.compute_table import one_unit, read_table
from registry.cli.telling import as_json, options

_SHAPES = ("rectangular", "triangular", "arcsine")
unit_option = click.option(
    "--unit", metavar="UNIT", help="Unit of all values, like deg or m/s2. A file names it in its headers."
)


@click.command()
@click.argument("file", required=False)
@click.option(
    "--part", "parts", type=(str, float), multiple=True, metavar="NAME U", help="A line: standard uncertainty."
)
@click.option(
    "--limits",
    type=(str, float, click.Choice(_SHAPES)),
    multiple=True,
    metavar="NAME A SHAPE",
    help="A line: limits ±A of a shape.",
)
@click.option(
    "--certificate",
    type=(str, float, float),
    multiple=True,
    metavar="NAME U K",
    help="A line: expanded uncertainty and k.",
)
@click.option(
    "--resolution", type=(str, float), multiple=True, metavar="NAME STEP", help="A line: a display that steps."
)
@click.option(
    "--readings",
    type=(str, str),
    multiple=True,
    metavar="NAME X,X,…",
    help="A line: repeated readings; their mean is used.",
)
@click.option(
    "--coverage-percent", type=float, metavar="PERCENT", help="Coverage asked for, like 95. Without it k is 2."
)
@unit_option
@as_json
def uncertainty(file: str | None, as_json: bool, **given: Any) -> None:
    """Combine the lines of an uncertainty budget: root-sum-square, k = 2 or the t factor, by the GUM.

    FILE (CSV, NPZ or -) holds a line in each row: name, u_deg (in any one unit), and if kept sensitivity, dof, shared.
    Lines that name the same shared reference add straight.

    \b
    Example:
      pairbook compute uncertainty --unit deg --limits mark 0.02 rectangular --part noise 0.01 --certificate standard 0.03 2
    """
    from registry.inertial import combine

    flags = any(given[name] for name in ("parts", "limits", "certificate", "resolution", "readings"))
    notes: tuple[str, ...] = ()
    if one_of({"FILE": bool(file), "lines of a budget, like --part": flags}) == "FILE":
        parts, unit, notes = _budget(file or "", given["unit"])
    else:
        all_or_usage(given, "unit")
        parts, unit = _lines(given), given["unit"]
    wanted = given["coverage_percent"]
    found = combine(parts, coverage=None if wanted is None else wanted / 100, unit=unit)
    lines = tuple(f"{part.name}: {abs(part.contribution):.4g} {unit}." for part in parts)
    tell({"budget": found}, as_json, unit=unit, notes=(*lines, *notes))


def _budget(file: str, unit: str | None) -> tuple[list[Any], str, tuple[str, ...]]:
    from math import inf

    from registry.inertial import Part

    optional = {"sensitivity": "number", "dof": "number", "shared": "text"}
    table = read_table(file, {"name": "text", "u": "value"}, optional)
    parts = [
        Part(
            row["name"],
            row["u"],
            1.0 if row.get("sensitivity") is None else row["sensitivity"],
            inf if row.get("dof") is None else row["dof"],
            row.get("shared") or "",
        )
        for row in table.rows
    ]
    return parts, one_unit(table, unit), table.notes


def _lines(given: dict[str, Any]) -> list[Any]:
    from registry.inertial import Part, from_expanded, from_half_width, from_readings, from_resolution

    parts = [Part(name, u) for name, u in given["parts"]]
    parts += [Part(name, from_half_width(half, shape)) for name, half, shape in given["limits"]]
    parts += [Part(name, from_expanded(expanded, k)) for name, expanded, k in given["certificate"]]
    parts += [Part(name, from_resolution(step)) for name, step in given["resolution"]]
    for name, text in given["readings"]:
        _mean, u, dof = from_readings(_numbers(text, "--readings"))
        parts.append(Part(name, u, dof=dof))
    return parts


def _numbers(text: str, option: str) -> list[float]:
    try:
        return [float(each) for each in text.split(",")]
    except ValueError:
        raise click.BadParameter("Give numbers with commas between them, like 1.2,1.3.", param_hint=option) from None


tolerance = options(
    click.option("--lower", type=float, metavar="VALUE", help="Lower limit."),
    click.option("--upper", type=float, metavar="VALUE", help="Upper limit."),
)


@click.command()
@click.argument("file", required=False)
@click.option("--value", type=float, metavar="VALUE", help="What was measured.")
@tolerance
@click.option("--u", type=float, metavar="U", help="Standard uncertainty.")
@click.option("--expanded", type=float, metavar="U", help="Expanded uncertainty, k times the standard one.")
@click.option("--k", type=float, default=2.0, show_default=True, metavar="K", help="Coverage factor.")
@click.option(
    "--rule",
    type=click.Choice(("simple", "guarded", "four-way")),
    default="guarded",
    show_default=True,
    help="Fixed on the test plan before readings are taken.",
)
@click.option(
    "--guard-multiple",
    type=float,
    default=1.0,
    show_default=True,
    metavar="R",
    help="Guard band in expanded uncertainties.",
)
@unit_option
@as_json
def decision(file: str | None, as_json: bool, **given: Any) -> None:
    """Judge values with their uncertainty against a tolerance, and say how likely the verdict is to be wrong.

    FILE (CSV, NPZ or -) holds a value in each row: name, value_deg (in any one unit), and if they differ lower_deg,
    upper_deg, u_deg; options fill what a row leaves out.

    \b
    Example:
      pairbook compute decision --value 0.07 --upper 0.10 --lower -0.10 --expanded 0.04 --unit deg
    """
    from registry.inertial import judge

    notes: tuple[str, ...] = ()
    if one_of({"FILE": bool(file), "--value": given["value"] is not None}) == "FILE":
        same = dict.fromkeys(("lower", "upper", "u"), "value")
        table = read_table(file or "", {"name": "text", "value": "value"}, same)
        rows, unit, notes = list(table.by_name().values()), one_unit(table, given["unit"]), table.notes
    else:
        all_or_usage(given, "unit")
        rows, unit = [{"name": "decision", "value": given["value"]}], given["unit"]
    k = given["k"]
    stated = given["u"] if given["expanded"] is None else given["expanded"] / k if k else None
    filled = {"lower": given["lower"], "upper": given["upper"], "u": stated}
    results = {
        row["name"]: judge(
            row["value"],
            **{name: row.get(name) if row.get(name) is not None else default for name, default in filled.items()},
            k=k,
            rule=given["rule"],
            guard_multiple=given["guard_multiple"],
            unit=unit,
        )
        for row in rows
    }
    tell(results, as_json, unit=unit, notes=notes)


@click.command()
@click.argument("file", required=False)
@click.option("--interval-days", type=int, metavar="DAYS", help="The interval in force.")
@click.option("--tolerance", type=float, metavar="VALUE", help="What it may be off.")
@click.option("--as-found", type=float, metavar="VALUE", help="What it was found off, before anything was adjusted.")
@click.option("--calibrated-on", metavar="DAY", help="Day of the calibration: say when the next is due.")
@click.option(
    "--hours-run-h", type=float, metavar="HOURS", help="Powered hours since then: say whether hours or days end it."
)
@click.option("--days-passed", type=float, metavar="DAYS", help="Days since then.")
@click.option("--most-hours-h", type=float, default=2000.0, show_default=True, metavar="HOURS", help="Limit of hours.")
@click.option("--most-days", type=float, default=730.0, show_default=True, metavar="DAYS", help="Limit of days.")
@unit_option
@as_json
def interval(file: str | None, as_json: bool, **given: Any) -> None:
    """Propose the next calibration interval from what was found, or watch check readings on a chart.

    A longer interval is a proposal: a named person approves it. Without an as-found reading nothing is lengthened.
    FILE (CSV, NPZ or -) holds check readings in order: value_deg (in any one unit), and new with 1 for those to judge.

    \b
    Example:
      pairbook compute interval --interval-days 365 --tolerance 0.10 --as-found 0.07 --unit deg --calibrated-on 2026-02-11
    """
    way = one_of(
        {
            "FILE": bool(file),
            "--interval-days": given["interval_days"] is not None,
            "--hours-run-h": given["hours_run_h"] is not None,
        }
    )
    if way == "FILE":
        _chart(file or "", given["unit"], as_json)
    elif way == "--hours-run-h":
        from registry.inertial import in_use_limit

        all_or_usage(given, "days_passed")
        most = {"most_hours": given["most_hours_h"], "most_days": given["most_days"]}
        tell({"use": in_use_limit(given["hours_run_h"], given["days_passed"], **most)}, as_json)
    else:
        all_or_usage(given, "tolerance", "unit")
        _stairs(given, as_json)


def _chart(file: str, unit: str | None, as_json: bool) -> None:
    from registry.inertial import control_chart

    table = read_table(file, {"value": "value"}, {"new": "number"})
    known, new = ([row["value"] for row in table.rows if bool(row.get("new")) is is_new] for is_new in (False, True))
    tell({"chart": control_chart(known, new)}, as_json, unit=one_unit(table, unit), notes=table.notes)


def _stairs(given: dict[str, Any], as_json: bool) -> None:
    from registry.inertial import due_after_days, staircase

    found = staircase(given["interval_days"], given["tolerance"], given["as_found"])
    notes = []
    if given["calibrated_on"]:
        first = day(given["calibrated_on"], "--calibrated-on")
        notes = [
            f"Due on {due_after_days(first, found.new_days)}, after {found.new_days} days;"
            f" by the interval in force on {due_after_days(first, found.old_days)}."
        ]
    tell({"interval": found}, as_json, unit=given["unit"], notes=tuple(notes))
