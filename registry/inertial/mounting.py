"""The 24 ways a square bracket can hold a unit, each with its matrix and its words.

`C_vu` takes unit axes to vehicle FRD axes: v_vehicle = C_vu v_unit, so column j is where unit axis j points.
"""

import itertools
import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from registry.inertial.inputs import Matrix, rotation_matrix
from registry.inertial.limits import MountingLimits
from registry.inertial.methods import method
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import (
    angle_between_deg,
    matrix_from_ypr,
    rotvec_from_matrix,
    ypr_from_matrix,
)

#: Directions of the vehicle as unit vectors in FRD.
DIRECTIONS = {
    "forward": (1, 0, 0),
    "aft": (-1, 0, 0),
    "starboard": (0, 1, 0),
    "port": (0, -1, 0),
    "down": (0, 0, 1),
    "up": (0, 0, -1),
}
#: Other words people enter for the same directions.
ALSO = {"right": "starboard", "left": "port", "bow": "forward", "stern": "aft", "back": "aft"}
_SAID = {"starboard": "to starboard", "port": "to port"}
#: Every rotation lies within this of one of the 24 (Mackenzie, Biometrika 45 (1958) 229): 62.799 degrees.
COVERING_RADIUS_DEG = math.degrees(2 * math.acos((2 + math.sqrt(2)) / 4))


@dataclass(frozen=True, slots=True)
class Mounting:
    """How a unit sits, squared to the vehicle: where its marked x, y and z point."""

    unit_x: str
    unit_y: str
    unit_z: str

    @property
    def axes(self) -> tuple[str, str, str]:
        return self.unit_x, self.unit_y, self.unit_z

    @property
    def matrix(self) -> tuple[tuple[int, ...], ...]:
        """C_vu, 3 x 3 of -1, 0, 1."""
        return tuple(zip(*(DIRECTIONS[name] for name in self.axes), strict=True))

    @property
    def words(self) -> str:
        """`x to starboard, y aft, z down`."""
        return ", ".join(f"{axis} {_SAID.get(name, name)}" for axis, name in zip("xyz", self.axes, strict=True))

    @property
    def angle_deg(self) -> float:
        """Angle of the rotation from square-on: 0, 90, 120 or 180."""
        return angle_between_deg(self.matrix, np.eye(3))

    @property
    def ypr_deg(self) -> tuple[float, float, float]:
        """Yaw, pitch, roll; at pitch ±90 one triple of many, with roll 0."""
        return ypr_from_matrix(self.matrix)

    def turn_to_deg(self, other: "Mounting") -> float:
        return angle_between_deg(other.matrix, self.matrix)


def determinant(axes: tuple[str, str, str]) -> int:
    """+1 for a right-handed naming of unit x, y, z, -1 for a left-handed one, 0 when two lie on one line."""
    return round(float(np.linalg.det(np.array([DIRECTIONS[_direction(name)] for name in axes]))))


def _direction(name: str) -> str:
    word = str(name).strip().lower().removeprefix("to ")
    word = ALSO.get(word, word)
    if word not in DIRECTIONS:
        raise CannotCompute(f"“{name}” is no direction of the vehicle.", f"Choose one of {', '.join(DIRECTIONS)}.")
    return word


def mounting_from_words(unit_x: str, unit_y: str, unit_z: str) -> Mounting:
    """The mounting with these directions (right/left are read as starboard/port).

    Raises CannotCompute for a word that is no direction, for two axes on one line, and for a left-handed set
    (determinant -1), which no unit can be.
    """
    axes = tuple(_direction(name) for name in (unit_x, unit_y, unit_z))
    handed = determinant(axes)
    if handed == 0:
        raise CannotCompute(
            "Two of the unit’s axes lie on one line of the vehicle.", "Read the marks on the unit again."
        )
    entered = Mounting(*axes)
    if handed < 0:
        raise CannotCompute(
            f"{entered.words} is left-handed, and no unit is: one of the three is entered backwards.",
            "Read the three arrows on the unit again.",
        )
    return entered


