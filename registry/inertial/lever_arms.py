"""Lever arms and latency: what an offset in place or in time does to velocity, position and heading.

Lever arms are metres in vehicle FRD axes, from the unit's stated reference point to the other sensor's.
"""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.inputs import Matrix, Numbers, number, rotation_matrix, vector
from registry.inertial.methods import method
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class LeverArm:
    """From the unit's reference point to a sensor's, vehicle FRD, metres; sigma for each axis."""

    forward_m: float
    starboard_m: float
    down_m: float
    sigma_m: float
    frame: str
    next: str
    method: str

    @property
    def vector_m(self) -> Vector:
        return self.forward_m, self.starboard_m, self.down_m


def lever_arm(forward_m: float, starboard_m: float, down_m: float, *, sigma_m: float) -> LeverArm:
    """A lever arm measured in vehicle axes. Raises CannotCompute for sigma under zero or lengths over 300 m."""
    arm = vector((forward_m, starboard_m, down_m), "The lever arm in metres")
    if np.abs(arm).max() > 300:
        raise CannotCompute(
            f"A lever arm of {np.abs(arm).max():g} m is longer than any vehicle.",
            "Enter metres, not millimetres.",
        )
    sigma = number(sigma_m, "Sigma of the lever arm in metres", least=0)
    return LeverArm(
        *floats(arm),
        sigma_m=sigma,
        frame="vehicle FRD, from the unit’s reference point",
        next=f"At 10 deg/s this sigma leaves {velocity_error_m_s(sigma, 10) * 1000:.1f} mm/s in the velocity.",
        method=method("lever-arm"),
    )


def lever_arm_from_unit_axes(lever_unit_m: Numbers, c_vu: Matrix, *, sigma_m: float) -> LeverArm:
    """A lever arm measured along the unit's own axes (3,), turned into vehicle axes by C_vu (3 x 3)."""
    c = rotation_matrix(c_vu, "The mounting matrix")
    return lever_arm(*(c @ vector(lever_unit_m, "The lever arm in metres")), sigma_m=sigma_m)


def frame_mistake_m(lever_unit_m: Numbers, c_vu: Matrix) -> float:
    """How far off a lever arm is when numbers in unit axes are entered as vehicle axes (metres)."""
    arm = vector(lever_unit_m, "The lever arm in metres")
    return float(np.linalg.norm(rotation_matrix(c_vu, "The mounting matrix") @ arm - arm))


@dataclass(frozen=True, slots=True)
class SensorMotion:
    """Motion at a sensor off the reference point, vehicle FRD, steady rate (rigid body, Fossen 2011 section 3.3)."""

    rotation_velocity_m_s: Vector
    velocity_m_s: Vector
    centripetal_m_s2: Vector
    frame: str
    method: str


def motion_at_sensor(rate_deg_s: Numbers, lever_m: Numbers, velocity_m_s: Numbers) -> SensorMotion:
    """v + w x r and w x (w x r), all vectors (3,) in vehicle FRD axes."""
    w = np.radians(vector(rate_deg_s, "The rate in deg/s"))
    r, v = vector(lever_m, "The lever arm in metres"), vector(velocity_m_s, "The velocity in m/s")
    turn = np.cross(w, r)
    return SensorMotion(floats(turn), floats(v + turn), floats(np.cross(w, turn)), "vehicle FRD", method("lever-arm"))


@dataclass(frozen=True, slots=True)
class OffsetOnMap:
    """A lever arm laid out in north, east, down, and what an error of it does to a fix."""

    offset_ned_m: Vector
    error_ned_m: Vector
    reciprocal_difference_m: float
    frame: str
    method: str


def offset_on_map(
    yaw_deg: float, pitch_deg: float, roll_deg: float, lever_m: Numbers, lever_error_m: Numbers = (0.0, 0.0, 0.0)
) -> OffsetOnMap:
    """p = p0 + C_nb r. A level error moves fixes on reciprocal headings apart by twice its size (Groves 2.5.5)."""
    c = matrix_from_ypr(yaw_deg, pitch_deg, roll_deg)
    error = vector(lever_error_m, "The uncertainty of the lever arm in metres")
    return OffsetOnMap(
        floats(c @ vector(lever_m, "The lever arm in metres")),
        floats(c @ error),
        2 * float(np.linalg.norm(error[:2])),
        "NED",
        method("lever-arm"),
    )


def velocity_error_m_s(lever_error_m: float, rate_deg_s: float) -> float:
    """|w| dr for an error across the axis of turn: 5 cm at 10 deg/s is 8.7 mm/s."""
    return abs(math.radians(number(rate_deg_s, "The rate in deg/s"))) * number(lever_error_m, "The length in metres")


def position_error_m(attitude_error_deg: float, lever_m: float) -> float:
    """Attitude error times arm, for an arm across the axis of the error: 0.1 degree on 20 m is 35 mm."""
    return abs(math.radians(number(attitude_error_deg, "The angle"))) * number(lever_m, "The lever arm")


def apparent_angle_in_turn_deg(turn_deg_s: float, forward_m: float, speed_m_s: float) -> float:
    """How far a DVL left `forward_m` ahead looks misaligned in a turn: atan(r x / V)."""
    speed = number(speed_m_s, "The speed in m/s", above=0)
    return math.degrees(math.atan2(math.radians(turn_deg_s) * forward_m, speed))


@dataclass(frozen=True, slots=True)
class LatencyEffect:
    """What data that come late by `latency_s` do: along the track and in heading."""

    latency_s: float
    along_track_m: float
    heading_deg: float
    method: str


def latency_effect(latency_s: float, speed_m_s: float, turn_deg_s: float = 0.0) -> LatencyEffect:
    """v dt along the track, r dt in heading: 10 deg/s and 20 ms make 0.2 degree."""
    dt = number(latency_s, "The latency in seconds")
    return LatencyEffect(
        dt, number(speed_m_s, "The speed") * dt, number(turn_deg_s, "The turn") * dt, method("latency")
    )


@dataclass(frozen=True, slots=True)
class TurnSplit:
    """Misalignment and latency told apart by two opposite turns, with sigmas when those of the angles are given."""

    alpha_deg: float
    latency_s: float
    sigma_alpha_deg: float | None
    sigma_latency_s: float | None
    verdict: str
    next: str
    method: str


def split_opposite_turns(
    starboard_deg: float, port_deg: float, turn_deg_s: float, sigma_deg: float | None = None
) -> TurnSplit:
    """alpha = (a1 + a2)/2 and dt = (a1 - a2)/(2 r) from the apparent angles in a starboard and a port turn of rate r.

    `sigma_deg` is that of each apparent angle. Raises CannotCompute when the turns have no rate.
    """
    rate = number(turn_deg_s, "The turn rate in deg/s", above=0)
    a1, a2 = number(starboard_deg, "The angle in the starboard turn"), number(port_deg, "The angle in the port turn")
    alpha, latency = (a1 + a2) / 2, (a1 - a2) / (2 * rate)
    sigma = None if sigma_deg is None else number(sigma_deg, "Sigma of the angles", least=0) / math.sqrt(2)
    return TurnSplit(
        alpha_deg=alpha,
        latency_s=latency,
        sigma_alpha_deg=sigma,
        sigma_latency_s=None if sigma is None else sigma / rate,
        verdict=f"The sensor points {abs(alpha):.2f}° to {'starboard' if alpha >= 0 else 'port'}"
        f" and its data come {abs(latency) * 1000:.0f} ms {'late' if latency >= 0 else 'early'}.",
        next="Mend the clock first, then fit the angle on straight legs.",
        method=method("latency"),
    )
