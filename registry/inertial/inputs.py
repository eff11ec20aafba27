"""What every function asks of the numbers it is given: the right shape, finite, in range, each with its sentence."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from registry.inertial.refusal import CannotCompute

Numbers = Sequence[float] | NDArray[np.float64]
Matrix = Sequence[Sequence[float]] | NDArray[np.float64]
_AGAIN = "Enter it again, with its unit in mind."


def _floats(value: Any, what: str) -> NDArray[np.float64]:
    try:
        found = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise CannotCompute(f"{what} holds something that is not a number.") from None
    if not np.all(np.isfinite(found)):
        raise CannotCompute(f"{what} holds a gap or a number that is not finite.", "Fill it or leave that reading out.")
    return found


def number(
    value: Any, what: str, *, above: float | None = None, least: float | None = None, most: float | None = None
) -> float:
    """One finite float, strictly over `above`, and within `least` .. `most`. Raises CannotCompute with `what` in it."""
    if isinstance(value, bool) or value is None or np.ndim(value):
        raise CannotCompute(f"{what} is missing." if value is None else f"{what} is one number.", _AGAIN)
    found = float(_floats(value, what))
    if above is not None and not found > above:
        raise CannotCompute(f"{what} is {found:g}; it must be over {above:g}.", _AGAIN)
    if least is not None and found < least:
        raise CannotCompute(f"{what} is {found:g}; it cannot be under {least:g}.", _AGAIN)
    if most is not None and found > most:
        raise CannotCompute(f"{what} is {found:g}; it cannot be over {most:g}.", _AGAIN)
    return found


def vector(value: Any, what: str, size: int = 3) -> NDArray[np.float64]:
    """`size` finite floats, shape (size,)."""
    found = _floats(value, what)
    if found.shape != (size,):
        raise CannotCompute(f"{what} needs {size} numbers, one for each axis.")
    return found


def rows(value: Any, what: str, width: int = 3, least: int = 1) -> NDArray[np.float64]:
    """Finite floats of shape (n, width), n >= least."""
    found = _floats(value, what)
    if found.ndim != 2 or found.shape[1] != width:
        raise CannotCompute(f"{what} needs {width} numbers in each row.")
    if len(found) < least:
        raise CannotCompute(f"{what} holds {len(found)} of the {least} rows that are needed.")
    return found


def series(value: Any, what: str, least: int = 1) -> NDArray[np.float64]:
    """Finite floats of shape (n,), n >= least."""
    found = _floats(value, what)
    if found.ndim != 1:
        raise CannotCompute(f"{what} is one column of numbers.")
    if len(found) < least:
        raise CannotCompute(f"{what} holds {len(found)} of the {least} values that are needed.")
    return found


def latitude(value: Any) -> float:
    """Geodetic latitude in degrees, north positive."""
    if value is None:
        raise CannotCompute(
            "The latitude is missing.",
            "Enter it: one degree wrong changes gravity by 0.0008 m/s² and the level earth rate by 0.23 deg/h.",
        )
    return number(value, "The latitude in degrees", least=-90, most=90)


def rotation_matrix(value: Any, what: str, tolerance: float = 2e-5) -> NDArray[np.float64]:
    """A 3 x 3 rotation (orthonormal to `tolerance`, determinant +1). A left-handed one is refused by name."""
    found = _floats(value, what)
    if found.shape != (3, 3):
        raise CannotCompute(f"{what} needs three rows of three numbers.")
    if np.abs(found @ found.T - np.eye(3)).max() > tolerance:
        raise CannotCompute(
            f"{what} is no rotation: its rows are not of length one and at right angles.",
            "Give the matrix with at least five decimals, from the record it was copied from.",
        )
    if np.linalg.det(found) < 0:
        raise CannotCompute(
            f"{what} is left-handed (determinant -1), and no unit is.", "Reverse the axis that was entered backwards."
        )
    return found
