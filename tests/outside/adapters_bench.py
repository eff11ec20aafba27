"""Adapters of the groups allan, bias, bench and repeat."""

import json
import math
from pathlib import Path

import numpy as np

from registry.inertial import allan, earth, gyrocompass, repeatability, trends, units
from registry.inertial.allan_terms import read_terms
from registry.inertial.bench_test import static_test
from registry.inertial.bias import bias_on_fixture
from registry.inertial.north import TRUE_NORTH
from registry.inertial.quantiles import chi_square_limit, normal_factor, t_factor
from registry.inertial.rotations import matrix_from_ypr
from registry.inertial.static_summary import summarise

DATA = Path(__file__).parent / "data"


def _record(name):
    """A published set by the id of the case that holds it."""
    cases = json.loads((DATA / "alignment_cases.json").read_text())["cases"]
    inputs = next(c["inputs"] for c in cases if c["id"] == name)
    return np.array(inputs["freq"]) if "freq" in inputs else _generated(inputs)


def _generated(i):
    n = [i["seed"]]
    while len(n) < i["count"]:
        n.append(i["multiplier"] * n[-1] % i["modulus"])
    return np.array(n) / i["modulus"]


def allan_generator(i, e, case):
    y = _generated(i)
    first = [round(v * i["modulus"]) for v in y[:4]]
    return {
        "n_first": first,
        "y_first": y[:4].tolist(),
        "y_last": float(y[-1]),
        "max": float(y.max()),
        "min": float(y.min()),
        "mean": float(y.mean()),
        "median": float(np.median(y)),
    }


def allan_published(i, e, case):
    kind = case["id"].rsplit("-", 1)[1]
    curve = allan.allan_deviation(_record(i["dataset"]), 1.0, i["m"], kind=kind, unit="1")
    return {"dev": list(curve.deviation), "n_pairs": list(curve.pairs)}


