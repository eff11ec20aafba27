"""The fine angles of a unit in its vehicle, in three parts: plate on vehicle, unit on plate, and both together."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.directions import carried_sigma_deg, chain, transport_covariance
from registry.inertial.inputs import Matrix, number
from registry.inertial.methods import method
from registry.inertial.mounting import Mounting, nearest_mounting
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr, ypr_from_matrix, ypr_jacobian


@dataclass(frozen=True, slots=True)
class FineAngles:
    """Small angles from square-on, degrees: starboard down, bow up and to starboard positive; a sigma for each."""

    roll_deg: float
    pitch_deg: float
    yaw_deg: float
    sigma_roll_deg: float
    sigma_pitch_deg: float
    sigma_yaw_deg: float
    frame: str
    verdict: str
    next: str
    method: str

    @property
    def matrix(self) -> np.ndarray:
        return matrix_from_ypr(self.yaw_deg, self.pitch_deg, self.roll_deg)

    @property
    def covariance_rad2(self) -> np.ndarray:
        """Of the small rotation vector, in the axes the angles turn into."""
        own = np.linalg.inv(ypr_jacobian(self.matrix))
        sigmas = np.radians([self.sigma_roll_deg, self.sigma_pitch_deg, self.sigma_yaw_deg])
        return own @ np.diag(sigmas**2) @ own.T


def fine_angles(
    roll_deg: float,
    pitch_deg: float,
    yaw_deg: float,
    sigma_roll_deg: float,
    sigma_pitch_deg: float,
    sigma_yaw_deg: float,
) -> FineAngles:
    """Angles as they were measured. Raises CannotCompute over 15 degrees (that is another mounting) and for sigmas under zero."""  # fmt: skip
    angles = [number(a, "A fine angle in degrees", least=-15, most=15) for a in (roll_deg, pitch_deg, yaw_deg)]
    sigmas = [
        number(s, "Its sigma in degrees", least=0, most=15) for s in (sigma_roll_deg, sigma_pitch_deg, sigma_yaw_deg)
    ]
    return _told(*angles, *sigmas)


def compose(plate: FineAngles, unit: FineAngles) -> FineAngles:
    """Plate on vehicle, then unit on plate; covariances added in the vehicle frame. Sound when the two are independent."""
    both = chain(plate.matrix, plate.covariance_rad2, unit.matrix, unit.covariance_rad2)
    return _of(np.array(both.c_vu), np.array(both.covariance_rad2))


def fine_of(c_vu: Matrix, covariance_rad2: Matrix, entered: Mounting) -> FineAngles:
    """The fine angles of a measured C_vu. Raises CannotCompute when it is nearest to another mounting than `entered`."""
    found = nearest_mounting(c_vu)
    if found.mounting != entered:
        raise CannotCompute(
            f"Entered: {entered.words}. Found: {found.mounting.words}.",
            f"Correct the mounting of the bay to {found.mounting.words}, or see that each pair of directions is matched.",
        )
    return _of(np.asarray(c_vu, dtype=float) @ np.array(entered.matrix, dtype=float).T, np.asarray(covariance_rad2))


def unit_on_plate(whole: FineAngles, plate: FineAngles) -> FineAngles:
    """The unit on its plate, when the unit in the vehicle was measured and the plate is known: C_vb^T C."""
    covariance = transport_covariance(plate.matrix.T, whole.covariance_rad2 + plate.covariance_rad2)
    return _of(plate.matrix.T @ whole.matrix, covariance)


def carried(old: FineAngles, unit_out_deg: float, unit_in_deg: float, pins_deg: float) -> FineAngles:
    """The angles of one unit taken over for another on the same dowels: sigma root-sum-square of the old figure, both
    units on their plates, and the pins."""
    more = (unit_out_deg, unit_in_deg, pins_deg)
    sigmas = [carried_sigma_deg(sigma, *more) for sigma in (old.sigma_roll_deg, old.sigma_pitch_deg, old.sigma_yaw_deg)]
    return _told(old.roll_deg, old.pitch_deg, old.yaw_deg, *sigmas)


def _of(matrix: np.ndarray, covariance: np.ndarray) -> FineAngles:
    yaw, pitch, roll = ypr_from_matrix(matrix)
    jacobian = ypr_jacobian(matrix)
    sigmas = [math.degrees(math.sqrt(v)) for v in np.diag(jacobian @ covariance @ jacobian.T)]
    return _told(roll, pitch, yaw, *sigmas)


def _told(roll, pitch, yaw, sigma_roll, sigma_pitch, sigma_yaw) -> FineAngles:
    said = (("roll", roll, sigma_roll), ("pitch", pitch, sigma_pitch), ("yaw", yaw, sigma_yaw))
    return FineAngles(
        *(float(value) for value in (roll, pitch, yaw, sigma_roll, sigma_pitch, sigma_yaw)),
        frame="vehicle FRD, from square-on",
        verdict=", ".join(f"{name} {angle:+.3f}°, sigma {sigma:.3f}°" for name, angle, sigma in said) + ".",
        next="Enter them in the settings, with the mounting in words.",
        method=method("plate-angles"),
    )
