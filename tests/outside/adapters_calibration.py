"""Adapters of calibration_cases.json: uncertainty, decisions, intervals, due dates, look-back and readings."""

import math
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np

from registry.domain import readings
from registry.inertial import decisions, due_dates, gyrocompass, intervals, look_back, trends, uncertainty
from registry.inertial.quantiles import normal_factor, t_factor


def gum_h1(i, e, case):
    parts = [uncertainty.Part(p["name"], p["u_nm"], dof=p["dof"]) for p in i["d"]["parts"]]
    d = uncertainty.combine(parts, coverage=0.99)
    u = {name: uncertainty.from_half_width(i[name]["half_width"]) for name in ("alpha_s", "delta_alpha", "delta_theta")}
    theta = math.hypot(i["theta_mean"]["u"], uncertainty.from_half_width(i["theta_cycle"]["half_width"], "arcsine"))
    r = uncertainty.propagate(
        lambda ls, d, alpha_s, theta, delta_alpha, delta_theta: (
            ls + d - ls * (delta_alpha * theta + alpha_s * delta_theta)
        ),
        {
            "ls": (i["ls"]["value_nm"], i["ls"]["u_nm"]),
            "d": (i["d"]["value_nm"], d.u),
            "alpha_s": (i["alpha_s"]["value_per_degC"], u["alpha_s"]),
            "theta": (i["theta_mean"]["value_degC"], theta),
            "delta_alpha": (i["delta_alpha"]["value"], u["delta_alpha"]),
            "delta_theta": (i["delta_theta"]["value"], u["delta_theta"]),
        },
        {
            "ls": i["ls"]["dof"],
            "d": d.dof,
            "delta_alpha": i["delta_alpha"]["dof"],
            "delta_theta": i["delta_theta"]["dof"],
        },
    )
    t = t_factor(0.99, uncertainty.whole_dof(r.dof))
    return {
        "l_nm": r.value,
        "u_d_nm": d.u,
        "u_theta_degC": theta,
        "components_nm": r.contributions,
        "uc_nm": r.u,
        "nu_d": d.dof,
        "nu_eff": r.dof,
        "nu_eff_truncated": uncertainty.whole_dof(r.dof),
        "t99": t,
        "U99_nm": t * r.u,
        "second_order_terms_nm": sorted((v for v in r.second_order.values() if v > 0.01), reverse=True),
        "uc_with_second_order_nm": r.u_second_order,
    }


def gum_small(i, e, case):
    """The short worked examples, told apart by what they are given."""
    if "U_ug" in i:
        return {"u_ug": uncertainty.from_expanded(i["U_ug"], i["k"])}
    if "half_width_uohm" in i:
        u = uncertainty.from_interval(i["half_width_uohm"], i["level"])
        return {"k": normal_factor(i["level"]), "u_uohm": u, "guide_rounded_u_uohm": round(u)}
    if "half_width_per_degC" in i:
        return {"u_per_degC": uncertainty.from_half_width(i["half_width_per_degC"])}
    if "u_each_ohm" in i:
        each = [uncertainty.Part(f"R{n}", i["u_each_ohm"]) for n in range(i["n"])]
        shared = [uncertainty.Part(p.name, p.u, shared="reference") for p in each]
        return {
            "u_total_correlated_ohm": uncertainty.combine(shared).u,
            "u_total_independent_ohm": uncertainty.combine(each).u,
        }
    if "relative_u_percent" in i:
        parts = [
            uncertainty.Part(f"x{n}", u, dof=count - 1)
            for n, (u, count) in enumerate(zip(i["relative_u_percent"], i["n_readings"], strict=True))
        ]
        r = uncertainty.combine(parts, coverage=i["level"])
        rounded = {
            "uc_percent": round(r.u, 2),
            "nu_eff": uncertainty.whole_dof(r.dof),
            "t95": round(r.k, 2),
            "U95_percent": round(r.expanded, 1),
        }
        return {
            "uc_percent": r.u,
            "nu_eff": r.dof,
            "t95_at_19": r.k,
            "U95_percent": r.expanded,
            "guide_rounded": rounded,
        }
    if "a" in i:
        return {shape: uncertainty.from_half_width(i["a"], shape) for shape in uncertainty.SHAPES} | {
            "resolution_step_1": uncertainty.from_resolution(i["a"])
        }
    parts = next(value for key, value in i.items() if key == "u" or key.startswith("parts_"))
    r = uncertainty.combine([uncertainty.Part(f"part {n}", u) for n, u in enumerate(parts)])
    unit = next((key.removeprefix("parts_") for key in i if key.startswith("parts_")), "")
    tail = f"_{unit}" if unit else ""
    return {f"uc{tail}": r.u, f"U_k2{tail}": r.expanded}


