"""What a fit leaves over, drawn: a dot for each pair of directions or leg, whiskers of two sigma, hatched outside tolerance."""

from collections.abc import Sequence
from typing import NamedTuple

from markupsafe import Markup

LEFT, RIGHT, TOP, FOOT = 58.0, 348.0, 22.0, 206.0


class Dot(NamedTuple):
    """One residual in degrees with its sigma."""

    name: str
    left_deg: float
    sigma_deg: float


def said(dots: Sequence[Dot], tolerance_deg: float | None) -> str:
    """The same in words: how many, between what, and against which tolerance."""
    low, high = min(dot.left_deg for dot in dots), max(dot.left_deg for dot in dots)
    told = f"{len(dots)} residuals, from {_signed(low)} to {_signed(high)} degrees"
    if tolerance_deg is None:
        return f"{told}; no tolerance is stated."
    outside = [dot.name for dot in dots if abs(dot.left_deg) > tolerance_deg]
    where = f"outside it: {', '.join(outside)}" if outside else "all lie within it"
    return f"{told}; the tolerance is plus or minus {tolerance_deg:g} degrees, {where}."


def residual_plot(dots: Sequence[Dot], tolerance_deg: float | None) -> Markup:
    """The drawing, with its sentence as its name."""
    widest = max(max(abs(dot.left_deg) + 2 * dot.sigma_deg for dot in dots), tolerance_deg or 0.0, 1e-4) * 1.2
    y = lambda value: FOOT - (value + widest) / (2 * widest) * (FOOT - TOP)  # noqa: E731
    parts = [
        Markup('<svg class="plot" viewBox="0 0 360 242" role="img" aria-label="{}">').format(said(dots, tolerance_deg)),
        Markup('<defs><pattern id="hatch-residuals" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
               '<path d="M0 0V6" stroke="currentColor" stroke-width="4"/></pattern></defs>'),
        *(_outside(y(tolerance_deg), y(-tolerance_deg)) if tolerance_deg else ()),
        Markup(f'<path d="M{LEFT} {TOP}H{RIGHT}V{FOOT}H{LEFT}Z" fill="none" stroke="currentColor" stroke-width="2"/>'),
        Markup(f'<path d="M{LEFT} {y(0):.1f}H{RIGHT}" stroke="currentColor"/>'),
        *(_mark(value, y(value)) for value in ((-tolerance_deg, 0.0, tolerance_deg) if tolerance_deg else (-widest / 1.2, 0.0, widest / 1.2))),
        _text(LEFT, 13, "Residual, degrees", bold=True),
        _text(RIGHT, 238, dots[0].name.split()[0], anchor="end"),
    ]  # fmt: skip
    step = (RIGHT - LEFT) / len(dots)
    every = max(1, -(-len(dots) // 10))
    for place, dot in enumerate(dots):
        parts.append(_dot(LEFT + (place + 0.5) * step, y, dot))
        if place % every == 0:
            parts.append(_text(LEFT + (place + 0.5) * step, 223, str(place + 1), anchor="middle"))
    return Markup("").join([*parts, Markup("</svg>")])


def _outside(upper: float, lower: float) -> tuple[Markup, ...]:
    return (
        Markup(
            f'<path d="M{LEFT} {TOP}H{RIGHT}V{upper:.1f}H{LEFT}zM{LEFT} {lower:.1f}H{RIGHT}V{FOOT}H{LEFT}z" fill="url(#hatch-residuals)" opacity=".28"/>'
        ),
        Markup(f'<path d="M{LEFT} {upper:.1f}H{RIGHT}M{LEFT} {lower:.1f}H{RIGHT}" stroke="currentColor" stroke-width="2"/>'),
        _text(RIGHT - 4, max(upper - 5, TOP + 12), "tolerance", bold=True, anchor="end"),
    )  # fmt: skip


def _mark(value: float, y: float) -> Markup:
    return _text(LEFT - 6, y + 4, _signed(value), anchor="end")


def _dot(x: float, y, dot: Dot) -> Markup:
    low, high = y(dot.left_deg - 2 * dot.sigma_deg), y(dot.left_deg + 2 * dot.sigma_deg)
    return Markup(
        f'<path d="M{x:.1f} {high:.1f}V{low:.1f}M{x - 3:.1f} {high:.1f}h6M{x - 3:.1f} {low:.1f}h6" stroke="currentColor" stroke-width="1.4"/>'
        f'<circle cx="{x:.1f}" cy="{y(dot.left_deg):.1f}" r="4" fill="currentColor"/>'
    )


def _text(x: float, y: float, words: str, *, bold: bool = False, anchor: str = "start") -> Markup:
    weight = Markup(' font-weight="700"') if bold else ""
    return Markup('<text x="{}" y="{}" font-size="12" text-anchor="{}"{}>{}</text>').format(f"{x:.1f}", f"{y:.1f}", anchor, weight, words)  # fmt: skip


def _signed(value: float) -> str:
    return f"{'−' if value < 0 else '+' if value > 0 else ''}{abs(value):.3f}"
