"""How the readings of a verification are judged: pure, from the act's fields and what was looked up, so that
`verify --strict` can work every verdict out again."""

import math
from typing import Any

from registry.domain.units import STATISTICS
from registry.domain.verifications import QUANTITIES, worst
from registry.inertial.methods import method

#: A class figure's statistic, as the computations name it.
_STATISTIC = dict(zip(STATISTICS, ("r.m.s.", "1 sigma", "CEP (50 %)", "95 %"), strict=True))
_GYROS = "xyz"
#: A mark is known to one part in so many of what is judged on it (common practice, no source).
MARK_PARTS = 3


def turned(deg: float) -> float:
    """An angle from -180 up to 180 degrees."""
    return (deg + 180.0) % 360.0 - 180.0


def line(quantity: str, measured: float, expected: float, found: float | None, left: float | None, u: float | None, tolerance: float | None, rule: str) -> dict[str, Any]:  # fmt: skip
    """One line, judged on what was left, or on what was found when nothing was adjusted. `tolerance` is ±, None when no
    limit is on record. Raises CannotCompute for a guarded rule without an uncertainty."""
    from registry.inertial.decisions import judge

    name, unit = QUANTITIES[quantity]
    row = {
        "quantity": quantity,
        "measured": measured,
        "expected": expected,
        "as_found": found,
        "as_left": left,
        "u": u,
        "tolerance": tolerance,
    }
    value = found if left is None else left
    if tolerance is None:
        told = f"{name.capitalize()}: {value:+.4g} {unit}, and no limit is on record for its type."
        return {**row, "p_conform": None, "outcome": "cannot_decide", "told": told}
    judged = judge(value, lower=-tolerance, upper=tolerance, u=u, rule=rule, unit=unit)
    outcome = judged.outcome.value.replace(" ", "_")
    return {**row, "p_conform": judged.p_conform, "outcome": outcome, "told": f"{name.capitalize()}. {judged.verdict}"}


def heading_judged(body: dict[str, Any], mark: dict[str, str]) -> dict[str, Any]:
    """Heading found less known: the known one from the survey of the mark, its sigma root-sum-square with the reading's."""
    known = float(mark["true_deg"])
    offset = float(body["to_true_deg"] or 0)
    found, left = (
        None if body[n] is None else turned(float(body[n]) + offset - known) for n in ("found_deg", "left_deg")
    )
    u = None if body["u_deg"] is None else math.hypot(float(body["u_deg"]), float(mark["sigma_deg"]))
    read = body["found_deg"] if body["left_deg"] is None else body["left_deg"]
    one = line(
        "heading", (float(read) + offset) % 360.0, known, found, left, u, float(body["tolerance_deg"]), body["rule"]
    )
    told = _told([one], method("decision"))
    if 2 * MARK_PARTS * float(mark["sigma_deg"]) > float(body["tolerance_deg"]) + 1e-9:
        coarse = "The mark itself is known no better than to a third of the tolerance (± 2 sigma): survey it better."
        told["told"] = f"{told['told']} {coarse}"
    return told


def ship_judged(body: dict[str, Any]) -> dict[str, Any]:
    """Means of the same two minutes, unit less ship: heading, and pitch and roll when they were read."""
    lines = []
    for quantity, tolerance in (
        ("heading", "tolerance_deg"),
        ("pitch", "level_tolerance_deg"),
        ("roll", "level_tolerance_deg"),
    ):
        unit, ship = body[f"unit_{quantity}_deg"], body[f"ship_{quantity}_deg"]
        if unit is None or ship is None:
            continue
        u = None if body["u_deg"] is None else float(body["u_deg"])
        difference = turned(float(unit) - float(ship))
        lines.append(
            line(quantity, float(unit), float(ship), difference, None, u, float(body[tolerance]), body["rule"])
        )
    return _told(lines, method("decision"))


