"""Rotations: matrices, yaw-pitch-roll, rotation vectors, quaternions, and the angle between two attitudes.

`C_nb = Rz(yaw) Ry(pitch) Rx(roll)` takes body FRD axes to NED (Fossen 2011 eq. 2.18, SNAME 1950). Angles in degrees:
yaw positive to starboard, pitch bow up, roll starboard down. Quaternions are scalar last with the scalar >= 0.
"""

import math

import numpy as np
from numpy.typing import NDArray

from registry.inertial.inputs import Matrix, Numbers, rotation_matrix, vector

Array = NDArray[np.float64]
#: Within this of ±90 degrees of pitch, yaw and roll turn about the same axis and cannot be told apart.
GIMBAL_DEG = 1e-4


def cross_matrix(v: Numbers) -> Array:
    """[v x], shape (3, 3): `cross_matrix(a) @ b` is a x b."""
    x, y, z = vector(v, "The vector")
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def matrix_from_ypr(yaw_deg: float, pitch_deg: float, roll_deg: float) -> Array:
    """C = Rz(yaw) Ry(pitch) Rx(roll), shape (3, 3), body to parent."""
    y, p, r = np.radians(vector((yaw_deg, pitch_deg, roll_deg), "Yaw, pitch and roll"))
    (cy, sy), (cp, sp), (cr, sr) = ((math.cos(a), math.sin(a)) for a in (y, p, r))
    return np.array(
        [
            [cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr],
            [sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr],
            [-sp, cp * sr, cp * cr],
        ]
    )


def ypr_from_matrix(matrix: Matrix) -> tuple[float, float, float]:
    """Yaw, pitch, roll (deg) of a rotation. At pitch ±90 they are one triple of many: roll is then given as 0."""
    c = rotation_matrix(matrix, "The matrix")
    pitch = math.degrees(math.atan2(-c[2, 0], math.hypot(c[0, 0], c[1, 0])))
    if not separable(c):
        return math.degrees(math.atan2(-c[0, 1], c[1, 1])), pitch, 0.0
    return math.degrees(math.atan2(c[1, 0], c[0, 0])), pitch, math.degrees(math.atan2(c[2, 1], c[2, 2]))


def separable(matrix: Array) -> bool:
    """Whether yaw and roll can be told apart: not at pitch ±90 degrees (Fossen 2011, section 2.2)."""
    return math.hypot(matrix[0, 0], matrix[1, 0]) > math.radians(GIMBAL_DEG)


def matrix_from_rotvec(rotvec_deg: Numbers) -> Array:
    """Rodrigues: the rotation by |v| degrees about v, shape (3, 3)."""
    v = np.radians(vector(rotvec_deg, "The rotation vector"))
    k, angle = cross_matrix(v), float(np.linalg.norm(v))
    # sin(a)/a and (1-cos a)/a² by sinc, which is exact at zero where the quotients are not.
    return np.eye(3) + np.sinc(angle / math.pi) * k + 0.5 * np.sinc(angle / 2 / math.pi) ** 2 * (k @ k)


def quaternion_from_matrix(matrix: Matrix) -> Array:
    """Quaternion (x, y, z, w) with w >= 0, shape (4,): the eigenvector form, sound at any angle."""
    c = rotation_matrix(matrix, "The matrix")
    z = np.array([c[2, 1] - c[1, 2], c[0, 2] - c[2, 0], c[1, 0] - c[0, 1]])
    k = np.empty((4, 4))
    k[:3, :3], k[:3, 3], k[3, :3], k[3, 3] = c + c.T - np.trace(c) * np.eye(3), z, z, np.trace(c)
    q = np.linalg.eigh(k)[1][:, -1]
    return -q if q[3] < 0 else q


def rotvec_from_matrix(matrix: Matrix) -> Array:
    """Rotation vector in degrees, shape (3,), length at most 180."""
    q = quaternion_from_matrix(matrix)
    sine = float(np.linalg.norm(q[:3]))
    if sine < 1e-300:
        return np.zeros(3)
    return q[:3] * math.degrees(2 * math.atan2(sine, q[3])) / sine


def angle_between_deg(first: Matrix, second: Matrix) -> float:
    """Principal angle (deg) between two attitudes, by atan2 of the skew part and the trace.

    The acos of the trace alone is off by 7.5e-4 degree with matrices of six digits; this form is not.
    """
    c = rotation_matrix(first, "The first matrix") @ rotation_matrix(second, "The second matrix").T
    skew = np.array([c[2, 1] - c[1, 2], c[0, 2] - c[2, 0], c[1, 0] - c[0, 1]])
    return math.degrees(math.atan2(np.linalg.norm(skew) / 2, (np.trace(c) - 1) / 2))


def nearest_turn(angle_deg: float, to_deg: float) -> float:
    """The same direction, written in the turn closest to `to_deg` (so that 359.9 and -0.1 can be compared)."""
    return angle_deg + 360.0 * round((to_deg - angle_deg) / 360.0)


def ypr_jacobian(matrix: Matrix) -> Array:
    """d(roll, pitch, yaw) / d(small rotation in the parent frame), shape (3, 3). Undefined at pitch ±90."""
    yaw, pitch, _ = np.radians(ypr_from_matrix(matrix))
    axes = [
        [math.cos(yaw) * math.cos(pitch), -math.sin(yaw), 0.0],
        [math.sin(yaw) * math.cos(pitch), math.cos(yaw), 0.0],
        [-math.sin(pitch), 0.0, 1.0],
    ]
    return np.linalg.inv(np.array(axes))
