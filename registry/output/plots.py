"""What every plot is drawn with: a frame, its scales, dots, whiskers, lines and hatching, in one ink.

A plot is an image with a sentence that says what it shows; a table beneath it says the same in figures. Hatched means
outside a limit, dashed what is not there yet.
"""

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from markupsafe import Markup

WIDE, LEFT, RIGHT, TOP = 340.0, 58.0, 330.0, 24.0


class Box(NamedTuple):
    """The inside of a plot: its edges on the paper, and the values at them. `logarithmic` is of both axes."""

    bottom: float
    least_x: float
    most_x: float
    least_y: float
    most_y: float
    logarithmic: bool = False
    top: float = TOP

    def x(self, value: float) -> float:
        return LEFT + self._share(value, self.least_x, self.most_x) * (RIGHT - LEFT)

    def y(self, value: float) -> float:
        return self.bottom - self._share(value, self.least_y, self.most_y) * (self.bottom - self.top)

    def _share(self, value: float, least: float, most: float) -> float:
        if self.logarithmic:
            value, least, most = math.log10(value), math.log10(least), math.log10(most)
        return min(max((value - least) / (most - least), 0.0), 1.0)

    def edge(self) -> Markup:
        return path(f"M{LEFT} {self.top}H{RIGHT}V{self.bottom}H{LEFT}Z", width=2)


def plot(height: float, sentence: str, *parts: Markup) -> Markup:
    """The drawing with its sentence."""
    head = Markup('<svg class="plot" viewBox="0 0 {} {}" role="img" aria-label="{}">').format(
        f"{WIDE:g}", f"{height:g}", sentence
    )
    return Markup("").join([head, *parts, Markup("</svg>")])


def hatching(name: str) -> Markup:
    """The pattern of what lies outside; `name` is its own on the page."""
    return Markup(
        '<defs><pattern id="{}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<path d="M0 0V6" stroke="currentColor" stroke-width="4"/></pattern></defs>'
    ).format(name)


def hatched(box: Box, name: str, low: float, high: float) -> Markup:
    """The band between two values, hatched."""
    a, b = box.y(high), box.y(low)
    return Markup('<path d="M{} {}H{}V{}H{}z" fill="url(#{})" opacity=".28"/>').format(
        LEFT, f"{a:.1f}", RIGHT, f"{b:.1f}", LEFT, name
    )


def path(d: str, *, width: float = 1.4, dash: str = "") -> Markup:
    dashed = Markup(' stroke-dasharray="{}"').format(dash) if dash else Markup("")
    return Markup('<path d="{}" fill="none" stroke="currentColor" stroke-width="{}"{}/>').format(
        d, f"{width:g}", dashed
    )


def curve(points: Sequence[tuple[float, float]], *, width: float = 1.4, dash: str = "") -> Markup:
    """A line through points of the paper."""
    return path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points), width=width, dash=dash) if points else Markup("")


def dot(x: float, y: float, shape: str = "filled") -> Markup:
    """A result: `filled`, `open` or `square`."""
    if shape == "square":
        return Markup('<path d="M{} {}h6v6h-6z" fill="currentColor"/>').format(f"{x - 3:.1f}", f"{y - 3:.1f}")
    fill = "currentColor" if shape == "filled" else "none"
    radius = 4 if shape == "filled" else 3.2
    return Markup('<circle cx="{}" cy="{}" r="{}" fill="{}" stroke="currentColor" stroke-width="1.4"/>').format(
        f"{x:.1f}", f"{y:.1f}", radius, fill
    )


def whisker(x: float, low: float, high: float) -> Markup:
    """From one height of the paper to another, with feet."""
    return path(f"M{x:.1f} {low:.1f}V{high:.1f}M{x - 3:.1f} {low:.1f}h6M{x - 3:.1f} {high:.1f}h6")


def text(x: float, y: float, words: str, *, bold: bool = False, anchor: str = "start") -> Markup:
    weight = Markup(' font-weight="700"') if bold else Markup("")
    return Markup('<text x="{}" y="{}" font-size="13" text-anchor="{}"{}>{}</text>').format(
        f"{x:.1f}", f"{y:.1f}", anchor, weight, words
    )


def decades(least: float, most: float) -> list[float]:
    """The powers of ten within these values."""
    return [
        10.0**power for power in range(math.ceil(math.log10(least) - 1e-9), math.floor(math.log10(most) + 1e-9) + 1)
    ]


def ticks_left(box: Box, values: Sequence[float], say: Callable[[float], str]) -> Markup:
    """Values named on the left, each with its short line."""
    return Markup("").join(
        part
        for value in values
        for part in (
            path(f"M{LEFT - 4} {box.y(value):.1f}h4"),
            text(LEFT - 7, box.y(value) + 4, say(value), anchor="end"),
        )
    )
