"""Planning and judging a DVL run: what sigma to expect, what noise does to scale, and figures others have reached."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.inputs import Numbers, number, series
from registry.inertial.methods import method
from registry.inertial.refusal import CannotCompute


def expected_sigma_alpha_deg(
    samples: int, speed_m_s: float, sigma_ref_m_s: float, sigma_dvl_m_s: float, scale: float = 0.0
) -> float:
    """sqrt(sr² + (1 + beta)² sd²)/(V sqrt N), degrees, for N independent samples; sigma of scale is the same in rad."""
    noise = math.hypot(sigma_ref_m_s, (1 + scale) * sigma_dvl_m_s)
    speed, count = number(speed_m_s, "The speed in m/s", above=0), number(samples, "The samples", least=1)
    return math.degrees(noise / (speed * math.sqrt(count)))


def offset_sigma_alpha_deg(headings_deg: Numbers, speed_m_s: float, sigma_m_s: float) -> float:
    """Sigma of the angle when a constant offset is fitted with it, from leg means of sigma (per axis) on headings (n,).

    Two legs dH apart give sqrt 2 sigma/(2 V sin(dH/2)). Raises CannotCompute when all headings are one.
    """
    legs = np.exp(1j * np.radians(series(headings_deg, "The headings", least=2)))
    z = number(speed_m_s, "The speed in m/s", above=0) * legs
    spread = float(np.sum(np.abs(z - z.mean()) ** 2))
    if spread < 1e-9 * len(z):
        raise CannotCompute("All legs lie on one heading: angle and offset cannot be told apart.", "Add a heading.")
    return math.degrees(number(sigma_m_s, "Sigma of a leg mean in m/s", above=0) / math.sqrt(spread))


def two_leg_sigma_alpha_deg(heading_change_deg: float, speed_m_s: float, sigma_m_s: float) -> float:
    """The closed form of the same for two legs: 180 degrees 0.27, 90 0.38, 30 1.04 (1 cm/s, 1.5 m/s)."""
    half = math.sin(math.radians(number(heading_change_deg, "The heading change", above=0, most=180)) / 2)
    return math.degrees(math.sqrt(2) * sigma_m_s / (2 * speed_m_s * half))


@dataclass(frozen=True, slots=True)
class ScaleBias:
    """What noise does to a fitted 1 + beta, as a share: by least squares and by the ratio of r.m.s. speeds."""

    least_squares: float
    rms_ratio: float


def scale_bias(speed_m_s: float, sigma_ref_m_s: float, sigma_dvl_m_s: float, scale: float = 0.0) -> ScaleBias:
    """Noise in the DVL lowers a fitted scale (0.05 m/s at 1.5 m/s: 0.22 %); the angle is not biased. Average first."""
    v = number(speed_m_s, "The speed in m/s", above=0)
    v_dvl = v / (1 + scale)
    dvl, ref = 2 * sigma_dvl_m_s**2 / v_dvl**2, 2 * sigma_ref_m_s**2 / v**2
    return ScaleBias((1 + scale) * (1 / (1 + dvl) - 1), (1 + scale) * (math.sqrt((1 + ref) / (1 + dvl)) - 1))


@dataclass(frozen=True, slots=True)
class DvlPitch:
    """Pitch of a DVL against the vehicle, bow-up positive."""

    pitch_deg: float
    sigma_deg: float | None
    verdict: str
    next: str
    method: str


def pitch_from_depth(
    speed_m_s: float, down_m_s: float, sigma_down_m_s: float | None = None, *, depth_steady: bool = True
) -> DvlPitch:
    """asin(w / V) on a level run at constant depth: a DVL that points up by theta reports w = V sin(theta) down.

    Raises CannotCompute when the depth was not steady, under 0.3 m/s, and for w not under V.
    """
    if not depth_steady:
        raise CannotCompute("The depth changed over the run, so its vertical speed is real.", "Run at constant depth.")
    v, w = number(speed_m_s, "The speed in m/s", least=0.3), number(down_m_s, "The downward speed in m/s")
    if abs(w) >= v:
        raise CannotCompute(f"A downward speed of {w:g} m/s is not part of a level run at {v:g} m/s.")
    pitch = math.degrees(math.asin(w / v))
    sigma = None if sigma_down_m_s is None else math.degrees(sigma_down_m_s / math.sqrt(v**2 - w**2))
    return DvlPitch(
        pitch,
        sigma,
        f"The DVL points {abs(pitch):.2f}° {'up' if pitch >= 0 else 'down'}.",
        f"Enter {pitch:+.2f}° of pitch (bow up +).",
        method("dvl-pitch"),
    )


#: What others have reached: bands to judge plausibility, never limits of a verdict. Sources beside each.
REACHED = {
    # Pollard & Read, J. Atmos. Oceanic Technol. 6 (1989) 859, abstract: ships, series of 90-degree turns.
    "ship_alpha_sd_deg": 0.2,
    "ship_scale_sd_percent": 0.3,
    "ship_day_to_day_alpha_deg": 1.0,
    "ship_day_to_day_scale_percent": 2.0,
    "gyrocompass_after_turn_deg": 2.0,
    "velocity_m_s_at_5_m_s": 0.05,
    # Tang, Wang, Li, Wu, Sensors 13 (2013) 14583, abstract: inertial unit and DVL after calibration, CEP.
    "aided_river_percent": 0.1,
    "aided_sea_percent": 0.2,
    # University of Hawaii, shipboard profiler notes: one degree is this much across the track.
    "cross_m_s_per_deg": 0.1,
}


def speed_of_rule_m_s(cross_m_s_per_deg: float = REACHED["cross_m_s_per_deg"]) -> float:
    """The ship's speed at which one degree makes so much speed across the track."""
    return cross_m_s_per_deg / math.sin(math.radians(1.0))


def plausible(sigma_alpha_deg: float, sigma_scale: float) -> str:
    """A sentence when an error is far smaller than anyone has published, else an empty text."""
    if sigma_alpha_deg < REACHED["ship_alpha_sd_deg"] / 20 or 100 * sigma_scale < REACHED["ship_scale_sd_percent"] / 20:
        return "This sigma is far smaller than any published one: are the samples independent?"
    return ""
