"""The rotation that best takes one set of directions to another, bare: no statement about how good it is."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.inertial.inputs import Matrix, Numbers, number, rows, series, vector
from registry.inertial.refusal import CannotCompute

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class WahbaSolution:
    """`matrix` C minimises sum w |to - C from|²; `rssd` is the root of that sum at its least.

    `det_b` below zero says that the data are mirrored: no rotation fits well. `det_uncorrected` is what the polar
    factor had before the correction diag(1, 1, det U det V); a planar set may have -1 there and still be sound.
    """

    matrix: Array
    rssd: float
    singular_values: tuple[float, float, float]
    det_b: float
    det_uncorrected: float


def unit_directions(value: Matrix, what: str) -> Array:
    """Rows of (n, 3) brought to length one, so that a long vector weighs no more than a short one."""
    found = rows(value, what)
    lengths = np.linalg.norm(found, axis=1, keepdims=True)
    if not (lengths > 0).all():
        raise CannotCompute(f"{what} holds a vector of length zero, which has no direction.", "Leave it out.")
    return found / lengths


def wahba(from_directions: Matrix, to_directions: Matrix, weights: Numbers | None = None) -> WahbaSolution:
    """Best rotation by singular values (Wahba 1965; Markley 1988; Kabsch 1976), to = C from, at least one pair.

    Directions are (n, 3) and need not be of length one; `weights` (n,) are positive, usually 1/sigma². Raises
    CannotCompute for unequal counts, zero or non-finite vectors and weights that are not positive.
    """
    a, b = unit_directions(from_directions, "The first set"), unit_directions(to_directions, "The second set")
    if len(a) != len(b):
        raise CannotCompute(f"The sets hold {len(a)} and {len(b)} directions; each needs its partner.")
    w = np.ones(len(a)) if weights is None else series(weights, "The weights", len(a))
    if len(w) != len(a) or not (w > 0).all():
        raise CannotCompute("Each pair needs one weight over zero.")
    profile = np.einsum("n,ni,nj->ij", w, b, a)
    u, s, vt = np.linalg.svd(profile)
    hand = float(np.linalg.det(u) * np.linalg.det(vt))
    c = u @ np.diag([1.0, 1.0, math.copysign(1.0, hand)]) @ vt
    residual = b - a @ c.T
    return WahbaSolution(
        matrix=c,
        rssd=math.sqrt(float(w @ np.einsum("ni,ni->n", residual, residual))),
        singular_values=tuple(map(float, s)),
        det_b=float(np.linalg.det(profile)),
        det_uncorrected=hand,
    )


def triad(from_directions: Matrix, to_directions: Matrix) -> Array:
    """TRIAD (Black 1964), shape (3, 3): the first pair is met exactly, the second gives the turn about it."""
    a, b = unit_directions(from_directions, "The first set"), unit_directions(to_directions, "The second set")
    if len(a) != 2 or len(b) != 2:
        raise CannotCompute("This method takes exactly two pairs, the better one first.")
    return _frame(b) @ _frame(a).T


def _frame(pair: Array) -> Array:
    side = np.cross(pair[0], pair[1])
    length = float(np.linalg.norm(side))
    if length < 1e-12:
        raise CannotCompute("The two directions lie on one line.", "Take a second direction across the first.")
    side /= length
    return np.column_stack([pair[0], side, np.cross(pair[0], side)])


def covariance_rad2(to_directions: Matrix, sigma_rad: Numbers) -> Array:
    """Covariance of the small rotation vector in the frame of `to_directions`: inv(sum (I - v v^T)/sigma²), (3, 3).

    `sigma_rad` (n,) is the angular standard deviation of each pair, both sides together. Shuster & Oh 1981.
    """
    v = unit_directions(to_directions, "The directions")
    information = sum(np.eye(3) / s**2 - np.outer(d, d) / s**2 for d, s in zip(v, sigma_rad, strict=True))
    eigenvalues, axes = np.linalg.eigh(information)
    if eigenvalues[0] <= 1e-13 * eigenvalues[2]:
        raise CannotCompute(
            "All directions lie on one line: the turn about it cannot be seen.", "Add a direction across that line."
        )
    return (axes / eigenvalues) @ axes.T


def triad_covariance_rad2(to_directions: Matrix, sigma_first_rad: float, sigma_second_rad: float) -> Array:
    """Covariance of TRIAD with the first pair as anchor (Shuster & Oh 1981, from memory; Monte Carlo agrees)."""
    b1, b2 = unit_directions(rows(to_directions, "The directions", least=2), "The directions")
    s1, s2 = number(sigma_first_rad, "Sigma", above=0) ** 2, number(sigma_second_rad, "Sigma", above=0) ** 2
    sine2 = float(np.linalg.norm(np.cross(b1, b2)) ** 2)
    mixed = (b1 @ b2) * s1 * (np.outer(b1, b2) + np.outer(b2, b1)) + (s2 - s1) * np.outer(b1, b1)
    return s1 * np.eye(3) + mixed / sine2


def principal_sigmas_rad(covariance: Matrix) -> Array:
    """Standard deviations along the principal axes, smallest first, shape (3,)."""
    return np.sqrt(np.linalg.eigvalsh(np.asarray(covariance, dtype=float)))


def separation_factors(separation_deg: float) -> tuple[float, float, float]:
    """Principal sigmas over sigma for two equal directions this far apart, worst first.

    1/(sqrt 2 sin(a/2)), 1/sqrt(1+cos a), 1/sqrt 2: 90 degrees 1.0, 30 degrees 2.7, 5 degrees 16.
    """
    a = math.radians(number(separation_deg, "The separation in degrees", above=0, most=179.999))
    return 1 / (math.sqrt(2) * math.sin(a / 2)), 1 / math.sqrt(1 + math.cos(a)), 1 / math.sqrt(2)


def widest_separation_deg(directions: Matrix) -> float:
    """Largest angle (0..90 deg) between the lines of any two directions: 90 is best, 0 is one line."""
    v = unit_directions(directions, "The directions")
    if len(v) < 2:
        return 0.0
    # The sine is sharp where the lines nearly meet, which is where the answer matters.
    sines = [np.linalg.norm(np.cross(v[i], v[i + 1 :]), axis=1).max() for i in range(len(v) - 1)]
    return math.degrees(math.asin(min(1.0, float(max(sines)))))


def small_angle_matrix(rotvec_deg: Numbers) -> Array:
    """I + [t x], the first-order rotation: off by t²/sqrt 2 (1 degree: 2.2e-4). Nothing here uses it."""
    x, y, z = np.radians(vector(rotvec_deg, "The rotation vector"))
    return np.array([[1.0, -z, y], [z, 1.0, -x], [-y, x, 1.0]])
