"""Adapters of the group wahba: published and made sets of direction pairs."""

import math

import numpy as np

from registry.inertial import best_rotation as best
from registry.inertial import earth, gyrocompass, rotations
from registry.inertial.directions import fit_directions, residual_limits
from registry.inertial.limits import DirectionLimits
from registry.inertial.refusal import CannotCompute

#: Published sets whose directions lie closer than the guard allows are fitted with the guard let down.
_CLOSE = DirectionLimits(least_separation_deg=0.01)


def _lists(array):
    return np.asarray(array, dtype=float).tolist()


def wahba_pairs(i, e, case):
    """Published two-vector sets: `measured = C reference`."""
    measured, reference = i["measured_body"], i["reference"]
    solution = best.wahba(reference, measured, i.get("weights"))
    two = "triad" in case["id"]
    c = best.triad(reference, measured) if two else solution.matrix
    # The books' quaternion turns the frame, not the vector: that of the transposed matrix.
    q = rotations.quaternion_from_matrix(c.T)
    out = {
        "C": _lists(c),
        "rssd": solution.rssd,
        "q_wxyz": _lists(q[[3, 0, 1, 2]]),
        "q_scalar_abs": abs(float(q[3])),
        "angle_deg": float(np.linalg.norm(rotations.rotvec_from_matrix(c))),
    }
    if "true_C_bn_321_deg" in i:
        true = rotations.matrix_from_ypr(*i["true_C_bn_321_deg"]).T
        out["error_angle_deg"] = rotations.angle_between_deg(c, true)
        # As printed: acos of the trace with a true matrix of six digits, given to four.
        trace = np.trace(c @ np.round(true, 6).T)
        out["error_angle_deg_printed"] = round(math.degrees(math.acos((trace - 1) / 2)), 4)
    return out


def wahba_markley(i, e, case):
    reference = np.array(i["reference"], dtype=float)
    seen = reference @ np.array(i["A_true"]).T
    fit = fit_directions(reference, seen, np.degrees(i["sigma_rad"]), limits=_CLOSE)
    sigmas = best.principal_sigmas_rad(fit.covariance_rad2)
    return {
        "A": _lists(fit.c_vu),
        "principal_sigma_rad": _lists(sigmas),
        "rms_total_sigma_rad": float(np.linalg.norm(sigmas)),
        "worst_over_best": float(sigmas[-1] / sigmas[0]),
    }


def _fit_many(unit, seen, sigma):
    """The weighted best rotation for each set of seen directions (n, 3, 3), by singular values all at once."""
    to = seen / np.linalg.norm(seen, axis=2, keepdims=True)
    u, _, vt = np.linalg.svd(np.einsum("k,nki,kj->nij", 1 / sigma**2, to, unit))
    hand = np.ones((len(seen), 3))
    hand[:, 2] = np.linalg.det(u) * np.linalg.det(vt)
    return (u * hand[:, None, :]) @ vt


def wahba_monte_carlo(i, e, case):
    unit, vehicle = np.array(i["unit_vectors"]), np.array(i["vehicle_vectors"])
    sigma = np.array(i["sigma_rad"])
    fit = fit_directions(unit, vehicle, np.degrees(sigma))
    p = np.array(fit.covariance_rad2)
    rng = np.random.default_rng(7)
    seen = vehicle + rng.standard_normal((20_000, *vehicle.shape)) * sigma[:, None]
    turned = _fit_many(unit, seen, sigma)
    for n in range(0, 20_000, 400):
        # The many at once are the package's own fit, taken together for speed.
        assert np.allclose(turned[n], best.wahba(unit, seen[n], 1 / sigma**2).matrix, atol=1e-12)
    turn = turned @ np.array(fit.c_vu).T
    pick = (turn[:, 2, 1] - turn[:, 1, 2], turn[:, 0, 2] - turn[:, 2, 0], turn[:, 1, 0] - turn[:, 0, 1])
    errors = np.column_stack(pick) / 2
    chi2 = np.einsum("ni,ij,nj->n", errors, np.linalg.inv(p), errors)
    return {
        "sigma_deg": _lists(np.degrees(np.sqrt(np.diag(p)))),
        "P_rad2": _lists(p),
        "mc_over_analytic": _lists(errors.std(axis=0) / np.sqrt(np.diag(p))),
        "chi2_3_95_coverage": float((chi2 < 7.814727903251179).mean()),
    }


def wahba_triad_covariance(i, e, case):
    pair, s1, s2 = [i["b1"], i["b2"]], i["sigma1_rad"], i["sigma2_rad"]
    triad, optimal = best.triad_covariance_rad2(pair, s1, s2), best.covariance_rad2(pair, [s1, s2])
    return {
        "sigma_triad_deg": _lists(np.degrees(np.sqrt(np.diag(triad)))),
        "sigma_optimal_deg": _lists(np.degrees(np.sqrt(np.diag(optimal)))),
        "trace_ratio_triad_over_optimal": float(np.trace(triad) / np.trace(optimal)),
    }


def wahba_collinear(i, e, case):
    refused = False
    try:
        fit_directions(i["vectors"], i["vectors"], [0.1] * len(i["vectors"]))
    except CannotCompute:
        refused = True
    return {"refuse": refused, "factor_at_5_deg": best.separation_factors(5)[0]}


def wahba_bare(i, e, case):
    r = best.wahba(i["reference"], i["measured"])
    return {
        "det_UVt_uncorrected": r.det_uncorrected,
        "C": _lists(r.matrix),
        "singular_values": list(r.singular_values),
        "det_corrected": float(np.linalg.det(r.matrix)),
        "rssd": r.rssd,
        "det_B": r.det_b,
        "weights": [1] * len(i["measured"]),
    }


def wahba_bench(i, e, case):
    r = earth.static_reading(i["lat_deg"], 0.0, 0.0, 0.0)
    return {
        "separation_deg": earth.angle_up_to_earth_rate(r.force_m_s2, r.rate_deg_h),
        "heading_sigma_deg": gyrocompass.first_order_error_deg(i["rate_sigma_deg_h"], i["lat_deg"]),
    }


def wahba_separation(i, e, case):
    return {"rows": [[a, *best.separation_factors(a)] for a, *_ in e["rows"]]}


def wahba_residual(i, e, case):
    dof, limit_95, limit_99 = zip(*(residual_limits(n) for n in i["N"]), strict=True)
    return {"dof": list(dof), "limit95": list(limit_95), "limit99": list(limit_99)}


HANDLERS = {
    "wahba-schaub": wahba_pairs,
    "wahba-cu": wahba_pairs,
    "wahba-markley": wahba_markley,
    "wahba-covariance-mc": wahba_monte_carlo,
    "wahba-triad-covariance": wahba_triad_covariance,
    "wahba-collinear": wahba_collinear,
    "wahba-reflection": wahba_bare,
    "wahba-mirrored": wahba_bare,
    "wahba-gravity-earthrate": wahba_bench,
    "wahba-separation": wahba_separation,
    "wahba-residual-test": wahba_residual,
}
