"""From a recorded run to legs: turns and their tails left out, short legs and lost bottom lock dropped, means taken."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from registry.inertial.dvl import fit_dvl
from registry.inertial.dvl_refusals import shortest_baseline_m
from registry.inertial.dvl_run import DvlFit, DvlRun
from registry.inertial.inputs import Matrix, Numbers, number, rows, series
from registry.inertial.limits import DvlLimits
from registry.inertial.north import North, declared
from registry.inertial.refusal import CannotCompute

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A recorded run: n rows in order of time.

    `heading_deg` (n,) is the unit's own, clockwise from `heading_north`; `v_dvl_m_s` (n, 2) is forward and starboard
    of the DVL, level; `v_ref_m_s` (n, 2) is north and east of the reference in `reference_north`. `rtk` says whether
    the reference is RTK or PPK. `water_track`: the DVL saw water, not bottom, so a current is fitted too.
    """

    t_s: Numbers
    heading_deg: Numbers
    v_dvl_m_s: Matrix
    v_ref_m_s: Matrix
    heading_north: North | None
    reference_north: North | None
    sound_speed_m_s: float | None
    measured_sound_speed_m_s: float | None = None
    phased_array: bool = False
    bottom_lock: Numbers | None = None
    rtk: bool = False
    fix_sigma_m: float | None = None
    water_track: bool = False
    clock_known: bool = True


@dataclass(frozen=True, slots=True)
class Leg:
    """A straight piece of a run: rows `first`..`last` (both in), mean heading true, length of the reference."""

    first: int
    last: int
    seconds: float
    length_m: float
    heading_deg: float
    bottom_lock: float
    used: bool
    why_not: str


def split_legs(track: Track, limits: DvlLimits = DvlLimits()) -> tuple[Leg, ...]:
    """Straight legs: the heading turns slower than 0.5 deg/s over 5 s, and 30 s after each turn are left out.

    A leg is used when it is long enough (200 m with RTK or PPK, else 800 m, and never under the length rule for
    `fix_sigma_m`) and 90 % of it has bottom lock. Raises CannotCompute for a clock that does not run forward.
    """
    t, heading, _, z_ref, lock = _arrays(track)
    turning = np.abs(_turn_rate(t, heading)) > limits.turn_rate_deg_s
    edges = np.flatnonzero(np.diff(np.concatenate([[True], turning, [True]]).astype(int)))
    least = limits.least_leg_m if track.rtk else limits.least_leg_without_rtk_m
    if track.fix_sigma_m is not None:
        least = max(least, shortest_baseline_m(track.fix_sigma_m, limits.wanted_half_width_deg))
    legs = []
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        first = int(start) if start == 0 else int(np.searchsorted(t, t[start] + limits.settle_s))
        if stop - first < 2:
            continue
        legs.append(_leg(first, int(stop) - 1, t, heading, z_ref, lock, least, limits))
    return tuple(legs)


def _leg(first: int, last: int, t: Array, heading: Array, z_ref: NDArray, lock: Array, least: float, limits) -> Leg:
    piece = slice(first, last + 1)
    length = abs(complex(np.trapezoid(z_ref[piece], t[piece])))
    share = float(lock[piece].mean())
    mean = float(np.degrees(np.angle(np.exp(1j * np.radians(heading[piece])).mean()))) % 360.0
    why = ""
    if length < least:
        why = f"{length:.0f} m is shorter than {least:.0f} m"
    elif share < limits.least_bottom_lock:
        why = f"bottom lock for {share:.0%} of it"
    return Leg(first, last, float(t[last] - t[first]), length, mean, share, not why, why)


def _turn_rate(t: Array, heading: Array, window_s: float = 5.0) -> Array:
    """Heading rate (deg/s) over a centred window, so that noise of the heading is not a turn."""
    turned = np.unwrap(np.radians(heading))
    before = np.searchsorted(t, t - window_s / 2)
    after = np.minimum(np.searchsorted(t, t + window_s / 2, side="right"), len(t)) - 1
    spent = t[after] - t[before]
    return np.degrees(turned[after] - turned[before]) / np.where(spent > 0, spent, np.inf)


