"""Every limit a verdict rests on, with its reason beside it. A site may change any; results carry the ones in force.

"(P)" is a proposal of ours, "practice" is common seamanship from memory; neither is a standard. Where practice is
stricter than the arithmetic it is the default, and the arithmetic stays as the floor.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MountingLimits:
    """Limits of the check of a mounting entry."""

    #: Between two mountings, a pose must separate them by three times this share to be heard (P).
    share_of_separation: float = 1 / 3
    #: A tilt under this leaves neighbours under 1.2 m/s² apart (arithmetic: sqrt(2) g sin 5°).
    least_tilt_deg: float = 5.0
    #: Residual allowed while no pose is tilted: a twentieth of g (P).
    level_residual_m_s2: float = 0.49
    #: However far apart the poses set the mountings, a residual over this is no fit: 6° of attitude (P).
    most_residual_m_s2: float = 1.0
    #: Standard deviation of specific force over a pose, at rest (P).
    most_spread_m_s2: float = 0.2
    #: The same on a moving deck, where only signs and coarse checks are sound (practice).
    most_spread_moving_m_s2: float = 1.5
    least_seconds_moving: float = 120.0
    #: |f| may differ from g by this share: 2 % is far over any calibrated unit and far under a wrong unit (P).
    most_norm_share: float = 0.02
    #: Beyond this from the nearest of the 24, it is no square bracket, or a bad record (P).
    most_rest_deg: float = 15.0
    #: A turn must be this fast for its sign to count (P).
    least_turn_deg_s: float = 0.5


@dataclass(frozen=True, slots=True)
class DirectionLimits:
    """Limits of a fit of mounting angles to directions."""

    #: Two directions closer than this (or than this to opposite) multiply sigma by more than 16 (P).
    least_separation_deg: float = 5.0
    #: The residual chi-square is refused over this level.
    refuse_level: float = 0.99
    #: Coverage of the intervals that are given.
    coverage: float = 0.95


@dataclass(frozen=True, slots=True)
class DvlLimits:
    """Limits of a DVL run and of the fits to it."""

    #: Independent samples, not rows of the file (P).
    least_independent: int = 30
    #: Slower runs are refused (P) or cautioned (practice).
    least_speed_m_s: float = 0.3
    warn_speed_m_s: float = 0.8
    #: Leg lengths by the quality of the reference (practice; the arithmetic of 32 m is the floor, not seamanship).
    least_leg_m: float = 200.0
    least_leg_without_rtk_m: float = 800.0
    #: Seconds left out after each turn (practice).
    settle_s: float = 30.0
    #: A heading rate over this is a turn (P).
    turn_rate_deg_s: float = 0.5
    #: Share of samples with bottom lock on the legs that are used (practice).
    least_bottom_lock: float = 0.9
    #: A constant earth-fixed offset needs headings this far apart (P).
    least_heading_change_deg: float = 30.0
    #: Beyond this the mounting entry is wrong, not the fine angle (P).
    most_angle_deg: float = 15.0
    #: Half-width at which the angle is good enough to be used; it sets the length rule.
    wanted_half_width_deg: float = 0.1
    #: Blocks of the bootstrap.
    blocks: int = 30
    coverage: float = 0.95


@dataclass(frozen=True, slots=True)
class GyrocompassLimits:
    """Latitudes of gyrocompassing (P): factor 2.9 at 70 degrees, 5.8 at 80, 11.5 at 85."""

    warn_lat_deg: float = 70.0
    refuse_lat_deg: float = 85.0
    most_spread_m_s2: float = 0.2


@dataclass(frozen=True, slots=True)
class StaticLimits:
    """Limits of a bench static test."""

    #: Floor of the gravity tolerance: the local anomaly is tens of mGal.
    gravity_floor_m_s2: float = 1e-3
    #: Shortest record for a bias, and for the noise floor (P).
    least_bias_s: float = 600.0
    least_floor_s: float = 3600.0
    #: Practice: warmed up this long; accepted on headings x minutes and power-ups.
    warm_up_min: float = 45.0
    headings: int = 4
    minutes_each: float = 20.0
    power_ups: int = 4
    #: Split in this many parts, the means must agree.
    parts: int = 5
    #: At this level, chi-square of the parts about their mean.
    stationarity_level: float = 0.999
    #: Motion on the bench (P).
    most_spread_m_s2: float = 0.2
    #: The azimuth of the bench mark is known to this share of the heading class (practice).
    mark_share_of_class: float = 1 / 3
    coverage: float = 0.95


@dataclass(frozen=True, slots=True)
class AllanLimits:
    """Limits of what is read off an Allan curve."""

    #: Longest averaging time is this share of the record.
    longest_share: float = 1 / 9
    #: A minimum whose relative error is over this is not reported as the floor (P).
    most_floor_error: float = 0.25
    #: A stretch counts as slope s when the local slope stays this close to it (P).
    slope_play: float = 0.25
    coverage: float = 0.95


@dataclass(frozen=True, slots=True)
class CostLimits:
    """Shares of the class at which a misalignment is drawn open, hatched or solid (P)."""

    open_share: float = 1 / 3
    solid_share: float = 1.0


@dataclass(frozen=True, slots=True)
class TrendLimits:
    """Limits of statements about change over calibrations."""

    #: Fewer calibrations give no trend statement.
    least_calibrations: int = 4
    level: float = 0.95
    alarm_level: float = 0.99


@dataclass(frozen=True, slots=True)
class RecordingLimits:
    """What a recording must satisfy before anything is computed from it."""

    #: A step of the clock over this many usual steps is a gap (P).
    gap_steps: float = 1.5
    #: Largest recording taken: 14 hours at 400 Hz.
    most_rows: int = 20_000_000
    #: A mean norm this close (as a share) to another unit's resting value names that unit (P).
    unit_match: float = 0.2
    #: No unit at rest shows less or more than this, whatever its bias (P).
    least_resting_deg_h: float = 1.0
    most_resting_deg_h: float = 18_000.0


#: Heading tolerance by use of the bay, degrees (practice).
HEADING_TOLERANCE_DEG = {"transit": 0.3, "survey": 0.1}
#: Roll tolerance of a multibeam bay, degrees, tight and usual (practice).
MULTIBEAM_ROLL_DEG = (0.03, 0.05)
