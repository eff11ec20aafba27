"""Do two results agree? Two alignments, two values with their uncertainties, and repeats pooled."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.inputs import Matrix, Numbers, number, rotation_matrix, series
from registry.inertial.limits import TrendLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import chi_square_limit, chi_square_tail, normal_factor
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr, rotvec_from_matrix


@dataclass(frozen=True, slots=True)
class AlignmentDifference:
    """From alignment a to b: rotation vector (about forward, starboard, down) in the vehicle frame, and its test."""

    rotvec_deg: tuple[float, float, float]
    angle_deg: float
    half_widths_deg: tuple[float, float, float]
    coverage: float
    chi2: float
    p: float
    limit_95: float
    limit_99: float
    changed: bool
    frame: str
    verdict: str
    next: str
    method: str


def covariance_from_sigmas_rad2(roll_deg: float, pitch_deg: float, yaw_deg: float) -> np.ndarray:
    """Diagonal covariance (3, 3) of small rotations about forward, starboard and down."""
    sigmas = [number(s, "Sigmas in degrees", above=0) for s in (roll_deg, pitch_deg, yaw_deg)]
    return np.diag(np.radians(sigmas) ** 2)


def compare_alignments(
    c_a: Matrix, covariance_a_rad2: Matrix, c_b: Matrix, covariance_b_rad2: Matrix, limits: TrendLimits = TrendLimits()
) -> AlignmentDifference:
    """Rotation vector of C_b C_a^T and r^T inv(Pa + Pb) r against chi-square of 3 (7.81 at 95 %).

    Both matrices (3, 3) in vehicle axes, of one pair in one bay. Calibrations against one reference share its error,
    which this test then overstates. Raises CannotCompute for matrices that are no rotation and covariances that are
    not positive.
    """
    change = rotation_matrix(c_b, "The later matrix") @ rotation_matrix(c_a, "The earlier matrix").T
    r = np.radians(rotvec_from_matrix(change))
    p = np.asarray(covariance_a_rad2, dtype=float) + np.asarray(covariance_b_rad2, dtype=float)
    if p.shape != (3, 3) or not np.linalg.eigvalsh((p + p.T) / 2)[0] > 0:
        raise CannotCompute("The covariances are not positive in all three axes.", "Enter a sigma for each angle.")
    chi2 = float(r @ np.linalg.solve(p, r))
    limit = chi_square_limit(limits.level, 3)
    changed = chi2 > limit
    angle = float(np.linalg.norm(np.degrees(r)))
    return AlignmentDifference(
        rotvec_deg=floats(np.degrees(r)),
        angle_deg=angle,
        half_widths_deg=floats(normal_factor(limits.level) * np.degrees(np.sqrt(np.diag(p)))),
        coverage=limits.level,
        chi2=chi2,
        p=chi_square_tail(chi2, 3),
        limit_95=chi_square_limit(0.95, 3),
        limit_99=chi_square_limit(limits.alarm_level, 3),
        changed=changed,
        frame="vehicle FRD",
        verdict=f"The alignment {'changed' if changed else 'did not change beyond its uncertainty'}: {angle:.2f}°.",
        next="Look for a refit, a knock or worn dowels between the two." if changed else "Either may be used.",
        method=method("alignment-difference"),
    )


def alignment_matrix(yaw_deg: float, pitch_deg: float, roll_deg: float) -> np.ndarray:
    """C_vu of an alignment given as yaw, pitch, roll."""
    return matrix_from_ypr(yaw_deg, pitch_deg, roll_deg)


@dataclass(frozen=True, slots=True)
class Agreement:
    """E_n of two values with expanded uncertainties (k = 2): up to 1 agrees."""

    en: float
    agrees: bool
    verdict: str
    next: str
    method: str


def normalised_error(first: float, first_expanded: float, second: float, second_expanded: float) -> Agreement:
    """|x1 - x2| / sqrt(U1² + U2²) (ISO 13528, ISO/IEC 17043; from memory)."""
    u = math.hypot(
        number(first_expanded, "U of the first", least=0), number(second_expanded, "U of the second", least=0)
    )
    if not u > 0:
        raise CannotCompute("Neither value has an uncertainty.", "State U of each, with k = 2.")
    en = abs(number(first, "The first value") - number(second, "The second value")) / u
    return Agreement(
        en,
        en <= 1,
        f"E_n = {en:.2f}: they {'agree' if en <= 1 else 'do not agree'}.",
        "Either may be used." if en <= 1 else "Find which one is wrong before either is used.",
        method("normalised-error"),
    )


#: 1.96 sqrt 2: two repeats differ by less than this many standard deviations, 19 times in 20.
REPEATABILITY_FACTOR = normal_factor(0.95) * math.sqrt(2)


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Pooled standard deviation of repeats, and the limit for a difference of two (95 %)."""

    s_pooled: float
    dof: int
    limit: float
    factor: float
    verdict: str
    next: str
    method: str


def pooled_repeatability(sets: list[Numbers]) -> Repeatability:
    """sqrt(sum of squares within sets / degrees of freedom); sets of one add nothing (ISO 5725, from memory)."""
    groups = [series(each, "A set of repeats") for each in sets]
    dof = sum(len(group) - 1 for group in groups)
    if dof < 1:
        raise CannotCompute("No set holds two repeats.", "Repeat at least one measurement.")
    s = math.sqrt(sum(float(np.sum((group - group.mean()) ** 2)) for group in groups) / dof)
    limit = REPEATABILITY_FACTOR * s
    return Repeatability(
        s,
        dof,
        limit,
        REPEATABILITY_FACTOR,
        f"Repeats scatter by {s:.3g}; two differ by under {limit:.3g}, 19 in 20.",
        "A larger difference is a change, not scatter.",
        method("repeatability"),
    )
