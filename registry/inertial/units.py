"""Units of angle rate, acceleration and noise, and what one is worth in another."""

import math

#: Exact by definition (CGPM 1901).
STANDARD_GRAVITY_M_S2 = 9.80665
NAUTICAL_MILE_M = 1852.0

#: Worth of one unit in degrees per hour.
RATE_IN_DEG_H = {
    "deg/h": 1.0,
    "deg/s": 3600.0,
    "deg/min": 60.0,
    "rad/s": math.degrees(1) * 3600,
    "mrad/s": math.degrees(1) * 3.6,
    "rad/h": math.degrees(1),
}
#: Worth of one unit in metres per second squared.
FORCE_IN_M_S2 = {
    "m/s2": 1.0,
    "g": STANDARD_GRAVITY_M_S2,
    "mg": STANDARD_GRAVITY_M_S2 / 1e3,
    "ug": STANDARD_GRAVITY_M_S2 / 1e6,
}

DEG_H_TO_RAD_S = math.radians(1) / 3600
#: Angle random walk: rate noise density is quoted in three ways, and the walk in one (IEEE 952 Annex C).
DEG_SQRT_H_TO_RAD_SQRT_S = math.radians(1) / 60
DEG_H_SQRT_HZ_TO_DEG_SQRT_H = 1 / 60
DEG_S_SQRT_HZ_TO_DEG_SQRT_H = 60.0
MG_TO_M_S2 = FORCE_IN_M_S2["mg"]
UG_SQRT_HZ_TO_M_S_SQRT_H = FORCE_IN_M_S2["ug"] * 60
