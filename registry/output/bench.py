"""What a static test recorded, drawn: the rates and the specific force as they ran, and the Allan deviation of each
gyro with its fit."""

import math
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from registry.output.plots import LEFT, RIGHT, Box, curve, decades, dot, path, plot, text, ticks_left

_STRIP, _GAP = 46.0, 14.0
_SHAPES = {"x": "filled", "y": "open", "z": "square"}
#: The floor of flicker noise over its coefficient: sqrt(2 ln 2 / pi) (IEEE 952 Annex C).
_FLICKER = math.sqrt(2 * math.log(2) / math.pi)


def trace_plot(name: str, unit: str, rows: Sequence[Sequence[float]], every_s: float, digits: int) -> Markup:
    """Three strips, x, y and z, each about its own mean and on its own scale; `rows` are means of equal stretches."""
    parts, told, top = [text(0, 14, f"{name}, {unit}", bold=True)], [], 30.0
    for place, axis in enumerate("xyz"):
        values = [row[place] for row in rows]
        mean = sum(values) / len(values)
        reach = max(max(abs(value - mean) for value in values), 10.0**-digits)
        box = Box(top + _STRIP, 0.0, max(len(values) - 1.0, 1.0), -reach, reach, top=top)
        parts += [box.edge(), path(f"M{LEFT} {box.y(0):.1f}H{RIGHT}", width=0.8)]
        parts.append(curve([(box.x(n), box.y(value - mean)) for n, value in enumerate(values)]))
        parts += [
            text(LEFT - 7, box.y(0) - 2, axis, bold=True, anchor="end"),
            text(LEFT - 7, box.y(0) + 14, f"± {reach:.2g}", anchor="end"),
        ]
        told.append(f"{axis} about {mean:.{digits}f}, within {reach:.2g}")
        top += _STRIP + _GAP
    minutes = every_s * len(rows) / 60
    parts.append(text(RIGHT, top + 4, f"{minutes:.0f} min", anchor="end"))
    return plot(top + 10, f"{name} over {minutes:.0f} minutes, {unit}: {'; '.join(told)}.", *parts)


def allan_plot(allan: dict[str, Any]) -> Markup:
    """Allan deviation over averaging time, both logarithmic; dots by axis, the fitted terms as thin lines."""
    curves = {axis: told["curve"] for axis, told in allan.items()}
    times = [t for one in curves.values() for t in one["tau_s"]]
    heights = [d for one in curves.values() for d in one["deviation"] if d > 0]
    least, most = 10 ** math.floor(math.log10(min(heights))), 10 ** math.ceil(math.log10(max(heights)) + 1e-9)
    box = Box(210.0, min(times), max(times), least, max(most, 10 * least), logarithmic=True)
    parts = [box.edge(), text(0, 14, "Allan deviation, deg/h", bold=True)]
    parts.append(ticks_left(box, decades(box.least_y, box.most_y), lambda v: f"{v:g}"))
    for time in decades(box.least_x, box.most_x):
        parts += [
            path(f"M{box.x(time):.1f} {box.bottom}v4"),
            text(box.x(time), box.bottom + 18, f"{time:g}", anchor="middle"),
        ]
    parts.append(text(RIGHT, box.bottom + 36, "averaging time, s", anchor="end"))
    for axis, one in curves.items():
        fit = [(t, fitted(allan[axis]["terms"], t)) for t in one["tau_s"]]
        parts.append(curve([(box.x(t), box.y(value)) for t, value in fit if value > 0], width=1))
        points = list(zip(one["tau_s"], one["deviation"], strict=True))[::2]
        parts += [dot(box.x(t), box.y(d), _SHAPES[axis]) for t, d in points if d > 0]
    for place, (axis, shape) in enumerate(_SHAPES.items()):
        parts += [
            dot(LEFT + 12 + 40 * place, box.bottom + 32, shape),
            text(LEFT + 20 + 40 * place, box.bottom + 36, axis),
        ]
    told = " ".join(f"Gyro {axis}: {one['terms']['verdict']}" for axis, one in allan.items())
    return plot(254.0, f"Allan deviation of the three gyros over averaging time. {told}", *parts)


def fitted(terms: dict[str, Any], tau_s: float) -> float:
    """The deviation that the fitted terms draw at an averaging time; 0 when none was found."""
    n, b, k, r = (terms.get(name) or 0.0 for name in ("white", "bias_instability", "random_walk_k", "ramp"))
    return math.sqrt(n * n / tau_s + (_FLICKER * b) ** 2 + k * k * tau_s / 3 + r * r * tau_s**2 / 2)
