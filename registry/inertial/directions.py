"""Fitted mounting angles: from directions seen by the unit and known in the vehicle, with covariance and a fit test."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.best_rotation import (
    covariance_rad2,
    separation_factors,
    triad,
    triad_covariance_rad2,
    wahba,
    widest_separation_deg,
)
from registry.inertial.inputs import Matrix, Numbers, rows, series
from registry.inertial.limits import DirectionLimits
from registry.inertial.methods import method
from registry.inertial.mounting import words_of_axes
from registry.inertial.quantiles import chi_square_limit, chi_square_tail, normal_factor
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import separable, ypr_from_matrix, ypr_jacobian

MatrixTuple = tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class MountingFit:
    """Mounting angles with what they are worth. C_vu takes unit axes to vehicle FRD axes.

    `covariance_rad2` is of the small rotation vector (about forward, starboard, down) in the vehicle frame;
    `half_width_*` are intervals of `coverage` for each angle alone. At pitch ±90 the angles cannot be told apart:
    `angles_separable` is False, sigma of yaw and roll None, and `words` says where the axes point.
    """

    c_vu: MatrixTuple
    yaw_deg: float
    pitch_deg: float
    roll_deg: float
    sigma_yaw_deg: float | None
    sigma_pitch_deg: float | None
    sigma_roll_deg: float | None
    half_width_yaw_deg: float | None
    half_width_pitch_deg: float | None
    half_width_roll_deg: float | None
    coverage: float
    covariance_rad2: MatrixTuple
    angles_separable: bool
    words: str
    pairs: int
    separation_deg: float
    rssd: float
    chi2: float
    dof: int
    limit_95: float
    limit_99: float
    p: float
    frame: str
    verdict: str
    next: str
    method: str
    limits: DirectionLimits


def residual_limits(pairs: int) -> tuple[int, float, float]:
    """Degrees of freedom 2N - 3 of the weighted loss of N pairs, and its 95 % and 99 % limits (Shuster, TASTE)."""
    if pairs < 2:
        raise CannotCompute("One pair leaves the turn about it open.", "Add a second direction across the first.")
    dof = 2 * pairs - 3
    return dof, chi_square_limit(0.95, dof), chi_square_limit(0.99, dof)


def fit_directions(
    unit_directions: Matrix,
    vehicle_directions: Matrix,
    sigma_deg: Numbers,
    *,
    two_vector: bool = False,
    limits: DirectionLimits = DirectionLimits(),
) -> MountingFit:
    """C_vu from N >= 2 direction pairs: rows (n, 3) in unit axes and in vehicle FRD axes, any length.

    `sigma_deg` (n,) is the standard deviation of each pair's direction, both sides together. All pairs are weighted
    by 1/sigma² (Wahba by SVD); `two_vector` meets the first of two pairs exactly (TRIAD). Raises CannotCompute for one
    pair, directions within 5 degrees of one line, sigma not over zero, a reversed axis, and a residual over the limit.
    """
    unit, vehicle = rows(unit_directions, "The unit directions"), rows(vehicle_directions, "The vehicle directions")
    sigma = np.radians(_sigmas(sigma_deg, len(unit)))
    dof, limit_95, limit_99 = residual_limits(len(unit))
    separation = _separation(unit, vehicle, limits)
    solution = wahba(unit, vehicle, 1 / sigma**2)
    c = triad(unit, vehicle) if two_vector else solution.matrix
    p = triad_covariance_rad2(vehicle, *sigma) if two_vector else covariance_rad2(vehicle, sigma)
    chi2 = solution.rssd**2
    if chi2 > (over := chi_square_limit(limits.refuse_level, dof)):
        raise _does_not_fit(unit, vehicle, 1 / sigma**2, chi2, over)
    figures = _angles(c, p, limits.coverage)
    return MountingFit(
        **figures,
        coverage=limits.coverage,
        c_vu=floats(c),
        covariance_rad2=floats(p),
        words=words_of_axes(c),
        pairs=len(unit),
        separation_deg=separation,
        rssd=solution.rssd,
        chi2=chi2,
        dof=dof,
        limit_95=limit_95,
        limit_99=limit_99,
        p=chi_square_tail(chi2, dof),
        frame="C_vu: unit axes to vehicle FRD; covariance in the vehicle frame",
        verdict=_verdict(figures, words_of_axes(c), limits.coverage),
        next=_next(chi2, limit_95, separation),
        method=method("direction-triad" if two_vector else "direction-fit"),
        limits=limits,
    )


def _sigmas(sigma_deg: Numbers, count: int) -> np.ndarray:
    sigma = series(sigma_deg, "The sigmas")
    if len(sigma) != count or not (sigma > 0).all():
        raise CannotCompute("Each pair needs a sigma over zero.", "State how well each direction is known, in degrees.")
    return sigma


def _separation(unit: np.ndarray, vehicle: np.ndarray, limits: DirectionLimits) -> float:
    separation = min(widest_separation_deg(unit), widest_separation_deg(vehicle))
    if separation < limits.least_separation_deg:
        worse = f", which multiplies sigma by {separation_factors(separation)[0]:.0f}" if separation > 0.05 else ""
        raise CannotCompute(
            f"The directions lie within {separation:.2g}° of one line{worse}.",
            f"Add a direction at least {limits.least_separation_deg:g}° off that line; 90° is best.",
        )
    return separation


def _does_not_fit(unit, vehicle, weights, chi2: float, limit: float) -> CannotCompute:
    so = f"The directions do not agree with one rotation: chi-square {chi2:.1f}, limit {limit:.1f}."
    mirrored = wahba(-unit, vehicle, weights)
    if mirrored.rssd**2 < limit or (wahba(unit, vehicle, weights).det_b < 0 and mirrored.rssd**2 < chi2 / 4):
        return CannotCompute(
            so + " An axis sign is reversed, or the axes are left-handed.", "Correct that sign and fit again."
        )
    return CannotCompute(so, "See whether each pair is matched and each sigma is honest, then fit again.")


def _angles(c: np.ndarray, p: np.ndarray, coverage: float) -> dict:
    yaw, pitch, roll = ypr_from_matrix(c)
    angles = {"yaw_deg": yaw, "pitch_deg": pitch, "roll_deg": roll, "angles_separable": bool(separable(c))}
    sigma = {"yaw": None, "pitch": None, "roll": None}
    if angles["angles_separable"]:
        jacobian = ypr_jacobian(c)
        found = np.degrees(np.sqrt(np.diag(jacobian @ p @ jacobian.T)))
        sigma = dict(zip(("roll", "pitch", "yaw"), map(float, found), strict=True))
    k = normal_factor(coverage)
    for name, value in sigma.items():
        angles[f"sigma_{name}_deg"] = value
        angles[f"half_width_{name}_deg"] = None if value is None else k * value
    return angles


def _verdict(figures: dict, words: str, coverage: float) -> str:
    if not figures["angles_separable"]:
        return (
            f"Pitch is {figures['pitch_deg']:+.0f}°, where yaw and roll cannot be told apart. The axes point: {words}."
        )
    said = ", ".join(
        f"{name} {figures[f'{name}_deg']:+.3f}° ± {figures[f'half_width_{name}_deg']:.3f}°"
        for name in ("yaw", "pitch", "roll")
    )
    return f"{said} ({coverage:.0%})."


def _next(chi2: float, limit_95: float, separation_deg: float) -> str:
    if chi2 > limit_95:
        return "The residuals are larger than the sigmas allow at 95 %: repeat the measurement before it is relied on."
    if separation_deg < 30:
        return f"The directions are {separation_deg:.0f}° apart; one at 90° would make the angles sharper."
    return "Enter these angles in the settings and keep the covariance with them."


@dataclass(frozen=True, slots=True)
class Chained:
    """C_vu = C_vb C_bu of two mountings in series, covariance in the vehicle frame."""

    c_vu: MatrixTuple
    covariance_rad2: MatrixTuple
    yaw_deg: float
    pitch_deg: float
    roll_deg: float
    frame: str
    method: str


def transport_covariance(c: Matrix, covariance: Matrix) -> np.ndarray:
    """A covariance in the axes that C turns into: C P C^T, (3, 3)."""
    turn = np.asarray(c, dtype=float)
    return turn @ np.asarray(covariance, dtype=float) @ turn.T


def chain(c_vb: Matrix, p_vb: Matrix, c_bu: Matrix, p_bu: Matrix) -> Chained:
    """Plate on vehicle, then unit on plate: P = P_vb + C_vb P_bu C_vb^T. Sound only when the two are independent."""
    c = np.asarray(c_vb, dtype=float) @ np.asarray(c_bu, dtype=float)
    p = np.asarray(p_vb, dtype=float) + transport_covariance(c_vb, p_bu)
    yaw, pitch, roll = ypr_from_matrix(c)
    return Chained(floats(c), floats(p), yaw, pitch, roll, "vehicle FRD", method("mounting-chain"))


def dowel_play_deg(play_mm: float, spacing_mm: float) -> float:
    """Turn that two dowels allow: 0.02 mm on 100 mm is 0.011 degree (practice)."""
    if not (play_mm >= 0 and spacing_mm > 0):
        raise CannotCompute("Play is zero or more and the spacing of the dowels over zero, both in millimetres.")
    return math.degrees(math.atan2(play_mm, spacing_mm))


def carried_sigma_deg(*parts_deg: float) -> float:
    """Sigma of an angle carried to another unit on dowels: both units, pins and the old figure, root-sum-square."""
    return float(np.linalg.norm(series(parts_deg, "The parts in degrees", least=2)))
