"""Adapters of the groups dvl and real: synthetic runs, published bands, and the real records that ship beside them."""

import json
import math
from pathlib import Path

import numpy as np

from registry.inertial import complex_fit, dvl_design, dvl_end
from registry.inertial.dvl_refusals import shortest_baseline_m
from registry.inertial.dvl_three_axis import fit_three_axis, observable_angles
from registry.inertial.mounting import nearest_mounting
from registry.inertial.north import TRUE_NORTH
from registry.inertial.quantiles import t_factor
from registry.inertial.recording_files import read_raw
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr
from registry.inertial.units import RATE_IN_DEG_H

DATA = Path(__file__).parent / "data"


def _pair(z):
    return np.column_stack([np.real(z), np.imag(z)])


def dvl_exact(i, e, case):
    ref, dvl = np.array(i["v_ref_frd_m_s"]), np.array(i["v_dvl_m_s"])
    c = complex_fit.angle_scale(ref, dvl)
    products = np.conj(complex_fit.as_complex(dvl, "DVL")) * complex_fit.as_complex(ref, "reference")
    return {
        "alpha_deg": math.degrees(np.angle(c)),
        "beta": abs(c) - 1,
        "cross_sum_mean": float(products.imag.mean()),
        "dot_sum_mean": float(products.real.mean()),
        "scale_rms_form": math.sqrt(float(np.sum(ref**2) / np.sum(dvl**2))) - 1,
    }


def dvl_joyce(i, e, case):
    ship, bottom = np.array([i["v_ship"]]), np.array([i["v_apparent_bottom"]])
    right, wrong = complex_fit.angle_scale(ship, -bottom), complex_fit.angle_scale(ship, bottom)
    return {
        "alpha_deg": math.degrees(np.angle(right)),
        "beta": abs(right) - 1,
        "wrong_if_sign_not_flipped_deg": math.degrees(np.angle(wrong)),
    }


def dvl_endpoint(i, e, case):
    lengths = [i["speed_m_s"] * i["leg_s"]] * len(i["legs_heading_deg"])
    r = dvl_end.fit_end_fix(i["ref_end_ne_m"], i["dvl_end_ne_m"], fix_sigma_m=0.02, north=TRUE_NORTH)
    net, path = dvl_end.net_and_path_m(i["legs_heading_deg"], lengths)
    assert math.isclose(net, r.net_m)
    return {
        "alpha_deg": r.alpha_deg,
        "beta": r.scale,
        "end_error_m": r.end_error_m,
        "ref_net_m": net,
        "ref_path_m": path,
    }


def dvl_closed(i, e, case):
    lengths = [i["leg_m"]] * len(i["legs_heading_deg"])
    net, path = dvl_end.net_and_path_m(i["legs_heading_deg"], lengths)
    refused = False
    try:
        dvl_end.fit_end_fix((net, 0.0), (net, 0.0), fix_sigma_m=0.02, north=TRUE_NORTH)
    except CannotCompute:
        refused = True
    return {"ref_net_m": net, "path_m": path, "refuse_endpoint_form": refused}


def dvl_one_heading(i, e, case):
    """The legs of another case on these headings only, one at a time."""
    cases = json.loads((DATA / "alignment_cases.json").read_text())["cases"]
    data = i if "v_ref_ne" in i else next(c["inputs"] for c in cases if c["id"] == "dvl-with-current")
    where = [data["headings_deg"].index(h) for h in i["legs_heading_deg"]]
    found = [complex_fit.angle_scale([data["v_ref_ne"][n]], [data["v_dvl_ne"][n]]) for n in where]
    alphas = [math.degrees(np.angle(c)) for c in found]
    return {"alpha_leg_deg": alphas, "beta_leg": [abs(c) - 1 for c in found], "mean_alpha_deg": float(np.mean(alphas))}


def dvl_current(i, e, case):
    ref, dvl = (complex_fit.as_complex(i[key], key) for key in ("v_ref_ne", "v_dvl_ne"))
    columns = np.column_stack([dvl, np.ones(len(dvl))])
    (c, d), rank = complex_fit.solve(ref, columns)
    _, one = complex_fit.solve(ref[:1], columns[:1])
    singular = np.linalg.svd(columns, compute_uv=False)
    return {
        "alpha_deg": math.degrees(np.angle(c)),
        "beta": abs(c) - 1,
        "d_ne_m_s": [d.real, d.imag],
        # Two real unknowns in each complex one.
        "rank": 2 * rank,
        "rank_one_heading": 2 * one,
        "cond_four_headings": float(singular[0] / singular[-1]),
    }