def conformance(i, e, case):
    p = decisions.conformance_probability(i["y"], i["u"], i.get("TL"), i.get("TU"))
    return {"p_conform": p, "p_nonconform": 1 - p, "z": (i["TU"] - i["y"]) / i["u"]}


def conformance_table(i, e, case):
    return {"z": [decisions.z_for_conformance(p) for p in i["p"]]}


def guard_multiple(i, e, case):
    return {"z": 2 * i["r"], "pfa": decisions.worst_false_accept(i["r"])}


def tolerance_row(i, e, case):
    def judged(rule):
        return decisions.judge(
            i["y"], lower=i["TL"], upper=i["TU"], u=i["u"], k=i["U"] / i["u"], rule=rule, guard_multiple=i["w"] / i["U"]
        )

    found = judged("four-way")
    return {
        "simple": judged("simple").outcome.value,
        "guard_w_U": judged("guarded").outcome.value,
        "four_way": found.outcome.value,
        "p_outside_tolerance": found.p_nonconform,
        "p_inside_tolerance": found.p_conform,
    }


def guard_eats(i, e, case):
    found = decisions.judge(0.0, lower=-i["T"], upper=i["T"], u=i["U"] / 2)
    verdict = "undecidable" if found.outcome is decisions.Outcome.CANNOT_DECIDE else found.outcome.value
    return {"acceptance_half_width": max(0.0, found.accept_upper), "verdict": verdict}


def batch(i, e, case):
    r = decisions.global_risk(i["T_half_width"], i["process_sd"], i["measuring_sd"], i["acceptance_half_width"])
    return {"p_in_tolerance": r.p_in_tolerance, "false_accept": r.false_accept, "false_reject": r.false_reject}


def stairs(i, e, case):
    p = i["rules"]
    rules = intervals.StaircaseRules(
        p["extend_fraction"], p["extend_factor"], p["reduce_factor"], p["min_days"], p["max_days"]
    )
    before = i.get("interval_days", i.get("interval_before"))
    r = intervals.staircase(before, i["mpe"], i["as_found_error"], rules)
    return {"action": r.step.value, "new_interval_days": r.new_days, "interval_after": r.new_days}


def drift_chart(i, e, case):
    line = trends.fit_line(i["days"], i["error"])
    days = {
        key: trends.day_of_limit(line, float(key.removeprefix("day_reaches_"))).day
        for key in e
        if key.startswith("day_reaches_")
    }
    return {"slope_per_day": line.slope, "intercept": line.intercept, "residual_sd": line.residual_sd, **days}


def three_sigma(i, e, case):
    r = intervals.control_chart(i["readings"], i["new_readings"])
    return {"mean": r.mean, "s": r.s, "ucl": r.upper, "lcl": r.lower, "new_in_control": list(r.new_in_control)}


def hours_run(i, e, case):
    r = intervals.in_use_limit(i["hours"], i["days"])
    return {
        "due": r.due,
        "by": r.by,
        "hours_left": r.hours_left,
        "rate_h_per_day": r.hours_per_day,
        "days_left_by_hours": r.days_left_by_hours,
        "days_left_by_calendar": r.days_left_by_calendar,
        "next_limit": r.next_limit,
    }


def black_box(i, e, case):
    r = intervals.in_service_check(i["check"], i["days_to_due"])
    return {"usable": r.usable, "due_moved": r.due_moved, "next": r.next, "why": r.verdict}


