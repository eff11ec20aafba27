"""A DVL run made here: straight legs on four headings with turns between them, and a DVL that points off by a known angle."""

import math
import random

HEAD = "time_s,heading_deg,dvl_x_m_s,dvl_y_m_s,ref_north_m_s,ref_east_m_s,bottom_lock"


def track(
    alpha_deg: float = 0.65, scale: float = 0.004, *, leg_s: int = 190, speed: float = 1.4, noise: float = 0.004, seed: int = 3
) -> bytes:  # fmt: skip
    """One row a second. The DVL points `alpha_deg` to starboard of the unit and reads short by `scale`."""
    dice = random.Random(seed)
    rows, second, heading = [HEAD], 0, 0.0

    def row(heading: float) -> None:
        nonlocal second
        course = math.radians(heading)
        back = math.radians(-alpha_deg)
        dvl = speed / (1 + scale)
        x = dvl * math.cos(back) + dice.gauss(0, noise)
        y = dvl * math.sin(back) + dice.gauss(0, noise)
        north = speed * math.cos(course) + dice.gauss(0, noise)
        east = speed * math.sin(course) + dice.gauss(0, noise)
        rows.append(f"{second},{heading % 360:.3f},{x:.5f},{y:.5f},{north:.5f},{east:.5f},1")
        second += 1

    for wanted in (0.0, 180.0, 270.0, 450.0):
        while heading < wanted:
            heading = min(heading + 10.0, wanted)
            row(heading)
        for _ in range(leg_s):
            row(heading)
    return "\n".join([*rows, ""]).encode()
