"""Least squares over horizontal velocities as complex numbers, with the error that correlated records really have.

z = forward + i starboard, or north + i east. The model is z_ref = c z_dvl (+ constant offset) (+ i rate lever):
c = (1 + beta) e^(i alpha). Each model is a matrix of complex columns; blocks of it are summed once and resampled.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.inertial.inputs import Matrix, rows
from registry.inertial.refusal import CannotCompute

Complex = NDArray[np.complex128]
#: Draws of the block bootstrap: the standard error is then itself good to 2 %.
DRAWS = 1000


@dataclass(frozen=True, slots=True, eq=False)
class ComplexFit:
    """`coefficients` of the columns, residuals, the covariance if rows were independent, and that of the bootstrap.

    Covariances are complex Hermitian, per complex coefficient: the variance of each real part is half the diagonal.
    `bootstrap` is None with fewer than two blocks in every leg; `free_blocks` is blocks minus legs.
    """

    coefficients: Complex
    residuals: Complex
    rank: int
    naive: Complex
    bootstrap: NDArray[np.float64] | None
    blocks: int
    free_blocks: int


def as_complex(value: Matrix, what: str) -> Complex:
    """Rows (n, 2) as complex (n,)."""
    found = rows(value, what, width=2)
    return found[:, 0] + 1j * found[:, 1]


def angle_scale(v_ref: Matrix, v_dvl: Matrix) -> complex:
    """c = sum(conj(z_dvl) z_ref)/sum |z_dvl|² from rows (n, 2) in one horizontal frame; alpha = arg c, beta = |c| - 1.

    Bare arithmetic: no statement about how good it is. Raises CannotCompute when the DVL never moves.
    """
    z_ref, z_dvl = as_complex(v_ref, "The reference velocities"), as_complex(v_dvl, "The DVL velocities")
    if len(z_ref) != len(z_dvl):
        raise CannotCompute("Reference and DVL hold different numbers of velocities; each needs its partner.")
    power = float(np.vdot(z_dvl, z_dvl).real)
    if not power > 0:
        raise CannotCompute("The DVL shows no speed, so it has no direction.", "Use a run under way.")
    return complex(np.vdot(z_dvl, z_ref) / power)


def solve(z_ref: Complex, columns: Complex) -> tuple[Complex, int]:
    """Least-squares coefficients (p,) and the rank of `columns` (n, p)."""
    found, _, rank, _ = np.linalg.lstsq(columns, z_ref, rcond=1e-9)
    return found, int(rank)


def fit_columns(z_ref: Complex, columns: Complex, legs: NDArray[np.int64], blocks: int, seed: int) -> ComplexFit:
    """Fit with both errors: rows taken as independent, and blocks of each leg resampled (moving nothing across legs).

    `columns` (n, p), `legs` (n,) numbers the leg of each row, rows of a leg in order of time. Raises CannotCompute
    when the columns cannot be told apart.
    """
    beta, rank = solve(z_ref, columns)
    count, width = columns.shape
    if rank < width:
        raise CannotCompute(
            "The run does not separate the angle from the constant offset.", "Add legs on another heading."
        )
    residuals = z_ref - columns @ beta
    gram = columns.conj().T @ columns
    free = count - width
    variance = float(np.vdot(residuals, residuals).real) / free if free > 0 else 0.0
    block_of, block_leg = _blocks(legs, blocks)
    moved, free_blocks = _bootstrap(z_ref, columns, block_of, block_leg, seed)
    return ComplexFit(
        coefficients=beta,
        residuals=residuals,
        rank=rank,
        naive=variance * np.linalg.inv(gram),
        bootstrap=moved,
        blocks=len(block_leg),
        free_blocks=free_blocks,
    )


def independent_samples(residuals: Complex) -> int:
    """How many of the residuals (n,) in order of time are worth one each: n over the sum of their correlations.

    Correlations are added up to the first that is not positive; white residuals count in full.
    """
    n = len(residuals)
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.fft(residuals - residuals.mean(), size)
    correlation = np.fft.ifft(np.abs(spectrum) ** 2).real[:n]
    if not correlation[0] > 0:
        return n
    rho = correlation / correlation[0]
    gone = np.flatnonzero(rho <= 0)
    reach = int(gone[0]) if len(gone) else n
    return max(1, round(n / (1 + 2 * float(rho[1:reach].sum()))))


def _blocks(legs: NDArray[np.int64], wanted: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Number each row's block, and each block's leg: runs of rows within a leg, about `wanted` of them in all."""
    block_of, block_leg = np.empty(len(legs), dtype=np.int64), []
    for leg in np.unique(legs):
        where = np.flatnonzero(legs == leg)
        share = min(len(where), max(2, round(wanted * len(where) / len(legs))))
        block_of[where] = len(block_leg) + np.arange(len(where)) * share // len(where)
        block_leg += [leg] * share
    return block_of, np.array(block_leg, dtype=np.int64)


def _bootstrap(z_ref, columns, block_of, block_leg, seed: int):
    """Covariance (2p, 2p) of the real and imaginary coefficients over resampled blocks, widened for small numbers."""
    kinds = np.unique(block_leg)
    blocks, free = len(block_leg), len(block_leg) - len(kinds)
    if free < 1:
        return None, 0
    grams = _sum_by(block_of, np.einsum("ni,nj->nij", columns.conj(), columns), blocks)
    sides = _sum_by(block_of, columns.conj() * z_ref[:, None], blocks)
    rng = np.random.default_rng(seed)
    counts = np.zeros((DRAWS, blocks))
    for leg in kinds:
        where = np.flatnonzero(block_leg == leg)
        counts[:, where] = rng.multinomial(len(where), np.full(len(where), 1 / len(where)), size=DRAWS)
    gram, side = np.tensordot(counts, grams, 1), counts @ sides
    sound = np.abs(np.linalg.det(gram)) > 1e-9 * np.abs(np.linalg.det(grams.sum(axis=0)))
    drawn = np.linalg.solve(gram[sound], side[sound][:, :, None])[:, :, 0]
    parts = np.concatenate([drawn.real, drawn.imag], axis=1)
    # Resampling K blocks of a leg shows (K - 1)/K of the variance; over all legs that is free/blocks.
    return np.cov(parts, rowvar=False).reshape(parts.shape[1], -1) * blocks / free, free


def _sum_by(group: NDArray[np.int64], values: Complex, count: int) -> Complex:
    flat = values.reshape(len(values), -1)
    total = np.empty((count, flat.shape[1]), dtype=complex)
    for column in range(flat.shape[1]):
        total[:, column] = np.bincount(group, flat[:, column].real, count)
        total[:, column] += 1j * np.bincount(group, flat[:, column].imag, count)
    return total.reshape(count, *values.shape[1:])
