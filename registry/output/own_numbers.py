"""A pair's own number over time: dots with whiskers of two standard uncertainties, hatched outside the tolerance, the
drift as a line that is dashed where it has not come yet."""

from collections.abc import Sequence
from datetime import date, timedelta

from markupsafe import Markup

from registry.domain.times import say_short
from registry.models.own_numbers import OwnNumber
from registry.output.plots import LEFT, RIGHT, Box, curve, dot, hatched, hatching, path, plot, text, ticks_left, whisker
from registry.queries.drifts import Drift

_HIGH, _BOTTOM = 226.0, 200.0


def number_plot(numbers: Sequence[OwnNumber], drift: Drift | None) -> Markup:
    """The plot of one pair or more numbers, oldest first."""
    days = [date.fromisoformat(one.at[:10]) for one in numbers]
    first, last = days[0], max(days[-1], days[0] + timedelta(days=30))
    ahead = min((drift.meets_on - last).days, (last - first).days) if drift and drift.meets_on else 0
    span = max((last - first).days + max(ahead, 0), 1)
    tolerance = numbers[-1].tolerance or 0.0
    reach = max([1.3 * tolerance, *(abs(one.value) + 2.2 * (one.u or 0.0) for one in numbers), 1e-6])
    box = Box(_BOTTOM, -0.04 * span, 1.04 * span, -reach, reach)
    place = lambda day: box.x(float((day - first).days))  # noqa: E731
    parts = [hatching("outside-number")]
    if tolerance:
        parts += [hatched(box, "outside-number", tolerance, reach), hatched(box, "outside-number", -reach, -tolerance)]
        parts += [path(f"M{LEFT} {box.y(edge):.1f}H{RIGHT}", width=2) for edge in (tolerance, -tolerance)]
    parts += [box.edge(), path(f"M{LEFT} {box.y(0):.1f}H{RIGHT}")]
    parts.append(
        ticks_left(box, [tolerance, 0.0, -tolerance] if tolerance else [0.0], lambda v: f"{v:+.2f}" if v else "0")
    )
    for one, day in zip(numbers, days, strict=True):
        x = place(day)
        if one.u:
            parts.append(whisker(x, box.y(one.value - 2 * one.u), box.y(one.value + 2 * one.u)))
        parts.append(dot(x, box.y(one.value), "square" if one.jumped else "filled"))
        if one.adjusted:
            parts.append(path(f"M{x:.1f} {box.top}V{_BOTTOM}", dash="2 4"))
    if drift and drift.shown:
        parts += _drawn(drift, box, place, days[-1], first + timedelta(days=span))
    parts.append(text(0, 14, "Heading found less known, degrees", bold=True))
    parts.append(text(LEFT, _BOTTOM + 18, say_short(first.isoformat())))
    parts.append(text(RIGHT, _BOTTOM + 18, say_short((first + timedelta(days=span)).isoformat()), anchor="end"))
    return plot(_HIGH, sentence(numbers, drift), *parts)


def _drawn(drift: Drift, box: Box, place, now: date, end: date) -> list[Markup]:
    """The line of the drift: whole where there are numbers, dashed beyond."""
    at = lambda day: (place(day), box.y(drift.value_on(day)))  # noqa: E731
    return [curve([at(drift.since), at(now)]), curve([at(now), at(end)], dash="6 5")]


def sentence(numbers: Sequence[OwnNumber], drift: Drift | None) -> str:
    """What the plot shows, for those who do not see it."""
    values = [one.value for one in numbers]
    many = f"{len(values)} numbers" if len(values) > 1 else "One number"
    within = (
        f"between {min(values):+.3f} and {max(values):+.3f} degrees"
        if len(values) > 1
        else f"of {values[0]:+.3f} degrees"
    )
    limit = f"; the tolerance is ± {numbers[-1].tolerance:g}" if numbers[-1].tolerance else ""
    return f"{many} {within}{limit}." + (f" {drift.told}" if drift else "")
