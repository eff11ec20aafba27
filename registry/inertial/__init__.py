"""Computations on inertial units: mounting, alignment, DVL, bench tests, and what their figures are worth.

Pure numpy and scipy, usable without the registry. Frames: vehicle FRD (x forward, y to starboard, z down), NED;
specific force, not acceleration, so a level unit reads (0, 0, -g). Every result is frozen, carries units in its field
names, its sigma and coverage, and `method`, the version to store with it; `as_record` makes plain data of it. Every
refusal is `CannotCompute` with `.sentence` and `.next`.

Names are loaded on first use, so `import registry.inertial` costs nothing.
"""

from importlib import import_module
from typing import Any

from registry.inertial.refusal import CannotCompute

#: Module -> the names that are public from it.
_PUBLIC = {
    "records": "as_record",
    "methods": "METHODS method",
    "limits": "MountingLimits DirectionLimits DvlLimits GyrocompassLimits StaticLimits AllanLimits CostLimits"
    " TrendLimits RecordingLimits HEADING_TOLERANCE_DEG MULTIBEAM_ROLL_DEG",
    "earth": "WGS84 EARTH_RATE_DEG_H EARTH_RATE_RAD_S normal_gravity earth_rate_ned_deg_h static_reading"
    " level_from_force angle_up_to_earth_rate",
    "rotations": "matrix_from_ypr ypr_from_matrix matrix_from_rotvec rotvec_from_matrix quaternion_from_matrix"
    " angle_between_deg",
    "mounting": "Mounting mounting_from_words mountings nearest_mounting words_of_axes fine_matrix",
    "mounting_check": "Pose pose Entry check_mounting candidates check_turn nearest_to_poses",
    "axis_signs": "ShownMotions check_signs",
    "plate_angles": "FineAngles fine_angles compose fine_of unit_on_plate carried",
    "residuals": "direction_residuals leg_residuals",
    "directions": "fit_directions chain transport_covariance dowel_play_deg carried_sigma_deg",
    "best_rotation": "wahba triad",
    "lever_arms": "lever_arm lever_arm_from_unit_axes frame_mistake_m motion_at_sensor offset_on_map velocity_error_m_s"
    " position_error_m apparent_angle_in_turn_deg latency_effect split_opposite_turns",
    "north": "North TRUE_NORTH to_true declared grid_north magnetic_north magnetic_north_by_model north_by_word"
    " utm_central_meridian_deg",
    "dvl": "DvlRun fit_dvl",
    "dvl_track": "Track Leg split_legs run_of_track fit_track",
    "dvl_end": "fit_end_fix net_and_path_m",
    "dvl_three_axis": "fit_three_axis observable_angles",
    "dvl_refusals": "shortest_baseline_m",
    "dvl_design": "expected_sigma_alpha_deg offset_sigma_alpha_deg scale_bias pitch_from_depth plausible",
    "cost": "misalignment_cost cross_percent angle_for_percent_deg end_error end_errors_of_legs",
    "gyrocompass": "heading_error class_bias_deg_h class_heading_deg heading_noise_deg rate_noise_deg_h level_error"
    " speed_error_deg unaided_north_speed_deg settling_minutes ship_limits",
    "heading_at_rest": "static_heading",
    "drift": "free_inertial_drift drift_nmi_h schuler_period_s",
    "allan": "allan_deviation relative_error",
    "allan_terms": "read_terms",
    "static_summary": "StaticSummary summarise",
    "bench_test": "static_test",
    "bias": "bias_on_fixture bias_from_two_headings",
    "unit_class": "UnitClass Limit Statistic compare_with_class band_of",
    "repeatability": "compare_alignments covariance_from_sigmas_rad2 normalised_error pooled_repeatability",
    "trends": "fit_trend fit_step read_history",
    "uncertainty": "Part combine propagate from_half_width from_resolution from_expanded from_interval from_readings",
    "decisions": "Rule Outcome judge conformance_probability worst_false_accept global_risk",
    "intervals": "StaircaseRules staircase control_chart in_use_limit in_service_check",
    "due_dates": "due_after_months due_after_days in_date covers_voyage pair_due",
    "look_back": "Use Fitting uses_to_assess even_drift",
    "bench_recording": "read_bench",
    "phases": "Phase read_phases shown_attitudes felt_poses",
    "recordings": "StaticRecording read_static read_track",
}
_HOME = {name: module for module, names in _PUBLIC.items() for name in names.split()}
__all__ = ["CannotCompute", *_HOME]


def __getattr__(name: str) -> Any:
    # No public name may be that of a module here: once a module is imported, Python hands the module out instead.
    if name in _HOME:
        found = getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
        globals()[name] = found
        return found
    raise AttributeError(f"{__name__} has no {name}")


def __dir__() -> list[str]:
    return sorted(__all__)