def static_judged(body: dict[str, Any], recorded: dict[str, Any], limits: list[dict[str, str]]) -> dict[str, Any]:
    """Gravity, earth rate and earth rate on the vertical against place and class, and each gyro's random walk where the
    class holds a limit for it."""
    from registry.inertial.bench_test import static_test
    from registry.inertial.static_summary import StaticSummary
    from registry.inertial.unit_class import Limit, UnitClass

    figures = {
        one["quantity"]: Limit(float(one["value"]), _STATISTIC[one["statistic"]], one["conditions"]) for one in limits
    }
    walk = figures.get("angle_random_walk")
    tested = static_test(
        StaticSummary(**{name: _tuples(value) for name, value in recorded["summary"].items()}),
        float(body["lat_deg"]),
        height_m=float(body["height_m"]),
        unit_class=UnitClass(gyro_bias_deg_h=figures.get("gyro_bias"), gyro_walk_deg_sqrt_h=walk),
        warm_up_min=None if body["warm_up_min"] is None else float(body["warm_up_min"]),
    )
    names = ("gravity", "earth_rate", "vertical_rate")
    lines = [
        line(name, one.measured, one.expected, one.difference, None, one.sigma, one.allowed, body["rule"])
        for name, one in zip(names, tested.checks, strict=True)
    ]
    for axis in _GYROS:
        terms = recorded["allan"][axis]["terms"]
        if walk and terms["walk"] is not None:
            lines.append(
                line(
                    f"walk_{axis}",
                    terms["walk"],
                    0.0,
                    terms["walk"],
                    None,
                    terms["sigma_walk"],
                    walk.at_95,
                    body["rule"],
                )
            )
    told = _told(lines, tested.method)
    return {**told, "told": " ".join(filter(None, (recorded["doubt"], tested.verdict, tested.next)))}


def _tuples(value: Any) -> Any:
    return tuple(_tuples(one) for one in value) if isinstance(value, list) else value


def _told(lines: list[dict[str, Any]], how: str) -> dict[str, Any]:
    return {
        "lines": lines,
        "verdict": worst(one["outcome"] for one in lines),
        "told": " ".join(one["told"] for one in lines),
        "method": how,
    }


def compared(series: list[tuple[float, float | None]], value: float, u: float | None) -> dict[str, Any]:
    """A new number of a pair against its earlier ones (number, standard uncertainty) of the same series.

    The limit is that of two repeats (1.96 √2 s), s pooled over the series and never under the stated uncertainty, for
    one number against a mean of n. `jumped` says that it lies beyond; a number within it proves no pair.
    """
    if not series:
        return {
            "jumped": False,
            "limit": None,
            "mean": None,
            "earlier": 0,
            "sentence": "First number of this pair on record: nothing to compare it with.",
        }
    from registry.inertial.repeatability import REPEATABILITY_FACTOR, pooled_repeatability

    numbers = [number for number, _u in series]
    stated = [one for _number, one in series if one is not None] + ([] if u is None else [u])
    scatter = pooled_repeatability([numbers]).s_pooled if len(numbers) > 2 else 0.0
    sigma = max([scatter, *([math.sqrt(sum(one * one for one in stated) / len(stated))] if stated else [])])
    told = {"mean": sum(numbers) / len(numbers), "earlier": len(numbers)}
    if not sigma:
        told |= {"jumped": False, "limit": None}
        return {
            **told,
            "sentence": "Too few earlier numbers, and no uncertainty stated: nobody can say whether it jumped.",
        }
    limit = REPEATABILITY_FACTOR * sigma * math.sqrt((1 + 1 / len(numbers)) / 2)
    off = turned(value - told["mean"])
    so = (
        f"its {len(numbers)} earlier {'number lies' if len(numbers) == 1 else 'numbers lie'} about {told['mean']:+.3f}°"
    )
    if abs(off) > limit:
        sentence = f"These two halves have never looked like this: {value:+.3f}°, and {so}. Over {limit:.3f}° is no scatter (95 %). Scan both halves before anything else."
    else:
        sentence = f"As before: {value:+.3f}°, and {so}. A crossed pair that differs by under {limit:.3f}° would not show: this proves no pair."
    return {**told, "jumped": abs(off) > limit, "limit": limit, "sentence": sentence}
