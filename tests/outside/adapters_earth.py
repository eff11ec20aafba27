"""Adapters of the groups earth, static, gyrocompass, drift and cost."""

import math

import numpy as np

from registry.inertial import cost, drift, earth, gyrocompass, heading_at_rest
from registry.inertial.bias import bias_from_two_headings
from registry.inertial.rotations import nearest_turn
from registry.inertial.unit_class import BANDS


def wgs84_constants(i, e, case):
    w = earth.WGS84
    return {
        "a_m": w.a_m,
        "inv_f": w.inv_f,
        "GM_m3_s2": w.gm_m3_s2,
        "omega_rad_s": w.omega_rad_s,
        "gamma_e_m_s2": w.gamma_e_m_s2,
        "gamma_p_m_s2": w.gamma_p_m_s2,
        "somigliana_k": w.somigliana_k,
        "e2": w.e2,
        "b_m": w.b_m,
        "m_ratio": w.m_ratio,
    }


def gravity(i, e, case):
    other = {}
    if "gamma_e" in i:
        w = earth.WGS84
        other["ellipsoid"] = earth.Ellipsoid(
            w.a_m, w.inv_f, w.gm_m3_s2, w.omega_rad_s, i["gamma_e"], w.gamma_p_m_s2, i["k"], i["e2"]
        )
    return {"gamma_m_s2": earth.normal_gravity(i["lat_deg"], i.get("height_m", 0.0), **other)}


def earth_rate(i, e, case):
    return {
        "rad_s": earth.EARTH_RATE_RAD_S,
        "deg_h": earth.EARTH_RATE_DEG_H,
        "deg_s": earth.EARTH_RATE_DEG_H / 3600,
        "sidereal_day_s": earth.SIDEREAL_DAY_S,
    }


def earth_rate_ned(i, e, case):
    ned = earth.earth_rate_ned_deg_h(i["lat_deg"])
    return {"deg_h_ned": list(ned), "horizontal_deg_h": ned[0]}


def static_reading(i, e, case):
    r = earth.static_reading(i["lat_deg"], i["heading_deg"], i["pitch_deg"], i["roll_deg"])
    pitch, roll = earth.level_from_force(r.force_m_s2)
    heading = heading_at_rest.heading_from_rates_deg(r.force_m_s2, r.rate_deg_h)
    return {
        "f_frd_m_s2": list(r.force_m_s2),
        "rate_frd_deg_h": list(r.rate_deg_h),
        "f_norm": float(np.linalg.norm(r.force_m_s2)),
        "rate_norm_deg_h": float(np.linalg.norm(r.rate_deg_h)),
        "pitch_from_f_deg": pitch,
        "roll_from_f_deg": roll,
        "heading_from_rates_deg": nearest_turn(heading, e.get("heading_from_rates_deg", heading)),
    }


def static_dot_product(i, e, case):
    r = earth.static_reading(i["lat_deg"], 30.0, -3.0, 2.0)
    angle = earth.angle_up_to_earth_rate(r.force_m_s2, r.rate_deg_h)
    return {"f_dot_w_over_norms": math.cos(math.radians(angle)), "angle_deg": angle}


def static_two_position(i, e, case):
    r = bias_from_two_headings(i["rate_pos1_deg_h"], i["rate_pos2_deg_h"], i["lat_deg"])
    return {
        "bias_deg_h": list(r.bias_deg_h),
        "heading_pos1_deg": r.heading_deg,
        "single_position_heading_deg": r.single_heading_deg,
        "single_position_error_deg": r.single_error_deg,
        "first_order_error_deg": r.first_order_error_deg,
    }


def gyrocompass_table(i, e, case):
    return {
        "rows": [
            [b, lat, gyrocompass.first_order_error_deg(b, lat), gyrocompass.exact_error_deg(b, lat)]
            for b, lat, *_ in e["rows"]
        ]
    }


def gyrocompass_class(i, e, case):
    x = i["class_deg_seclat"]
    at = {
        key: gyrocompass.class_heading_deg(x, float(key.removeprefix("error_at_lat").removesuffix("_deg")))
        for key in e
        if key.startswith("error_at_lat")
    }
    return {"bias_deg_h": gyrocompass.class_bias_deg_h(x), **at}


def gyrocompass_imo(i, e, case):
    limits = [gyrocompass.ship_limits(lat) for lat in i["lat_deg"]]
    return {
        "settle_limit_deg": [x.settle_deg for x in limits],
        "repeatability_limit_deg": [x.repeat_deg for x in limits],
    }


def gyrocompass_noise(i, e, case):
    n, t = i["arw_deg_sqrt_h"], i["T_s"]
    return {
        "rate_sigma_deg_h": gyrocompass.rate_noise_deg_h(n, t),
        "heading_sigma_deg": gyrocompass.heading_noise_deg(n, t, i["lat_deg"]),
    }