def allan_stdev(i, e, case):
    y = _record(i.get("dataset", "allan-nbs1000-generator"))
    return {"std": [float(y[: len(y) // m * m].reshape(-1, m).mean(axis=1).std(ddof=1)) for m in i["m"]]}


def allan_small_set(i, e, case):
    y = np.array(i["freq"])
    pairs = y[: len(y) // 2 * 2].reshape(-1, 2).mean(axis=1)
    return {"mean": float(y.mean()), "std": float(y.std(ddof=1)), "std_m2": float(pairs.std(ddof=1))}


def allan_scaling(i, e, case):
    rate = i["offset_deg_h"] + i["scale"] * _record(i["dataset"])
    curve = allan.allan_deviation(rate, i["fs_hz"], e["tau_s"])
    return {"tau_s": list(curve.tau_s), "oadev_deg_h": list(curve.deviation), "mean_deg_h": float(rate.mean())}


def allan_units(i, e, case):
    return {
        "deg_sqrt_h_to_rad_sqrt_s": units.DEG_SQRT_H_TO_RAD_SQRT_S,
        "deg_h_sqrt_Hz_to_deg_sqrt_h": units.DEG_H_SQRT_HZ_TO_DEG_SQRT_H,
        "deg_s_sqrt_Hz_to_deg_sqrt_h": units.DEG_S_SQRT_HZ_TO_DEG_SQRT_H,
        "deg_h_to_rad_s": units.DEG_H_TO_RAD_S,
        "mg_to_m_s2": units.MG_TO_M_S2,
        "ug_sqrt_Hz_to_m_s_sqrt_h": units.UG_SQRT_HZ_TO_M_S_SQRT_H,
    }


def allan_written(i, e, case):
    """Records written as a rule: a ramp `0.01*i, i=0..3999` or a pattern `tile([1,-1],500)`."""
    rule = i.get("rate_deg_h") or i["rate"]
    if rule.startswith("tile"):
        pattern, times = rule.removeprefix("tile(").removesuffix(")").rsplit(",", 1)
        rate = np.tile(json.loads(pattern), int(times))
    else:
        slope, last = float(rule.split("*")[0]), int(rule.rsplit("..", 1)[1])
        rate = slope * np.arange(last + 1)
    return {
        kind: list(allan.allan_deviation(rate, i["fs_hz"], i["tau_s"], kind=kind).deviation)
        for kind in ("oadev", "adev")
    }


def allan_error(i, e, case):
    return {"rel_error": allan.relative_error(i["N"], i["n"])}


def allan_laws(i, e, case):
    r = allan.pure_slopes(i["tau"], n=i["N"], k=i["K"], r=i["Ramp"], q=i["Q"], b=i["B"], a=i["A"], f=i["f"])
    # Where each slope takes the value of its coefficient.
    at_k = next(t for t in (1.0, 2.0, 3.0, 4.0) if math.isclose(allan.pure_slopes([t], k=1.0).rate_random_walk[0], 1.0))
    at_n = next(t for t in (1.0, 2.0, 3.0, 4.0) if math.isclose(allan.pure_slopes([t], n=1.0).white[0], 1.0))
    return {
        "white": list(r.white),
        "rrw": list(r.rate_random_walk),
        "ramp": list(r.ramp),
        "quant": list(r.quantisation),
        "flicker": r.flicker,
        "flicker_factor": allan.FLICKER_FACTOR,
        "sinusoid": list(r.sinusoid),
        "rrw_tau_of_K": at_k,
        "arw_tau_of_N": at_n,
    }


def allan_synthetic(i, e, case):
    n, f = i["arw_deg_sqrt_h"], i["fs_hz"]
    noise = np.random.default_rng(i["seed"]).standard_normal(int(f * i["T_s"]))
    rate = noise * n * 60 * math.sqrt(f) + i["bias_deg_h"]
    curve = allan.allan_deviation(rate, f)
    terms = read_terms(curve)
    assert abs(terms.walk / n - 1) < 0.05 and terms.bias_instability is None
    at = allan.allan_deviation(rate, f, [1.0, 10.0, 100.0])
    walks = [d * math.sqrt(t) / 60 for d, t in zip(at.deviation, at.tau_s, strict=True)]
    return {
        "arw_from_oadev_deg_sqrt_h_at_tau_1_10_100": walks,
        "mean_deg_h": float(rate.mean()),
        "mean_sigma_theory_deg_h": gyrocompass.rate_noise_deg_h(n, i["T_s"]),
    }


def bias_mean(i, e, case):
    return {"sigma_deg_h": gyrocompass.rate_noise_deg_h(i["arw_deg_sqrt_h"], i["T_s"])}


def bench_fixture(i, e, case):
    yaw, pitch, roll = i["ypr_deg"]
    r = bias_on_fixture(
        i["mean_f_m_s2"],
        i["mean_rate_deg_h"],
        lat_deg=i["lat_deg"],
        azimuth_deg=yaw,
        pitch_deg=pitch,
        roll_deg=roll,
        north=TRUE_NORTH,
        sigma_azimuth_deg=0.01,
        sigma_level_deg=0.005,
    )
    still = summarise(np.tile(i["mean_f_m_s2"], (100, 1)), np.tile(i["mean_rate_deg_h"], (100, 1)), 0.1)
    checks = static_test(still, i["lat_deg"])
    true = np.array(earth.static_reading(i["lat_deg"], yaw, pitch, roll).rate_deg_h)
    return {
        "gyro_bias_deg_h": list(r.gyro_bias_deg_h),
        "acc_bias_m_s2": list(r.acc_bias_m_s2),
        "f_norm_minus_g_m_s2": checks.gravity.difference,
        "rate_norm_minus_omega_deg_h": checks.earth_rate.difference,
        "rate_norm_first_order": float(np.dot(r.gyro_bias_deg_h, true / np.linalg.norm(true))),
        "vertical_rate_residual_deg_h": checks.vertical_rate.difference,
    }


def bench_latitude(i, e, case):
    a, b = i["lat_deg"], i["lat_deg"] + i["error_deg"]
    return {
        "dg_m_s2": earth.normal_gravity(b) - earth.normal_gravity(a),
        "d_horizontal_deg_h": gyrocompass.level_rate_deg_h(b) - gyrocompass.level_rate_deg_h(a),
    }


def bench_anomaly(i, e, case):
    change = earth.normal_gravity(i.get("lat_deg", 45.0), i["dh_m"]) - earth.normal_gravity(i.get("lat_deg", 45.0))
    return {"dg_height_m_s2": change, "free_air_mGal_per_m": -change / i["dh_m"] * 1e5}


def bench_units(i, e, case):
    return {
        "deg_s": earth.EARTH_RATE_DEG_H / units.RATE_IN_DEG_H["deg/s"],
        "rad_s": earth.EARTH_RATE_RAD_S,
        "deg_h": earth.EARTH_RATE_DEG_H,
    }


def repeat_en(i, e, case):
    r = repeatability.normalised_error(i["x1"], i["U1"], i["x2"], i["U2"])
    return {"En": r.en, "agrees": r.agrees}


def repeat_quantiles(i, e, case):
    out = {f"chi2_{p}": {d: chi_square_limit(p / 100, int(d)) for d in e.get(f"chi2_{p}", {})} for p in (95, 99)}
    return out | {"t_975": {d: t_factor(0.95, int(d)) for d in e.get("t_975", {})}, "z_975": normal_factor(0.95)}


def repeat_line(i, e, case):
    r = trends.fit_line(i["x"], i["y"])
    return {
        "slope": r.slope,
        "intercept": r.intercept,
        "slope_se": r.slope_se,
        "intercept_se": r.intercept_se,
        "residual_sd": r.residual_sd,
        "r2": r.r2,
    }


def repeat_trend(i, e, case):
    r = trends.fit_trend(i["day"], i["heading_deg"])
    return {
        "slope_deg_year": r.slope_per_year,
        "ci95_half_deg_year": r.half_width_per_year,
        "p": r.p,
        "days_to_0p5": 0.5 / r.slope_per_day,
        "intercept": r.intercept,
        "significant": r.shown,
    }


def repeat_step(i, e, case):
    r = trends.fit_step(i["day"], i["heading_deg"], i["refit_after_index"])
    return {
        "slope_p": trends.fit_line(i["day"], i["heading_deg"]).p,
        "step_deg": r.step,
        "step_t": r.t,
        "step_p": r.p,
        "residual_sd_line": r.residual_sd_line,
        "residual_sd_step": r.residual_sd,
    }


def repeat_pooled(i, e, case):
    r = repeatability.pooled_repeatability(i["sets"])
    return {"s_pooled": r.s_pooled, "factor": r.factor}


def repeat_two(i, e, case):
    a, b = (matrix_from_ypr(*i[f"{name}_ypr_deg"]) for name in "ab")
    pa, pb = (repeatability.covariance_from_sigmas_rad2(*i[f"sigma_{name}_rpy_deg"]) for name in "ab")
    r = repeatability.compare_alignments(a, pa, b, pb)
    return {
        "rotvec_deg": list(r.rotvec_deg),
        "angle_deg": r.angle_deg,
        "chi2": r.chi2,
        "p": r.p,
        "limit95": r.limit_95,
        "changed_at_95": r.changed,
    }


HANDLERS = {
    "allan-nbs1000-generator": allan_generator,
    "allan-nbs1000-stdev": allan_stdev,
    "allan-nbs14-data": allan_small_set,
    "allan-nbs": allan_published,
    "allan-gyro-scaling": allan_scaling,
    "allan-units": allan_units,
    "allan-ramp": allan_written,
    "allan-alternating": allan_written,
    "allan-error": allan_error,
    "allan-laws": allan_laws,
    "allan-synthetic": allan_synthetic,
    "bias-mean-sigma": bias_mean,
    "bench-known-attitude": bench_fixture,
    "bench-wrong-latitude": bench_latitude,
    "bench-gravity-anomaly": bench_anomaly,
    "bench-units": bench_units,
    "repeat-en": repeat_en,
    "repeat-quantiles": repeat_quantiles,
    "repeat-trend-": repeat_line,
    "repeat-trend": repeat_trend,
    "repeat-step": repeat_step,
    "repeat-sigma": repeat_pooled,
    "repeat-two": repeat_two,
}