def _arrays(track: Track) -> tuple[Array, Array, NDArray, NDArray, Array]:
    t = series(track.t_s, "The times", least=10)
    if not (np.diff(t) > 0).all():
        raise CannotCompute("The clock of the track steps back or stands.", "Export the track in order of time.")
    heading = series(track.heading_deg, "The headings")
    dvl, ref = rows(track.v_dvl_m_s, "The DVL velocities", 2), rows(track.v_ref_m_s, "The reference velocities", 2)
    lock = np.ones(len(t)) if track.bottom_lock is None else series(track.bottom_lock, "Bottom lock")
    if {len(heading), len(dvl), len(ref), len(lock)} != {len(t)}:
        raise CannotCompute("The columns of the track are not of one length.", "Export them on one time base.")
    grid = declared(track.reference_north)
    z_ref = (ref[:, 0] + 1j * ref[:, 1]) * np.exp(1j * math.radians(grid.to_true_deg)) / grid.distance_scale
    true_heading = heading + declared(track.heading_north).to_true_deg
    return t, true_heading, dvl[:, 0] + 1j * dvl[:, 1], z_ref, lock


def run_of_track(track: Track, average_s: float = 10.0, limits: DvlLimits = DvlLimits()) -> tuple[DvlRun, tuple]:
    """A `DvlRun` of means over `average_s` within the used legs, north-east and true, and all legs with their fate.

    Means come before the fit because noise of the DVL lowers a fitted scale. Raises CannotCompute when no leg is left.
    """
    legs = split_legs(track, limits)
    t, heading, z_dvl, z_ref, lock = _arrays(track)
    z_dvl = z_dvl * np.exp(1j * np.radians(heading))
    step = number(average_s, "The averaging time in seconds", above=0)
    means: list[tuple[complex, complex, float, int]] = []
    for index, leg in enumerate(each for each in legs if each.used):
        where = np.arange(leg.first, leg.last + 1)[lock[leg.first : leg.last + 1] > 0.5]
        group = ((t[where] - t[leg.first]) // step).astype(int)
        for each in np.unique(group):
            some = where[group == each]
            means.append((z_ref[some].mean(), z_dvl[some].mean(), leg.heading_deg, index))
    if not means:
        reasons = "; ".join(sorted({leg.why_not for leg in legs if leg.why_not})) or "the run only turns"
        raise CannotCompute(
            f"No leg can be used: {reasons}.", "Run two reciprocal pairs on two headings, straight and long enough."
        )
    ref, dvl, headings, numbers = (np.array(column) for column in zip(*means, strict=True))
    run = DvlRun(
        v_ref_m_s=np.column_stack([ref.real, ref.imag]),
        v_dvl_m_s=np.column_stack([dvl.real, dvl.imag]),
        # Turned and scaled above, so the reference is true from here on.
        north=_reference_north(track),
        sound_speed_m_s=track.sound_speed_m_s,
        measured_sound_speed_m_s=track.measured_sound_speed_m_s,
        phased_array=track.phased_array,
        frame="ned",
        heading_deg=headings,
        leg=numbers,
        clock_known=track.clock_known,
        cautions=_cautions(legs),
    )
    return run, legs


def _reference_north(track: Track) -> North:
    """The reference's north as declared, with its scale already taken out."""
    return replace(declared(track.reference_north), distance_scale=1.0)


def _cautions(legs: tuple[Leg, ...]) -> tuple[str, ...]:
    used = [leg.heading_deg for leg in legs if leg.used]
    said = [f"Left out: {leg.why_not}." for leg in legs if not leg.used]
    reciprocal = sum(
        any(abs((other - each + 180) % 360 - 180) > 150 for other in used[:n]) for n, each in enumerate(used)
    )
    if reciprocal < 2:
        said.append("Fewer than two reciprocal pairs of legs: current and heading offsets may be left in the angle.")
    return tuple(said)


def fit_track(
    track: Track, *, average_s: float = 10.0, limits: DvlLimits = DvlLimits(), seed: int = 1
) -> tuple[DvlFit, tuple[Leg, ...]]:
    """Angle and scale from a recorded run, and its legs. A water track is fitted with a constant current.

    Raises CannotCompute as `fit_dvl` and `run_of_track` do.
    """
    run, legs = run_of_track(track, average_s, limits)
    return fit_dvl(run, offset=track.water_track, limits=limits, seed=seed), legs
