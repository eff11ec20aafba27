"""A unit's own data-sheet limits, each with its statistic and conditions, and measured figures judged against them."""

import math
from dataclasses import dataclass
from enum import StrEnum

from registry.inertial.decisions import Outcome, Rule, judge
from registry.inertial.gyrocompass import class_heading_deg
from registry.inertial.inputs import number
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute


class Statistic(StrEnum):
    """What a data sheet means by its figure."""

    ONE_SIGMA = "1 sigma"
    RMS = "r.m.s."
    CEP = "CEP (50 %)"
    P95 = "95 %"
    LARGEST = "largest"


#: One standard deviation over the figure. CEP is the median of a circular normal: 1.1774 sigma. A largest value is
#: taken as three sigma (common practice, from memory).
_ONE_SIGMA = {
    Statistic.ONE_SIGMA: 1.0,
    Statistic.RMS: 1.0,
    Statistic.CEP: 1 / math.sqrt(2 * math.log(2)),
    Statistic.P95: 1 / normal_factor(0.95),
    Statistic.LARGEST: 1 / 3,
}


@dataclass(frozen=True, slots=True)
class Limit:
    """One figure of the data sheet: value, what it is a statistic of, and the conditions as the sheet states them."""

    value: float
    statistic: Statistic = Statistic.ONE_SIGMA
    conditions: str = ""

    @property
    def one_sigma(self) -> float:
        return number(self.value, "The limit", above=0) * _ONE_SIGMA[Statistic(self.statistic)]

    @property
    def at_95(self) -> float:
        """What 95 of 100 units stay under; a largest value is taken as it stands."""
        if self.statistic is Statistic.LARGEST:
            return number(self.value, "The limit", above=0)
        return normal_factor(0.95) * self.one_sigma


@dataclass(frozen=True, slots=True)
class UnitClass:
    """Limits of a unit type; None where its data sheet is silent."""

    gyro_bias_deg_h: Limit | None = None
    gyro_walk_deg_sqrt_h: Limit | None = None
    gyro_floor_deg_h: Limit | None = None
    acc_bias_m_s2: Limit | None = None
    acc_walk_m_s_sqrt_h: Limit | None = None
    heading_deg_seclat: Limit | None = None
    percent_of_distance: Limit | None = None
    free_inertial_nmi_h: Limit | None = None
    source: str = ""

    def heading_95_deg(self, lat_deg: float) -> float:
        """The heading class at a latitude, at 95 %."""
        if self.heading_deg_seclat is None:
            raise CannotCompute("The heading class is not on record.", "Enter it from the unit’s data sheet.")
        return class_heading_deg(self.heading_deg_seclat.at_95, lat_deg)


@dataclass(frozen=True, slots=True)
class ClassComparison:
    """A measured figure against the unit's own limit, judged at 95 % with the uncertainty of the measurement."""

    name: str
    measured: float
    u: float
    limit: Limit
    limit_95: float
    share: float
    outcome: Outcome
    risk: float | None
    verdict: str
    next: str
    method: str


def compare_with_class(
    name: str, measured: float, u: float, limit: Limit | None, *, unit: str = "", rule: Rule | str = Rule.FOUR_WAY
) -> ClassComparison:
    """Judge |measured| with standard uncertainty `u` against the limit at 95 % (both in `unit`).

    Raises CannotCompute when the class holds no limit for it: nothing is assumed from a band of units.
    """
    if limit is None:
        raise CannotCompute(f"The class holds no limit for {name}.", "Enter it from the unit’s data sheet.")
    size = abs(number(measured, name))
    found = judge(size, upper=limit.at_95, u=number(u, "The uncertainty", above=0), rule=rule, unit=unit)
    share = size / limit.at_95
    return ClassComparison(
        name=name,
        measured=float(measured),
        u=float(u),
        limit=limit,
        limit_95=limit.at_95,
        share=share,
        outcome=found.outcome,
        risk=found.risk,
        verdict=f"{name}: {size:.3g} {unit}".rstrip() + f", {share:.0%} of the limit of {limit.at_95:.3g} at 95 %"
        f" (sheet: {limit.value:g}, {Statistic(limit.statistic).value}). {found.outcome.capitalize()}.",
        next=found.next,
        method=method("class-comparison"),
    )


@dataclass(frozen=True, slots=True)
class Band:
    """A band of inertial units as reviews draw it: context, never a limit of a verdict."""

    name: str
    gyro_deg_h: tuple[float, float]
    free_inertial_nmi_h: tuple[float, float] | None
    acc_ug_below: float | None


#: El-Sheimy & Youssef, Satellite Navigation 1 (2020) 2, Table 1.
BANDS = (
    Band("strategic", (0.0001, 0.001), None, None),
    Band("navigation", (0.001, 0.01), (0.0, 1.0), 100.0),
    Band("tactical", (1.0, 10.0), (10.0, 20.0), None),
)


def band_of(gyro_bias_deg_h: float) -> str:
    """The band a gyro drift falls into, or the bands it falls between: a word for a report, not a verdict."""
    size = abs(number(gyro_bias_deg_h, "The gyro bias in deg/h"))
    for band in BANDS:
        if size <= band.gyro_deg_h[1]:
            inside = size >= band.gyro_deg_h[0] or band is BANDS[0]
            return band.name if inside else f"between {BANDS[BANDS.index(band) - 1].name} and {band.name}"
    return "beyond tactical"