def dvl_headings(i, e, case):
    return {
        "rows": [
            [
                change,
                dvl_design.offset_sigma_alpha_deg([0.0, change], i["V"], i["sigma"]),
                dvl_design.two_leg_sigma_alpha_deg(change, i["V"], i["sigma"]),
            ]
            for change, *_ in e["rows"]
        ]
    }


def dvl_interval(i, e, case):
    n, v, sr, sd, beta = i["N"], i["V_m_s"], i["sigma_ref_m_s"], i["sigma_dvl_m_s"], i["beta"]
    sigma = dvl_design.expected_sigma_alpha_deg(n, v, sr, sd, beta)
    t = t_factor(0.95, 2 * n - 2)
    rng = np.random.default_rng(5)
    c = (1 + beta) * np.exp(1j * math.radians(i["alpha_deg"]))
    alphas, covered = [], 0
    for _ in range(4000):
        noise = rng.standard_normal((4, n))
        ref = v + sr * (noise[0] + 1j * noise[1])
        dvl = v / c + sd * (noise[2] + 1j * noise[3])
        found = complex_fit.angle_scale(_pair(ref), _pair(dvl))
        rest = ref - found * dvl
        se = math.degrees(math.sqrt(np.vdot(rest, rest).real / (2 * n - 2) / np.vdot(dvl, dvl).real) / abs(found))
        alphas.append(math.degrees(np.angle(found)))
        covered += abs(alphas[-1] - i["alpha_deg"]) < t * se
    return {
        "sigma_alpha_deg": sigma,
        "ci95_half_deg": t * sigma,
        "sigma_beta": math.radians(sigma),
        "mc_std_over_theory": float(np.std(alphas) / sigma),
        "mc_coverage95": covered / 4000,
    }


def dvl_attenuation(i, e, case):
    found = [dvl_design.scale_bias(i["V_m_s"], i["sigma_ref"], s, i["beta"]) for s in i["sigma_dvl"]]
    return {"ls_bias": [x.least_squares for x in found], "rms_ratio_bias": [x.rms_ratio for x in found]}


def dvl_length(i, e, case):
    return {"rows": [[s, limit, shortest_baseline_m(s, limit)] for s, limit, *_ in e["rows"]]}


def dvl_straight(i, e, case):
    r = observable_angles(i["v_ref_frd"])
    return {"rank": r.rank, "observable": list(r.seen), "not_observable": list(r.unseen)}


def dvl_three(i, e, case):
    r = fit_three_axis(i["v_ref_frd"], i["v_dvl"])
    return {"ypr_deg": [r.yaw_deg, r.pitch_deg, r.roll_deg], "beta": r.scale, "C": [list(row) for row in r.c_vd]}


def dvl_pitch(i, e, case):
    pitch = dvl_design.pitch_from_depth(i["V_m_s"], i["w_dvl_m_s"]).pitch_deg
    return {"pitch_misalignment_deg": pitch, "w_check_m_s": i["V_m_s"] * math.sin(math.radians(pitch))}


def dvl_published(i, e, case):
    r = dvl_design.REACHED
    return {
        "alpha_sd_deg_below": r["ship_alpha_sd_deg"],
        "scale_sd_percent_below": r["ship_scale_sd_percent"],
        "day_to_day_alpha_deg": r["ship_day_to_day_alpha_deg"],
        "day_to_day_scale_percent": r["ship_day_to_day_scale_percent"],
        "gyrocompass_bias_after_90deg_turn_deg": r["gyrocompass_after_turn_deg"],
        "velocity_limit_m_s_at_5_m_s": r["velocity_m_s_at_5_m_s"],
        "river_percent": r["aided_river_percent"],
        "sea_percent": r["aided_sea_percent"],
        "cross_m_s": r["cross_m_s_per_deg"],
        "implied_speed_m_s": dvl_design.speed_of_rule_m_s(),
    }


def ground_track(number: int):
    """Forward/left displacements of a real vehicle between samples, dead-reckoned distances, heading changes."""
    with np.load(DATA / f"ground_track_{number}.npz") as file:
        truth, reckoned = file["GT"], file["DR"]
    heading = np.unwrap(truth[:, 3])
    moved = np.diff(truth[:, 1] + 1j * truth[:, 2])
    body = moved * np.exp(-0.5j * (heading[1:] + heading[:-1]))
    return body, moved, reckoned[:, 1], np.diff(heading), reckoned[:, 2]