def gyrocompass_level(i, e, case):
    r = gyrocompass.level_error(i["acc_bias_m_s2"], i["lat_deg"], i["g"])
    return {
        "tilt_rad": r.tilt_rad,
        "tilt_arcsec": r.tilt_arcsec,
        "heading_error_deg": r.heading_deg,
        "exact_heading_error_abs_deg": r.exact_heading_deg,
    }


def gyrocompass_speed(i, e, case):
    return {
        "eastward_earth_speed_m_s": gyrocompass.eastward_earth_speed_m_s(i["lat_deg"]),
        "error_magnitude_deg": abs(gyrocompass.speed_error_deg(i["V_m_s"], i["course_deg"], i["lat_deg"])),
    }


def gyrocompass_datum(i, e, case):
    limit = gyrocompass.SHIP_DATUM_LIMIT_DEG
    return {"limit_deg": limit, "cross_track_percent": cost.cross_percent(limit)}


def drift_rule(i, e, case):
    b = i["gyro_bias_deg_h"]
    return {
        "nmi_per_h": drift.drift_nmi_h(b),
        "m_per_h_by_nmi": drift.drift_m_h(b),
        "m_per_h_by_mean_radius": drift.drift_m_h(b, earth.MEAN_RADIUS_M),
    }


def drift_schuler(i, e, case):
    t = drift.schuler_period_s(i["R_m"], i["g"])
    return {"T_s": t, "T_min": t / 60}


def drift_table(i, e, case):
    r, g = i["R_m"], i["g"]
    bias, acc = i.get("gyro_bias_deg_h", 0.01), i.get("acc_bias_m_s2", 50e-6 * 9.80665)
    return {
        "rows": [
            [t, drift.gyro_drift_m(t, bias, r, g), drift.ramp_m(t, bias, r), drift.acc_drift_m(t, acc, r, g)]
            for t, *_ in e["rows"]
        ]
    }


def cost_table(i, e, case):
    rows = []
    for theta, *_ in e["rows"]:
        end = cost.end_error(theta, 0.0, 1000.0)
        tan = cost.misalignment_cost(theta)
        rows.append([theta, tan.cross_percent, end.cross_m / 10, end.end_percent, tan.cross_m_per_km])
    return {"rows": rows}


def cost_inverse(i, e, case):
    return {"theta_deg": [cost.angle_for_percent_deg(p) for p in i["percent"]]}


def cost_budget(i, e, case):
    return {"total_over_class": [cost.total_over_class(share) for share in i["m_over_c"]]}


def cost_mission(i, e, case):
    r = cost.end_error(i["theta_deg"], i["beta"], i["D_m"])
    return {
        "cross_m": r.cross_m,
        "along_m": r.along_m,
        "end_m": r.end_m,
        "end_percent": r.end_percent,
        "small_angle_percent": r.small_angle_percent,
    }


def cost_bands(i, e, case):
    bands = {band.name: band for band in BANDS}
    return {
        "navigation_deg_h": bands["navigation"].gyro_deg_h[1],
        "tactical_deg_h": list(bands["tactical"].gyro_deg_h),
        "strategic_deg_h": list(bands["strategic"].gyro_deg_h),
        "navigation_acc_ug_below": bands["navigation"].acc_ug_below,
    }


def cost_gyrocompass(i, e, case):
    return {"heading_error_deg": [gyrocompass.exact_error_deg(b, i["lat_deg"]) for b in i["bias_deg_h"]]}


HANDLERS = {
    "earth-wgs84": wgs84_constants,
    "earth-gravity": gravity,
    "earth-rate": earth_rate,
    "earth-rate-ned": earth_rate_ned,
    "static-reading": static_reading,
    "static-dot": static_dot_product,
    "static-two": static_two_position,
    "gyrocompass-error-table": gyrocompass_table,
    "gyrocompass-seclat": gyrocompass_class,
    "gyrocompass-imo": gyrocompass_imo,
    "gyrocompass-arw": gyrocompass_noise,
    "gyrocompass-level": gyrocompass_level,
    "gyrocompass-speed": gyrocompass_speed,
    "gyrocompass-datum": gyrocompass_datum,
    "drift-rule": drift_rule,
    "drift-schuler": drift_schuler,
    "drift-schuler-table": drift_table,
    "cost-tan": cost_table,
    "cost-inverse": cost_inverse,
    "cost-budget": cost_budget,
    "cost-mission": cost_mission,
    "cost-class-bands": cost_bands,
    "cost-class-gyrocompass": cost_gyrocompass,
}
