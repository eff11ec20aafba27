"""Change over calibrations: a step at a recorded refit first, then a trend, and the day on which a limit is met."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.inputs import Numbers, number, series
from registry.inertial.limits import TrendLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import t_factor, t_tail
from registry.inertial.refusal import CannotCompute

DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares straight line y = intercept + slope x with standard errors; `dof` is n - 2."""

    slope: float
    intercept: float
    slope_se: float
    intercept_se: float
    residual_sd: float
    r2: float
    p: float
    n: int
    dof: int
    x_mean: float
    sxx: float


def fit_line(x: Numbers, y: Numbers) -> Line:
    """Straight line through n >= 3 points (n,), (n,); p is of a slope of zero, two-sided."""
    xs, ys = series(x, "The days", least=3), series(y, "The values", least=3)
    if len(xs) != len(ys):
        raise CannotCompute("Days and values are not of one number.", "Each value needs its day.")
    dx = xs - xs.mean()
    sxx = float(dx @ dx)
    if not sxx > 0:
        raise CannotCompute("All values are of one day.", "A trend needs different days.")
    slope = float(dx @ (ys - ys.mean())) / sxx
    intercept = float(ys.mean()) - slope * float(xs.mean())
    left = ys - intercept - slope * xs
    dof = len(xs) - 2
    rss, tss = float(left @ left), float(np.sum((ys - ys.mean()) ** 2))
    sd = math.sqrt(rss / dof)
    slope_se = sd / math.sqrt(sxx)
    p = 0.0 if slope_se == 0 and slope else 1.0 if slope_se == 0 else t_tail(slope / slope_se, dof)
    return Line(
        slope=slope,
        intercept=intercept,
        slope_se=slope_se,
        intercept_se=sd * math.sqrt(1 / len(xs) + float(xs.mean()) ** 2 / sxx),
        residual_sd=sd,
        r2=1 - rss / tss if tss > 0 else 1.0,
        p=p,
        n=len(xs),
        dof=dof,
        x_mean=float(xs.mean()),
        sxx=sxx,
    )