def real_track(i, e, case):
    body, moved, distance, turned, reckoned_turn = ground_track(int(case["id"].removeprefix("real-plaza")[0]))
    used = distance > 0.02
    z, d, turn = body[used], distance[used].astype(complex), turned[used]
    one_leg = np.zeros(len(z), dtype=np.int64)
    fit = complex_fit.fit_columns(z, d[:, None], one_leg, 40, seed=1)
    armed = complex_fit.fit_columns(z, np.column_stack([d, 1j * turn]), one_leg, 40, seed=1)
    c, (cl, arm) = fit.coefficients[0], armed.coefficients
    along = np.array([c.real, c.imag]) / abs(c)
    across = np.array([-along[1], along[0]])
    half = len(z) // 2
    straight = used & (np.abs(reckoned_turn) < 0.002)

    def angle(where):
        return math.degrees(np.angle(complex_fit.angle_scale(_pair(body[where]), _pair(distance[where] + 0j))))

    place = np.flatnonzero(used)
    alpha = math.degrees(np.angle(c))
    out = {
        "n_samples": len(distance),
        "n_used": len(z),
        "scale": abs(c),
        "angle_left_positive_deg": alpha,
        "naive_se_deg": math.degrees(math.sqrt(fit.naive[0, 0].real / 2) / abs(c)),
        "block_bootstrap_se_deg": math.degrees(math.sqrt(across @ fit.bootstrap @ across) / abs(c)),
        "first_half_deg": angle(place[:half]),
        "second_half_deg": angle(place[half:]),
        "straight_only_deg": angle(straight),
        "straight_only_n": int(straight.sum()),
        "ref_path_m": float(np.abs(moved).sum()),
        "dr_path_m": float(distance.sum()),
        "with_lever_scale": abs(cl),
        "with_lever_angle_deg": math.degrees(np.angle(cl)),
        "lever_forward_left_m": [arm.real, arm.imag],
        "rms_without_m": float(np.sqrt(np.mean(np.abs(fit.residuals) ** 2))),
        "rms_with_m": float(np.sqrt(np.mean(np.abs(armed.residuals) ** 2))),
    }
    if "nearest_mounting" in e:
        # Left-positive here, starboard-positive in a mounting: a turn about the vertical changes sign.
        near = nearest_mounting(matrix_from_ypr(-alpha, 0.0, 0.0))
        out["nearest_mounting"] = f"{near.mounting.angle_deg:.0f} deg about vertical"
        out["residual_after_mounting_deg"] = -near.rest_ypr_deg[0]
    return out


def real_resting(i, e, case):
    names = [f"{kind}_{axis}" for kind in ("rate", "force") for axis in "xyz"]
    raw = read_raw(DATA / "resting_mems.csv", tuple(names))
    rows = np.column_stack([raw.arrays[name] * raw.columns[name].factor for name in names])[i["rows_from"] :]
    rate, force = rows[:, :3] / RATE_IN_DEG_H["deg/s"], rows[:, 3:] / 9.80665
    return {
        "rows": len(rows),
        "mean_gyro_deg_s": rate.mean(axis=0).tolist(),
        "sd_gyro_deg_s": rate.std(axis=0, ddof=1).tolist(),
        "norm_of_mean_acc_g": float(np.linalg.norm(force.mean(axis=0))),
        "mean_acc_g": force.mean(axis=0).tolist(),
    }


HANDLERS = {
    "dvl-exact": dvl_exact,
    "dvl-joyce": dvl_joyce,
    "dvl-track-endpoint": dvl_endpoint,
    "dvl-closed": dvl_closed,
    "dvl-one-heading": dvl_one_heading,
    "dvl-with-current": dvl_current,
    "dvl-heading-change": dvl_headings,
    "dvl-ci": dvl_interval,
    "dvl-scale": dvl_attenuation,
    "dvl-track-length": dvl_length,
    "dvl-3d-straight": dvl_straight,
    "dvl-3d": dvl_three,
    "dvl-pitch": dvl_pitch,
    "dvl-published": dvl_published,
    "real-plaza": real_track,
    "real-": real_resting,
}
