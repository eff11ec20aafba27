"""The hull strip: a vehicle's outline, bow left, with its bays where they sit and a ruler in metres."""

from collections.abc import Iterable
from typing import NamedTuple

from markupsafe import Markup

from registry.output.discs import symbol_name

#: Outline, height of the middle of a disc, and where the dropped line begins, for each hull.
_TORPEDO = (
    '<path d="M14 46C14 25 38 23 54 23H276Q316 25 346 41V51Q316 67 276 69H54C38 69 14 67 14 46Z"/>'
    '<path d="M308 29L320 6H334L337 36M308 63L320 86H334L337 56M346 33V59"/>'
)
_FRAME = (
    '<path d="M14 6H346V28H14Z"/><path d="M18 28V78M342 28V78M8 78H350M18 62H66M294 62H342"/>'
    '<circle cx="44" cy="45" r="11"/><circle cx="316" cy="45" r="11"/><path d="M44 34V56M316 34V56"/>'
)
_SURFACE = (
    '<path d="M14 28C24 62 44 78 78 80H338L346 34H250L240 14H196L178 34L14 28Z"/><path d="M218 14V2"/>'
    '<path d="M0 62H36M343 62H360" stroke-dasharray="5 4"/>'
)
_HULLS = {"torpedo": (_TORPEDO, 46, 64), "open_frame": (_FRAME, 55, 73), "surface": (_SURFACE, 56, 74)}
_LEFT, _WIDTH = 14.0, 332.0
_STEPS = (0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


class BayMark(NamedTuple):
    """A bay on the strip."""

    letter: str
    from_bow_m: float
    disc: str


def hull_strip(hull: str, length_m: float, bays: Iterable[BayMark]) -> Markup:
    """The strip as SVG, hidden from readers: the list of bays beneath says the same."""
    outline, middle, drop = _HULLS[hull]
    parts = [
        Markup('<svg class="hull" viewBox="0 0 360 118" aria-hidden="true">'),
        Markup(f'<g fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round">{outline}</g>'),
        _ruler(length_m),
    ]
    for bay in bays:
        x = _LEFT + min(max(bay.from_bow_m / length_m, 0.0), 1.0) * _WIDTH
        parts.append(
            Markup(
                '<path d="M{x} {drop}V100" stroke="currentColor" stroke-width="1.4" stroke-dasharray="2 2"/>'
                '<path d="M{left} 94h8l-4 6z" fill="currentColor"/><use href="#{sign}" x="{sx}" y="{sy}" width="38" height="38"/>'
                '<text x="{tx}" y="93" font-size="13" font-weight="700">{letter}</text>'
            ).format(
                x=f"{x:.1f}",
                drop=drop,
                left=f"{x - 4:.1f}",
                sign=symbol_name(bay.disc),
                sx=f"{x - 19:.1f}",
                sy=middle - 19,
                tx=f"{x + 7:.1f}",
                letter=bay.letter,
            )
        )
    return Markup("").join([*parts, Markup("</svg>")])


class OffsetMark(NamedTuple):
    """Another sensor on the strip: its name, and how far ahead of the bay it sits."""

    name: str
    forward_m: float


def offset_strip(hull: str, length_m: float, letter: str, from_bow_m: float, marks: Iterable[OffsetMark]) -> Markup:
    """The hull with one bay and what its lever arms lead to, each on a line of its own; the table says the same."""
    outline, middle, drop = _HULLS[hull]
    marks, bay_x = list(marks), _kept_at(from_bow_m, length_m)
    height = 128 + 20 * len(marks)
    parts = [
        Markup(f'<svg class="hull" viewBox="0 0 360 {height}" aria-hidden="true">'),
        Markup(f'<g fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round">{outline}</g>'),
        _ruler(length_m),
        Markup(
            f'<path d="M{bay_x:.1f} {middle}V{height - 6}" stroke="currentColor" stroke-width="1.4" stroke-dasharray="2 2"/>'
        ),
        Markup(f'<circle cx="{bay_x:.1f}" cy="{middle}" r="7" fill="currentColor"/>'),
        Markup('<text x="{}" y="{}" font-size="13" font-weight="700">{}</text>').format(
            f"{bay_x + 10:.1f}", middle - 10, letter
        ),
    ]
    for row, mark in enumerate(marks):
        x, y = _kept_at(from_bow_m - mark.forward_m, length_m), 140 + 20 * row
        end, anchor = _beside(x, bay_x)
        parts.append(
            Markup(
                '<path d="M{x} {top}V{y}" stroke="currentColor" stroke-dasharray="1 3"/><path d="M{bay} {y}H{x}" stroke="currentColor" stroke-width="2"/>'
                '<path d="M{left} {up}h8l-4 7z" fill="currentColor"/><text x="{end}" y="{base}" font-size="12" text-anchor="{anchor}">{name}</text>'
            ).format(
                x=f"{x:.1f}", top=drop, y=y, bay=f"{bay_x:.1f}", left=f"{x - 4:.1f}", up=y - 4, end=f"{end:.1f}", base=y - 4,
                anchor=anchor, name=mark.name,
            )
        )  # fmt: skip
    return Markup("").join([*parts, Markup("</svg>")])


def _beside(x: float, bay_x: float) -> tuple[float, str]:
    """Where the name of a mark stands: on the side away from the bay, or beyond the bay where there is no room."""
    if x < bay_x:
        return (x - 8, "end") if x > 110 else (bay_x + 8, "start")
    return (x + 8, "start") if x < 250 else (min(x, bay_x) - 8, "end")


def _kept_at(metres: float, length_m: float) -> float:
    """Where a distance from the bow is drawn; what sticks out beyond the hull is drawn at its end."""
    return _at(min(max(metres, 0.0), length_m), length_m)


def _ruler(length_m: float) -> Markup:
    """Ticks at a round step, numbers at every second; the last number says the unit."""
    step = next((s for s in _STEPS if length_m / s <= 16), length_m)
    count = int(length_m / step + 1e-9)
    numbered = [n for n in range(count + 1) if n % 2 == 0]
    ticks = "".join(f"M{_at(n * step, length_m):.1f} 100v{6 if n % 2 == 0 else 3}" for n in range(count + 1))
    texts = "".join(
        f'<text x="{_at(n * step, length_m):.1f}" y="117" font-size="11" text-anchor="middle">{n * step:g}{" m" if n == numbered[-1] else ""}</text>'
        for n in numbered
    )
    return Markup(
        f'<path d="M14 100H346" stroke="currentColor"/><path d="{ticks}" stroke="currentColor" fill="none"/>{texts}'
    )


def _at(metres: float, length_m: float) -> float:
    return _LEFT + metres / length_m * _WIDTH