@dataclass(frozen=True, slots=True)
class LimitDay:
    """Day on which the line meets a limit, and the interval of that day (Fieller); an open end is None."""

    day: float
    earliest: float
    latest: float | None
    limit: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Drift of one figure over calibrations, per day and per year, with its interval and the day a limit is met.

    `meets` is None without a limit, when the drift is not shown at the level, or when it leads away from both limits.
    """

    slope_per_day: float
    slope_per_year: float
    half_width_per_year: float
    coverage: float
    intercept: float
    p: float
    shown: bool
    residual_sd: float
    n: int
    meets: LimitDay | None
    unit: str
    verdict: str
    next: str
    method: str
    limits: TrendLimits


def fit_trend(
    day: Numbers,
    value: Numbers,
    *,
    lower: float | None = None,
    upper: float | None = None,
    unit: str = "",
    limits: TrendLimits = TrendLimits(),
) -> Trend:
    """Trend of n >= 4 values (n,) over days (n,). A swap of unit, electronics or bracket starts a new series.

    Raises CannotCompute below 4 calibrations, for values of one day, and for a series that is not numbers.
    """
    if (count := len(series(value, "The values", least=0))) < limits.least_calibrations:
        raise CannotCompute(
            f"{count} calibrations show no trend; it takes {limits.least_calibrations}.", "Keep calibrating."
        )
    line = fit_line(day, value)
    shown = line.p < 1 - limits.level
    half = t_factor(limits.level, line.dof) * line.slope_se
    aim = (upper if line.slope > 0 else lower) if shown else None
    meets = None if aim is None else day_of_limit(line, aim, limits.level)
    verdict, then = _say(line, half, shown, meets, unit, limits)
    return Trend(
        slope_per_day=line.slope,
        slope_per_year=line.slope * DAYS_PER_YEAR,
        half_width_per_year=half * DAYS_PER_YEAR,
        coverage=limits.level,
        intercept=line.intercept,
        p=line.p,
        shown=shown,
        residual_sd=line.residual_sd,
        n=line.n,
        meets=meets,
        unit=unit,
        verdict=verdict,
        next=then,
        method=method("trend"),
        limits=limits,
    )


def _say(line: Line, half: float, shown: bool, meets: LimitDay | None, unit: str, limits: TrendLimits):
    rate = f"{line.slope * DAYS_PER_YEAR:+.3g} ± {half * DAYS_PER_YEAR:.2g} {unit} a year".replace("  ", " ")
    if not shown:
        return f"No drift is shown over {line.n} calibrations ({rate}, {limits.level:.0%}).", "Keep calibrating."
    if meets is None:
        return f"It drifts by {rate} ({limits.level:.0%}).", "Watch it; no limit lies on its way."
    return (
        f"It drifts by {rate} ({limits.level:.0%}) and meets {meets.limit:g} {unit} on day {meets.day:.0f},"
        f" day {meets.earliest:.0f} at the earliest.",
        f"Plan the next calibration before day {meets.earliest:.0f}.",
    )


def day_of_limit(line: Line, limit: float, level: float = 0.95) -> LimitDay:
    """Where the line meets `limit`, with Fieller's interval: days whose fitted value may be the limit at the level.

    Raises CannotCompute for a line without slope.
    """
    if line.slope == 0:
        raise CannotCompute("The line has no slope, so it meets no limit.")
    aim = number(limit, "The limit")
    day = (aim - line.intercept) / line.slope
    t2s2 = (t_factor(level, line.dof) * line.residual_sd) ** 2
    # |y(d) - limit|² <= t² s² (1/n + (d - mean)²/Sxx), solved for d - mean.
    a = line.slope**2 - t2s2 / line.sxx
    b = line.slope * (line.intercept + line.slope * line.x_mean - aim)
    c = (line.intercept + line.slope * line.x_mean - aim) ** 2 - t2s2 / line.n
    root = math.sqrt(max(0.0, b * b - a * c))
    if a > 0:
        return LimitDay(day, line.x_mean + (-b - root) / a, line.x_mean + (-b + root) / a, aim)
    # The slope itself is not shown at this level: the far end is open.
    near = line.x_mean + (-c / (b + math.copysign(root, b)) if b or root else 0.0)
    return LimitDay(day, near, None, aim)


@dataclass(frozen=True, slots=True)
class Step:
    """A jump between the calibrations before and after a recorded refit, by a two-sample t (pooled)."""

    step: float
    half_width: float
    coverage: float
    t: float
    p: float
    shown: bool
    residual_sd: float
    residual_sd_line: float
    unit: str
    verdict: str
    next: str
    method: str


def fit_step(
    day: Numbers, value: Numbers, refit_after: int, *, unit: str = "", limits: TrendLimits = TrendLimits()
) -> Step:
    """Step after the first `refit_after` values (n,) in order of `day` (n,), each side holding at least two.

    Test it before a trend: a step also gives a significant slope. Raises CannotCompute when a side is too short.
    """
    x, y = series(day, "The days"), series(value, "The values")
    before, after = y[:refit_after], y[refit_after:]
    if len(x) != len(y) or min(len(before), len(after)) < 2:
        raise CannotCompute("Each side of the refit needs two calibrations.", "Calibrate once more.")
    step = float(after.mean() - before.mean())
    dof = len(y) - 2
    sd = math.sqrt((float(np.sum((before - before.mean()) ** 2)) + float(np.sum((after - after.mean()) ** 2))) / dof)
    se = sd * math.sqrt(1 / len(before) + 1 / len(after))
    t = step / se if se else math.copysign(math.inf, step) if step else 0.0
    p = t_tail(t, dof)
    half = t_factor(limits.level, dof) * se
    shown = p < 1 - limits.level
    return Step(
        step,
        half,
        limits.level,
        t,
        p,
        shown,
        sd,
        fit_line(x, y).residual_sd,
        unit,
        f"The refit changed it by {step:+.3g} ± {half:.2g} {unit}".rstrip() + "."
        if shown
        else f"No step is shown at the refit ({step:+.3g} ± {half:.2g} {unit}".rstrip() + ").",
        "Start a new series at the refit." if shown else "Treat it as one series.",
        method("step"),
    )


@dataclass(frozen=True, slots=True)
class History:
    """A series with its recorded refits: every step, and the trend of what came after the last one that is shown."""

    steps: tuple[tuple[int, Step], ...]
    series_from: int
    trend: Trend | None
    verdict: str
    next: str
    method: str


def read_history(
    day: Numbers,
    value: Numbers,
    refits_after: tuple[int, ...] = (),
    *,
    lower: float | None = None,
    upper: float | None = None,
    unit: str = "",
    limits: TrendLimits = TrendLimits(),
) -> History:
    """Steps at each recorded refit first, then the trend since the last shown step (None below 4 calibrations).

    `refits_after` counts the values before each refit. Each step is tested between its neighbours only.
    """
    x, y = series(day, "The days"), series(value, "The values")
    steps, start = [], 0
    ends = [*refits_after[1:], len(y)] if refits_after else []
    for refit, end in zip(refits_after, ends, strict=True):
        if min(refit - start, end - refit) < 2:
            # Too few to test: the refit still starts a new series, since nothing shows that nothing changed.
            start = refit
            continue
        found = fit_step(x[start:end], y[start:end], refit - start, unit=unit, limits=limits)
        steps.append((refit, found))
        start = refit if found.shown else start
    rest = len(y) - start
    trend = None
    if rest >= limits.least_calibrations:
        trend = fit_trend(x[start:], y[start:], lower=lower, upper=upper, unit=unit, limits=limits)
    said = [step.verdict for _, step in steps]
    said.append(trend.verdict if trend else f"{rest} calibrations since the last refit: no trend statement.")
    return History(
        tuple(steps), start, trend, " ".join(said), trend.next if trend else "Keep calibrating.", method("trend")
    )
