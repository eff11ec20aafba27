"""What a DVL run brings, and what a fit of it gives."""

from dataclasses import dataclass

from registry.inertial.inputs import Matrix, Numbers
from registry.inertial.limits import DvlLimits
from registry.inertial.north import North


@dataclass(frozen=True, slots=True)
class DvlFit:
    """Angle and scale of a DVL with 1-sigma errors and intervals of `coverage`.

    `sigma_*` is the larger of the error by the number of independent samples and the block bootstrap by leg (blocks
    alone see too little of noise that lasts nearly as long as they do); the plain error, rows taken as independent,
    is beside it. `offset_*` is the constant earth-fixed velocity of an offset fit, `lever_*` the arm left over,
    from the DVL to the reference point; None when they were not fitted. What is estimated is the sum of the DVL's
    angle and any constant heading error of the unit: a track cannot tell them apart.
    """

    alpha_deg: float
    scale: float
    sigma_alpha_deg: float
    sigma_scale: float
    half_width_alpha_deg: float
    half_width_scale: float
    coverage: float
    plain_sigma_alpha_deg: float
    bootstrap_sigma_alpha_deg: float | None
    offset_north_m_s: float | None
    offset_east_m_s: float | None
    sigma_offset_m_s: float | None
    lever_forward_m: float | None
    lever_starboard_m: float | None
    sigma_lever_m: float | None
    samples: int
    independent_samples: int
    blocks: int
    heading_change_deg: float | None
    mean_speed_m_s: float
    residual_rms_m_s: float
    sound_speed_m_s: float
    scale_less_sound_speed: float | None
    north: North
    frame: str
    seed: int
    verdict: str
    next: str
    method: str
    limits: DvlLimits


@dataclass(frozen=True, slots=True, eq=False)
class DvlRun:
    """Velocities of a run, all rows alike: both (n, 2) in one horizontal frame, vehicle FRD or north-east.

    `sound_speed_m_s` is what the DVL used; `measured_sound_speed_m_s` what the water had. `heading_deg` (n,) is asked
    for by an offset or lever fit; `turn_deg_s` (n,) by a lever fit and by runs with turns; `leg` (n,) numbers the legs.
    """

    v_ref_m_s: Matrix
    v_dvl_m_s: Matrix
    north: North | None
    sound_speed_m_s: float | None
    measured_sound_speed_m_s: float | None = None
    phased_array: bool = False
    frame: str = "vehicle"
    heading_deg: Numbers | None = None
    turn_deg_s: Numbers | None = None
    leg: Numbers | None = None
    clock_known: bool = True
    cautions: tuple[str, ...] = ()
