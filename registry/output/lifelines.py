"""The life line: what happened to a pair, drawn through time. Down the page on a phone, across it where there is room.

Bars are stays, hatched bars are holds; the paper ends at the instant the page shows. "The same in words" follows it.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from markupsafe import Markup

from registry.domain.times import as_datetime, say_day

#: About how wide a bold letter is at 14 px: labels that would run into one another are left to the words.
LETTER = 8.0


class Bar(NamedTuple):
    """A stretch of time in a lane; `until` None means it goes on."""

    since: str
    until: str | None
    label: str
    small: str = ""
    hatched: bool = False


class Peg(NamedTuple):
    """A point in time in a lane."""

    at: str
    label: str
    open: bool = False


class Lane(NamedTuple):
    """One row of the line."""

    name: str
    short: str
    bars: Sequence[Bar] = ()
    pegs: Sequence[Peg] = ()


def life_line(lanes: Sequence[Lane], since: str, at: str) -> Markup:
    """Both drawings; the style sheet shows the one that fits."""
    scale = _Scale(since, at)
    return Markup("").join([_down(lanes, scale, at), _across(lanes, scale, at)])


class _Scale:
    """Instants between 0 (the beginning) and 1 (the instant shown), with a little room before."""

    def __init__(self, since: str, at: str):
        self.first, self.last = as_datetime(since).timestamp(), as_datetime(at).timestamp()
        span = max(self.last - self.first, 86400.0 * 7)
        self.first = self.last - span * 1.03

    def __call__(self, text: str | None) -> float:
        when = self.last if text is None else as_datetime(text).timestamp()
        return min(max((when - self.first) / (self.last - self.first), 0.0), 1.0)

    def months(self) -> Iterable[tuple[float, date]]:
        """The first of every month (or of every third, or of every year) on the paper."""
        start, end = date.fromtimestamp(self.first), date.fromtimestamp(self.last)
        count = (end.year - start.year) * 12 + end.month - start.month
        step = 1 if count <= 24 else 3 if count <= 72 else 12
        for number in range(count + 1):
            month = start.month - 1 + number
            first = date(start.year + month // 12, month % 12 + 1, 1)
            if first > start and (first.month - 1) % step == 0:
                yield self(f"{first.isoformat()}T00:00:00.000000Z"), first


def _tick_name(first: date, step: int = 3) -> str:
    if first.month == 1:
        return str(first.year)
    return first.strftime("%b") if (first.month - 1) % step == 0 else ""


def _text(x: float, y: float, words: str, size: int, *, bold: bool = False, anchor: str = "start") -> Markup:
    return Markup('<text x="{}" y="{}" font-size="{}"{}{}>{}</text>').format(
        f"{x:.1f}", f"{y:.1f}", size, Markup(' font-weight="700"') if bold else "", Markup(' text-anchor="{}"').format(anchor) if anchor != "start" else "", words
    )  # fmt: skip


def _named(x: float, y: float, words: str, size: int) -> list[Markup]:
    """A text, when there is one."""
    return [_text(x, y, words, size)] if words else []


def _pattern(name: str) -> Markup:
    return Markup(
        '<defs><pattern id="{}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<path d="M0 0V6" stroke="currentColor" stroke-width="4"/></pattern></defs>'
    ).format(name)


def _across(lanes: Sequence[Lane], scale: _Scale, at: str) -> Markup:
    left, right = 118.0, 900.0
    foot = 34 + 56 * len(lanes)
    x = lambda when: left + scale(when) * (right - left)  # noqa: E731
    parts = [
        Markup('<svg class="line across" viewBox="0 0 960 {}" aria-hidden="true">').format(foot + 60),
        _pattern("hatch-across"),
    ]
    for row, lane in enumerate(lanes):
        y = 40.0 + 56 * row
        parts += [
            _text(0, y + 5, lane.name, 15, bold=True),
            Markup(f'<path d="M{left} {y}H{right}" stroke="currentColor" stroke-dasharray="1 5"/>'),
        ]
        free = left
        for bar in lane.bars:
            a, b = x(bar.since), max(x(bar.until), x(bar.since) + 3)
            parts.append(_box(a, y - 9, b - a, 18, bar.hatched, "hatch-across"))
            if bar.label and min(a, right - 90) >= free:
                parts.append(_text(min(a, right - 90), y - 15, bar.label, 14, bold=True))
                free = min(a, right - 90) + LETTER * len(bar.label) + 6
        for peg in lane.pegs:
            # Beneath a bar, so that it stands in no label.
            parts += [
                _pin(x(peg.at), y + 17) if lane.bars else _peg(x(peg.at), y, peg.open),
                *_named(x(peg.at) + 11, y + 5, peg.label, 14),
            ]
    parts.append(Markup(f'<path d="M{left} {foot}H{right}v34" stroke="currentColor" stroke-width="1.5" fill="none"/>'))
    for place, first in scale.months():
        mark = left + place * (right - left)
        name = _tick_name(first)
        parts.append(Markup(f'<path d="M{mark:.1f} {foot}v{10 if name else 5}" stroke="currentColor"/>'))
        if name and mark < right - 40:
            parts.append(_text(mark, foot + 27, name, 14, anchor="middle"))
    parts += [_text(right, foot + 50, say_day(at), 14, bold=True, anchor="end"), Markup("</svg>")]
    return Markup("").join(parts)


def _down(lanes: Sequence[Lane], scale: _Scale, at: str) -> Markup:
    top, bottom = 40.0, 540.0
    y = lambda when: bottom - scale(when) * (bottom - top)  # noqa: E731
    width = 276.0 / max(len(lanes), 1)
    parts = [Markup('<svg class="line down" viewBox="0 0 328 556" aria-hidden="true">'), _pattern("hatch-down")]
    parts.append(Markup(f'<path d="M44 {top}V{bottom}" stroke="currentColor" stroke-width="1.5"/>'))
    for place, first in scale.months():
        mark = bottom - place * (bottom - top)
        name = _tick_name(first)
        parts.append(Markup(f'<path d="M44 {mark:.1f}h-{9 if name else 5}" stroke="currentColor"/>'))
        if name:
            parts.append(_text(0, mark + 4, name, 13))
    for column, lane in enumerate(lanes):
        x = 60.0 + column * width
        parts += [
            _text(x - 6, 16, lane.short, 14, bold=True),
            Markup(f'<path d="M{x} {top}V{bottom}" stroke="currentColor" stroke-dasharray="1 5"/>'),
        ]
        # Bars come oldest first and are drawn upwards: a label that would run into the one beneath is left to the words.
        free = bottom + 40
        for bar in lane.bars:
            a, b = y(bar.until), max(y(bar.since), y(bar.until) + 3)
            parts.append(_box(x - 7, a, 14, b - a, bar.hatched, "hatch-down"))
            deep = 34 if bar.small else 18
            if bar.label and LETTER * len(bar.label) < width - 14 and (a + b) / 2 + deep - 17 <= free:
                parts.append(_text(x + 13, (a + b) / 2 + 1, bar.label, 14, bold=True))
                parts += _named(x + 13, (a + b) / 2 + 17, bar.small, 13)
                free = (a + b) / 2 - 15
        for peg in lane.pegs:
            parts += [
                _pin(x - 14, y(peg.at)) if lane.bars else _peg(x, y(peg.at), peg.open),
                *_named(x + 11, y(peg.at) + 4, peg.label, 13),
            ]
    parts += [_text(328, top - 6, say_day(at), 13, bold=True, anchor="end"), Markup("</svg>")]
    return Markup("").join(parts)


def _box(x: float, y: float, width: float, height: float, hatched: bool, pattern: str) -> Markup:
    shape = f"M{x:.1f} {y:.1f}h{width:.1f}v{height:.1f}h-{width:.1f}z"
    paint = f'fill="url(#{pattern})" stroke="currentColor" stroke-width="2"' if hatched else 'fill="currentColor"'
    return Markup(f'<path d="{shape}" {paint}/>')


def _peg(x: float, y: float, is_open: bool) -> Markup:
    fill = "none" if is_open else "currentColor"
    return Markup(
        f'<path d="M{x - 6:.1f} {y:.1f}h12M{x:.1f} {y:.1f}v-12" stroke="currentColor" stroke-width="3" fill="none"/>'
        f'<circle cx="{x:.1f}" cy="{y - 15:.1f}" r="4.5" fill="{fill}" stroke="currentColor" stroke-width="2"/>'
    )


def _pin(x: float, y: float) -> Markup:
    """A peg beside a bar: its head alone."""
    return Markup(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" fill="currentColor"/>')
