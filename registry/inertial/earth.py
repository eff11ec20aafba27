"""The earth as a unit at rest feels it: normal gravity, rotation, and the readings they give at an attitude."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.inputs import Numbers, latitude, number, vector
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr
from registry.inertial.units import DEG_H_TO_RAD_S


@dataclass(frozen=True, slots=True)
class Ellipsoid:
    """A level ellipsoid: size, flattening, rotation and the gravity on it (SI units)."""

    a_m: float
    inv_f: float
    gm_m3_s2: float
    omega_rad_s: float
    gamma_e_m_s2: float
    gamma_p_m_s2: float
    somigliana_k: float
    e2: float

    @property
    def f(self) -> float:
        return 1 / self.inv_f

    @property
    def b_m(self) -> float:
        return self.a_m * (1 - self.f)

    @property
    def m_ratio(self) -> float:
        """Centrifugal over gravitational acceleration at the equator."""
        return self.omega_rad_s**2 * self.a_m**2 * self.b_m / self.gm_m3_s2


#: NIMA TR8350.2, third edition, amended 2000, tables 3.1 and 3.4 (k from memory; it follows from the others to 6e-12).
WGS84 = Ellipsoid(
    a_m=6378137.0,
    inv_f=298.257223563,
    gm_m3_s2=3.986004418e14,
    omega_rad_s=7.292115e-5,
    gamma_e_m_s2=9.7803253359,
    gamma_p_m_s2=9.8321849378,
    somigliana_k=0.00193185265241,
    e2=(2 - 1 / 298.257223563) / 298.257223563,
)

EARTH_RATE_RAD_S = WGS84.omega_rad_s
EARTH_RATE_DEG_H = EARTH_RATE_RAD_S / DEG_H_TO_RAD_S
SIDEREAL_DAY_S = 2 * math.pi / EARTH_RATE_RAD_S
#: Radius of the sphere of equal volume, for rules that take the earth as a sphere.
MEAN_RADIUS_M = (WGS84.a_m**2 * WGS84.b_m) ** (1 / 3)


def normal_gravity(lat_deg: float, height_m: float = 0.0, ellipsoid: Ellipsoid = WGS84) -> float:
    """Normal gravity in m/s² at a geodetic latitude and a height above the ellipsoid (Somigliana, TR8350.2 4-1, 4-3).

    The height term is the free-air one: under water or under rock the true change is another, so test at the surface.
    Local gravity differs by the anomaly, tens of mGal (1 mGal = 1e-5 m/s²). Raises CannotCompute without a latitude.
    """
    s2 = math.sin(math.radians(latitude(lat_deg))) ** 2
    h = number(height_m, "The height in metres", least=-12_000, most=20_000)
    e = ellipsoid
    on_ellipsoid = e.gamma_e_m_s2 * (1 + e.somigliana_k * s2) / math.sqrt(1 - e.e2 * s2)
    return on_ellipsoid * (1 - 2 / e.a_m * (1 + e.f + e.m_ratio - 2 * e.f * s2) * h + 3 * h**2 / e.a_m**2)


def earth_rate_ned_deg_h(lat_deg: float) -> tuple[float, float, float]:
    """Earth rate in north, east, down (deg/h); the level part is the first (Groves 2013, section 2.4)."""
    lat = math.radians(latitude(lat_deg))
    return EARTH_RATE_DEG_H * math.cos(lat), 0.0, -EARTH_RATE_DEG_H * math.sin(lat)


@dataclass(frozen=True, slots=True)
class StaticReading:
    """What a faultless unit at rest reads in its own FRD axes: specific force (m/s²) and rate (deg/h)."""

    force_m_s2: tuple[float, float, float]
    rate_deg_h: tuple[float, float, float]


def static_reading(
    lat_deg: float, heading_deg: float, pitch_deg: float, roll_deg: float, height_m: float = 0.0
) -> StaticReading:
    """Error-free readings at rest: f = C_nb^T (0, 0, -g), w = C_nb^T w_ie. A level unit reads (0, 0, -g)."""
    to_body = matrix_from_ypr(heading_deg, pitch_deg, roll_deg).T
    force = to_body @ (0.0, 0.0, -normal_gravity(lat_deg, height_m))
    rate = to_body @ earth_rate_ned_deg_h(lat_deg)
    return StaticReading(tuple(map(float, force)), tuple(map(float, rate)))


def level_from_force(force_m_s2: Numbers) -> tuple[float, float]:
    """Pitch and roll (deg) of an FRD unit at rest from its mean specific force (3,), any unit of force."""
    fx, fy, fz = vector(force_m_s2, "The mean specific force")
    if not math.hypot(fx, fy, fz) > 0:
        raise CannotCompute("The mean specific force is zero, so no direction is down.", "Check the unit’s output.")
    return math.degrees(math.atan2(fx, math.hypot(fy, fz))), math.degrees(math.atan2(-fy, -fz))


def angle_up_to_earth_rate(force_m_s2: Numbers, rate_deg_h: Numbers) -> float:
    """Angle (deg) between mean specific force (up) and mean rate, both (3,): 90 minus latitude at any attitude."""
    force, rate = vector(force_m_s2, "The mean specific force"), vector(rate_deg_h, "The mean rate")
    return math.degrees(math.atan2(np.linalg.norm(np.cross(force, rate)), force @ rate))
