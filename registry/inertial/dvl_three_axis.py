"""DVL to unit in three axes: yaw, pitch, roll and scale from velocity triples, and which of them a run shows."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.best_rotation import covariance_rad2, wahba
from registry.inertial.inputs import Matrix, rows
from registry.inertial.limits import DvlLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import t_factor
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr, ypr_from_matrix, ypr_jacobian


@dataclass(frozen=True, slots=True)
class Observable:
    """Which of yaw, pitch and roll a set of velocities shows: all along one line leave the turn about it open."""

    rank: int
    seen: tuple[str, ...]
    unseen: tuple[str, ...]


def observable_angles(v_ref_m_s: Matrix, share: float = 0.05) -> Observable:
    """Judge (n, 3) velocities in vehicle FRD axes: rank 1 when under `share` of them lies across their main line."""
    v = rows(v_ref_m_s, "The reference velocities")
    _, s, axes = np.linalg.svd(v, full_matrices=False)
    rank = int((s > share * s[0]).sum()) if s[0] > 0 else 0
    if rank >= 2:
        return Observable(rank, ("yaw", "pitch", "roll"), ())
    if rank == 0:
        return Observable(0, (), ("yaw", "pitch", "roll"))
    lost = ("roll", "pitch", "yaw")[int(np.argmax(np.abs(axes[0])))]
    return Observable(1, tuple(name for name in ("yaw", "pitch", "roll") if name != lost), (lost,))


@dataclass(frozen=True, slots=True)
class ThreeAxisFit:
    """v_ref = (1 + beta) C v_dvl in vehicle FRD axes. Roll and the covariance are None after a straight level run."""

    yaw_deg: float
    pitch_deg: float
    roll_deg: float | None
    scale: float
    c_vd: tuple[tuple[float, float, float], ...]
    covariance_rad2: tuple[tuple[float, float, float], ...] | None
    half_width_yaw_deg: float
    half_width_pitch_deg: float
    half_width_roll_deg: float | None
    half_width_scale: float
    coverage: float
    samples: int
    unseen: tuple[str, ...]
    frame: str
    verdict: str
    next: str
    method: str
    limits: DvlLimits


def fit_three_axis(v_ref_m_s: Matrix, v_dvl_m_s: Matrix, limits: DvlLimits = DvlLimits()) -> ThreeAxisFit:
    """Yaw, pitch, roll and scale from (n, 3) velocities in vehicle FRD and DVL axes, rows independent.

    Raises CannotCompute for unequal or under 4 rows, under 0.3 m/s, a run that is not along forward when it is
    straight, and a yaw over 15 degrees. Source: Kabsch 1976, Umeyama 1991 (no translation).
    """
    ref, dvl = rows(v_ref_m_s, "The reference velocities", least=4), rows(v_dvl_m_s, "The DVL velocities", least=4)
    if len(ref) != len(dvl):
        raise CannotCompute("Reference and DVL hold different numbers of velocities; each needs its partner.")
    speed = float(np.linalg.norm(ref, axis=1).mean())
    if speed < limits.least_speed_m_s:
        raise CannotCompute(f"The run made {speed:.2f} m/s; the least is {limits.least_speed_m_s:g}.", "Run faster.")
    seen = observable_angles(ref)
    if seen.unseen not in ((), ("roll",)):
        raise CannotCompute(f"This run does not show {' and '.join(seen.unseen)}.", "Run ahead, then climb or turn.")
    c = _straight(ref, dvl) if seen.unseen else _weighted(ref, dvl)
    scale = float(np.einsum("ni,ni->", ref, dvl @ c.T) / np.einsum("ni,ni->", dvl, dvl)) - 1
    yaw, pitch, roll = ypr_from_matrix(c)
    if abs(yaw) > limits.most_angle_deg:
        raise CannotCompute(f"The yaw is {yaw:.1f}°: that is a mounting entry.", "Check the mounting first.")
    return _three_axis(ref, dvl, c, scale, (yaw, pitch, roll), seen, limits)


def _weighted(ref: np.ndarray, dvl: np.ndarray) -> np.ndarray:
    """Wahba with each pair weighed by its speeds: the least-squares rotation of the velocities themselves."""
    return wahba(dvl, ref, np.linalg.norm(ref, axis=1) * np.linalg.norm(dvl, axis=1)).matrix


def _straight(ref: np.ndarray, dvl: np.ndarray) -> np.ndarray:
    """Yaw and pitch of a straight run ahead, roll taken as zero: the first row of C holds them."""
    x, y, z = dvl.mean(axis=0) / np.linalg.norm(dvl.mean(axis=0)) * np.sign(ref.mean(axis=0)[0])
    yaw, pitch = -math.asin(y), math.atan2(z, x)
    return matrix_from_ypr(math.degrees(yaw), math.degrees(pitch), 0.0)


def _three_axis(ref, dvl, c, scale: float, angles, seen: Observable, limits: DvlLimits) -> ThreeAxisFit:
    """Errors from the residuals of one common sigma per axis, with t for the 3n - 4 that are free."""
    count, straight = len(ref), bool(seen.unseen)
    residual = ref - (1 + scale) * dvl @ c.T
    free = 3 * count - (3 if straight else 4)
    sigma = math.sqrt(float(np.sum(residual**2)) / free)
    speeds = np.linalg.norm(ref, axis=1)
    power = float(np.sum(speeds**2))
    t = t_factor(limits.coverage, free)
    if straight:
        covariance, half = None, [t * math.degrees(sigma / math.sqrt(power))] * 2 + [None]
    else:
        covariance = covariance_rad2(ref, np.maximum(sigma, 1e-15) / speeds)
        jacobian = ypr_jacobian(c)
        spread = np.degrees(np.sqrt(np.diag(jacobian @ covariance @ jacobian.T)))
        half = [t * float(spread[2]), t * float(spread[1]), t * float(spread[0])]
    return ThreeAxisFit(
        yaw_deg=angles[0],
        pitch_deg=angles[1],
        roll_deg=None if straight else angles[2],
        scale=scale,
        c_vd=floats(c),
        covariance_rad2=None if covariance is None else floats(covariance),
        half_width_yaw_deg=half[0],
        half_width_pitch_deg=half[1],
        half_width_roll_deg=half[2],
        half_width_scale=t * sigma * (1 + scale) / math.sqrt(power),
        coverage=limits.coverage,
        samples=count,
        unseen=seen.unseen,
        frame="DVL axes to vehicle FRD",
        verdict=_say(angles, half, scale, straight),
        next="Add climbs, dives or sideways speed to see roll." if straight else "Enter these angles for the DVL.",
        method=method("dvl-three-axis"),
        limits=limits,
    )


def _say(angles, half: list[float | None], scale: float, straight: bool) -> str:
    said = [
        f"{name} {angle:+.2f}° ± {width:.2f}°"
        for name, angle, width in zip(("yaw", "pitch", "roll"), angles, half, strict=True)
        if width is not None
    ]
    reads = f"reads {100 * abs(scale):.2f} % {'short' if scale >= 0 else 'long'}"
    tail = " A straight level run does not show roll." if straight else ""
    return f"The DVL sits at {', '.join(said)} and {reads}.{tail}"