def due(i, e, case):
    day = {key: date.fromisoformat(i[key]) for key in ("cal", "due", "on") if key in i}
    if "months" in i:
        return {"due": due_dates.due_after_months(day["cal"], i["months"]).isoformat()}
    if "days" in i:
        return {"due": due_dates.due_after_days(day["cal"], i["days"]).isoformat()}
    if "on" in i:
        return {"in_date": due_dates.in_date(day["due"], day["on"])}
    words = [date.fromisoformat(word.strip(",.")) for word in i["what"].split() if word.strip(",.").count("-") == 2]
    if "pair_due" in e:
        return {"pair_due": due_dates.pair_due(*words).isoformat()}
    starts, ends, due_on = words
    r = due_dates.covers_voyage(due_on, starts, ends)
    return {"in_date_at_start": r.in_date_at_start, "in_date_throughout": r.in_date_throughout}


def look(i, e, case):
    if "distance_m" in i:
        return {"cross_track_m": look_back.cross_track_m(i["heading_error_deg"], i["distance_m"])}
    if "expected_error" in e:
        numbers = [float(w) for w in i["what"].split() if w.replace(".", "").isdigit()]
        as_left, start, as_found, end = numbers
        limit = float(next(key for key in e if key.startswith("day_crossed_")).removeprefix("day_crossed_"))
        r = look_back.even_drift(as_left, as_found, end - start, i["days"], limit)
        return {"expected_error": list(r.expected_error), f"day_crossed_{limit:.3f}": r.day_crossed}
    return {"needs_assessment": _assess(i)}


def _assess(i) -> Any:
    if "last_good" in i and i["last_good"] is None:
        r = look_back.uses_to_assess([], None, date.fromisoformat(i["found_oot"]))
        return r.verdict.partition(": ")[2].rstrip(".")
    if "sign_offs" in i:
        good, found = sorted(date.fromisoformat(w.strip(",.;")) for w in i["what"].split() if w.count("-") == 2)
        uses = [look_back.Use(day, date.fromisoformat(day)) for day in i["sign_offs"]]
        return list(look_back.uses_to_assess(uses, good, found).needs_assessment)
    uses = [
        look_back.Use(
            m["id"],
            date.fromisoformat(m["start"]),
            date.fromisoformat(m["end"]) if "end" in m else None,
            m.get("vehicle"),
        )
        for m in i["missions"]
    ]
    fittings = None
    if "vehicle" in i["missions"][0]:
        changed = next(date.fromisoformat(w.strip(",.;")) for w in i["what"].split() if w.count("-") == 2)
        fittings = [look_back.Fitting("A", date.min, changed), look_back.Fitting("B", changed)]
    days = (date.fromisoformat(i[key]) for key in ("last_good", "found_oot"))
    return list(look_back.uses_to_assess(uses, *days, fittings).needs_assessment)


def esd_reading(i, e, case):
    """Judged by the rules of the sign-off, against the limit of the case."""
    below, least = (
        None if i[key] is None else format(Decimal(str(i[key])), "f") for key in ("upper_exclusive", "lower_inclusive")
    )
    value = None if i["reading"] is None else format(Decimal(str(i["reading"])), "f")
    limit = readings.Limit(i["quantity"], i["unit"], least, below, case["source"], "Read again.")
    return {"verdict": readings.judge_reading(i["quantity"], readings.Reading(value, i["open_circuit"]), limit).verdict}


def heading_arcmin(i, e, case):
    found = [60 * gyrocompass.class_heading_deg(x, i["lat_deg"]) for x in i["class_deg"]]
    return {"expected_arcmin": np.round(found, 6).tolist()}


HANDLERS = {
    "GUM-H1": gum_h1,
    "GUM-": gum_small,
    "U-": gum_small,
    "JCGM106-": conformance,
    "JCGM106-TABLE": conformance_table,
    "G8-": guard_multiple,
    "BIAS-TOL": tolerance_row,
    "YAW-TOL": tolerance_row,
    "GUARD-EATS": guard_eats,
    "GLOBAL-": batch,
    "ST-": stairs,
    "CC-DRIFT": drift_chart,
    "CC-3SIGMA": three_sigma,
    "IU-": hours_run,
    "BB-": black_box,
    "DD-": due,
    "LB-": look,
    "E-": esd_reading,
    "HEADING-ARCMIN": heading_arcmin,
}