@cache
def mountings() -> tuple[Mounting, ...]:
    """All 24 right-handed mountings, square-on first."""
    names = (("forward", "aft"), ("starboard", "port"), ("down", "up"))
    every = (
        tuple(names[axis][flip] for axis, flip in zip(order, flips, strict=True))
        for order in itertools.permutations(range(3))
        for flips in itertools.product((0, 1), repeat=3)
    )
    return tuple(Mounting(*axes) for axes in every if determinant(axes) > 0)


@cache
def mounting_matrices() -> np.ndarray:
    """C_vu of the 24 in the order of `mountings()`, shape (24, 3, 3), read-only."""
    found = np.array([each.matrix for each in mountings()], dtype=float)
    found.flags.writeable = False
    return found


@dataclass(frozen=True, slots=True)
class NearestMounting:
    """A measured C_vu as the nearest of the 24 and the fine rotation left over: C_vu = C_fine C_perm."""

    mounting: Mounting
    rest_deg: float
    rest_rotvec_deg: tuple[float, float, float]
    rest_ypr_deg: tuple[float, float, float]
    runner_up: Mounting
    runner_up_rest_deg: float
    trace: float
    frame: str
    verdict: str
    next: str
    method: str


def nearest_mounting(measured_c_vu: Matrix, limits: MountingLimits = MountingLimits()) -> NearestMounting:
    """Nearest mounting by largest trace(C_perm^T C_meas), and what is left (vehicle frame, degrees).

    Raises CannotCompute when `measured_c_vu` (3 x 3) is no rotation, or lies over 15 degrees from all of the 24.
    """
    c = rotation_matrix(measured_c_vu, "The measured matrix")
    traces = np.einsum("nij,ij->n", mounting_matrices(), c)
    first, second = (int(n) for n in np.argsort(-traces, kind="stable")[:2])
    fine = c @ mounting_matrices()[first].T
    found, other = mountings()[first], mountings()[second]
    rest = angle_between_deg(c, found.matrix)
    if rest > limits.most_rest_deg:
        raise CannotCompute(
            f"The nearest mounting ({found.words}) is {rest:.1f}° away; a square bracket leaves less than"
            f" {limits.most_rest_deg:g}°.",
            "Measure a bracket that is not square on a fixture, or repeat the record.",
        )
    yaw, pitch, roll = ypr_from_matrix(fine)
    return NearestMounting(
        mounting=found,
        rest_deg=rest,
        rest_rotvec_deg=floats(rotvec_from_matrix(fine)),
        rest_ypr_deg=(yaw, pitch, roll),
        runner_up=other,
        runner_up_rest_deg=angle_between_deg(c, other.matrix),
        trace=float(traces[first]),
        frame="vehicle FRD",
        verdict=f"The unit sits {found.words}, and {rest:.2f}° off square.",
        next=f"Enter {found.words}; carry yaw {yaw:+.2f}°, pitch {pitch:+.2f}°, roll {roll:+.2f}° as fine angles.",
        method=method("mounting-nearest"),
    )


def words_of_axes(c_vu: Matrix) -> str:
    """Where the three unit axes point, in words with degrees: for mountings whose angles cannot be told apart."""
    c = rotation_matrix(c_vu, "The matrix")
    said = []
    for axis, pointing in zip("xyz", c.T, strict=True):
        name = max(DIRECTIONS, key=lambda each: float(np.dot(DIRECTIONS[each], pointing)))
        off = math.degrees(
            math.atan2(np.linalg.norm(np.cross(DIRECTIONS[name], pointing)), pointing @ DIRECTIONS[name])
        )
        said.append(f"{axis} {_SAID.get(name, name)}" + (f" ({off:.1f}° off)" if off >= 0.05 else ""))
    return ", ".join(said)


def fine_matrix(mounting_: Mounting, yaw_deg: float, pitch_deg: float, roll_deg: float) -> np.ndarray:
    """C_vu = C_fine C_perm from an entered mounting and fine angles, shape (3, 3)."""
    return matrix_from_ypr(yaw_deg, pitch_deg, roll_deg) @ np.array(mounting_.matrix, dtype=float)
