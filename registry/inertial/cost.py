"""What a misalignment costs: percent of distance, metres per kilometre, and its share of the unit's class."""

import math
from dataclasses import dataclass

from registry.inertial.inputs import number
from registry.inertial.limits import CostLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute


@dataclass(frozen=True, slots=True)
class MisalignmentCost:
    """Cost of a heading misalignment that is left in, alone and beside a class of so many percent of distance.

    `cross_percent` is across the track over distance along it (tan). `mark` is how it is drawn: open while it hides
    in the class, hatched up to the class, solid beyond; None when no class is on record.
    """

    angle_deg: float
    sigma_deg: float | None
    cross_percent: float
    cross_m_per_km: float
    sigma_m_per_km: float | None
    half_width_m_per_km: float | None
    coverage: float | None
    class_percent: float | None
    share_of_class: float | None
    total_over_class: float | None
    mark: str | None
    verdict: str
    next: str
    method: str
    limits: CostLimits


def cross_percent(angle_deg: float) -> float:
    """Percent of distance across the track: 0.01 degree is 0.0175 %, 1 degree 1.746 %."""
    return 100 * math.tan(math.radians(number(angle_deg, "The angle in degrees", least=-89, most=89)))


def angle_for_percent_deg(percent: float) -> float:
    """The misalignment that alone spends this percent of distance: 0.1 % is 0.0573 degree."""
    return math.degrees(math.atan(number(percent, "The percentage", least=0) / 100))


def total_over_class(share: float) -> float:
    """Root-sum-square of a class and a misalignment of `share` times it: 1/3 adds 5 %, 1 adds 41 %."""
    return math.hypot(1, number(share, "The share of the class", least=0))


def misalignment_cost(
    angle_deg: float,
    *,
    sigma_deg: float | None = None,
    class_percent: float | None = None,
    limits: CostLimits = CostLimits(),
) -> MisalignmentCost:
    """Price a heading misalignment (deg, to starboard +), against a class in percent of distance when there is one.

    It grows with net distance only: out-and-back lines cancel it at the end point, not in the mapped positions.
    Raises CannotCompute for angles over 15 degrees (that is a mounting entry) and a class that is not over zero.
    """
    angle = number(angle_deg, "The angle in degrees")
    if abs(angle) > 15:
        raise CannotCompute(
            f"{angle:.1f}° is no misalignment; it is a wrong mounting entry.", "Check the mounting first."
        )
    percent = abs(cross_percent(angle))
    sigma = None if sigma_deg is None else number(sigma_deg, "Sigma of the angle", least=0)
    spread = None if sigma is None else 1000 * math.radians(sigma) / math.cos(math.radians(angle)) ** 2
    share = total = mark = None
    if class_percent is not None:
        share = percent / number(class_percent, "The class in percent of distance", above=0)
        total = total_over_class(share)
        mark = "open" if share <= limits.open_share else "hatched" if share <= limits.solid_share else "solid"
    return MisalignmentCost(
        angle_deg=angle,
        sigma_deg=sigma,
        cross_percent=percent,
        cross_m_per_km=10 * percent,
        sigma_m_per_km=spread,
        half_width_m_per_km=None if spread is None else normal_factor(0.95) * spread,
        coverage=None if spread is None else 0.95,
        class_percent=class_percent,
        share_of_class=share,
        total_over_class=total,
        mark=mark,
        verdict=_verdict(angle, percent, class_percent, total),
        next=_next(angle, mark),
        method=method("misalignment-cost"),
        limits=limits,
    )


def _verdict(angle: float, percent: float, class_percent: float | None, total: float | None) -> str:
    so = f"{abs(angle):.2f}° left in costs {percent:.2f} % of distance, {10 * percent:.1f} m in each kilometre."
    if total is None:
        return f"{so} The unit’s class is not on record."
    return f"{so} With the class of {class_percent:g} % the total grows by {100 * (total - 1):.0f} %."


def _next(angle: float, mark: str | None) -> str:
    if mark == "open":
        return "It hides in the class: nothing to change."
    if angle == 0:
        return "Nothing to change."
    return f"Correct the yaw offset by {-angle:+.2f}° in the unit settings, then make a check run."


@dataclass(frozen=True, slots=True)
class EndError:
    """Error at the end of one straight leg with misalignment and scale left in."""

    cross_m: float
    along_m: float
    end_m: float
    end_percent: float
    small_angle_percent: float
    frame: str
    method: str


def end_error(angle_deg: float, scale: float, distance_m: float) -> EndError:
    """(1 + beta) e^(i theta) D - D of a straight leg; the small-angle form is D sqrt(beta² + theta²)."""
    theta, beta = math.radians(number(angle_deg, "The angle")), number(scale, "The scale", above=-1)
    d = number(distance_m, "The distance in metres", above=0)
    cross, along = (1 + beta) * math.sin(theta) * d, ((1 + beta) * math.cos(theta) - 1) * d
    end = math.hypot(cross, along)
    return EndError(
        cross,
        along,
        end,
        100 * end / d,
        100 * math.hypot(beta, theta),
        "along and across the true track",
        method("misalignment-cost"),
    )


def end_errors_of_legs(angle_deg: float, scale: float, legs: list[tuple[float, float]]) -> tuple[list[EndError], float]:
    """Each leg's own error, and the error at the end of them all; legs are (heading in degrees, length in metres).

    A closed box has none at its end and all of it in the mapped positions, so a report shows the legs.
    """
    if not legs:
        raise CannotCompute("There is no leg to price.")
    net = sum(complex(math.cos(math.radians(h)), math.sin(math.radians(h))) * d for h, d in legs)
    factor = (1 + scale) * complex(math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))) - 1
    return [end_error(angle_deg, scale, length) for _, length in legs], abs(net * factor)
