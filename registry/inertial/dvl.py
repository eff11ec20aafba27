"""DVL to unit: angle and scale in the horizontal, from velocities of a run, with an honest interval.

v_ref = (1 + beta) R(alpha) v_dvl: alpha + when the DVL points to starboard, beta + when it reads short.
"""

import math

import numpy as np
from numpy.typing import NDArray

from registry.inertial.complex_fit import ComplexFit, as_complex, fit_columns, independent_samples
from registry.inertial.dvl_refusals import refuse_poor_run, refuse_result
from registry.inertial.dvl_run import DvlFit, DvlRun
from registry.inertial.inputs import Numbers, number, series
from registry.inertial.limits import DvlLimits
from registry.inertial.methods import method
from registry.inertial.north import declared
from registry.inertial.quantiles import t_factor
from registry.inertial.refusal import CannotCompute


def fit_dvl(
    run: DvlRun,
    *,
    offset: bool = False,
    lever: bool = False,
    limits: DvlLimits = DvlLimits(),
    seed: int = 1,
) -> DvlFit:
    """Fit angle and scale; `offset` adds a constant earth-fixed velocity (water track, current), `lever` an arm.

    Raises CannotCompute for undeclared north, no sound speed, under 30 independent samples, under 0.3 m/s, an offset
    fit with under 30 degrees of heading change, turns with an unknown clock offset, and an angle over 15 degrees.
    Sources: Joyce 1989, Pollard & Read 1989 (forms re-derived), block bootstrap by leg.
    """
    z_ref = as_complex(run.v_ref_m_s, "The reference velocities") / declared(run.north).distance_scale
    z_dvl = as_complex(run.v_dvl_m_s, "The DVL velocities")
    if len(z_ref) != len(z_dvl):
        raise CannotCompute("Reference and DVL hold different numbers of velocities; each needs its partner.")
    change = refuse_poor_run(run, z_dvl, offset, limits)
    legs = np.zeros(len(z_ref), dtype=np.int64) if run.leg is None else np.asarray(run.leg, dtype=np.int64)
    fit = fit_columns(z_ref, _columns(run, z_dvl, offset, lever), legs, limits.blocks, seed)
    result = _result(run, fit, z_dvl, offset, lever, change, limits, seed)
    refuse_result(result, limits)
    return result


def _columns(run: DvlRun, z_dvl: NDArray, offset: bool, lever: bool) -> NDArray:
    turn = np.ones(len(z_dvl), dtype=complex)
    if (run.frame == "ned" and lever) or (run.frame == "vehicle" and offset):
        turn = np.exp(1j * np.radians(_column(run.heading_deg, "The headings", len(z_dvl))))
    columns = [z_dvl]
    if offset:
        # A velocity fixed to the earth turns backwards in the vehicle's own frame.
        columns.append(turn.conj() if run.frame == "vehicle" else np.ones(len(z_dvl), dtype=complex))
    if lever:
        rate = np.radians(_column(run.turn_deg_s, "The turn rates", len(z_dvl)))
        columns.append(1j * rate * (turn if run.frame == "ned" else 1.0))
    return np.column_stack(columns)


def _column(value: Numbers | None, what: str, count: int) -> NDArray[np.float64]:
    if value is None or len(found := series(value, what)) != count:
        raise CannotCompute(f"{what} are missing, and this fit needs one for each row.")
    return found


def _sigmas(fit: ComplexFit, index: int, c: complex) -> tuple[float, float, float, float]:
    """Sigma across and along `c` for a coefficient: plain (both alike), then bootstrap (across, along)."""
    plain = math.sqrt(max(0.0, float(fit.naive[index, index].real)) / 2)
    if fit.bootstrap is None:
        return plain, plain, 0.0, 0.0
    width = len(fit.coefficients)
    part = fit.bootstrap[np.ix_([index, width + index], [index, width + index])]
    along = np.array([c.real, c.imag]) / abs(c)
    across = np.array([-along[1], along[0]])
    return plain, plain, math.sqrt(max(0.0, across @ part @ across)), math.sqrt(max(0.0, along @ part @ along))


def _result(run, fit: ComplexFit, z_dvl, offset: bool, lever: bool, change, limits: DvlLimits, seed: int) -> DvlFit:
    c = complex(fit.coefficients[0])
    size = abs(c)
    plain, _, across, along = _sigmas(fit, 0, c)
    alone, hanging = _independence(fit, plain, size)
    t_hanging = t_factor(limits.coverage, max(1, 2 * (alone - len(fit.coefficients))))
    t_block = t_factor(limits.coverage, fit.free_blocks) if fit.free_blocks else 0.0
    half = [max(t_hanging * hanging, t_block * moved) for moved in (across, along)]
    sigma = [max(hanging, moved) for moved in (across, along)]
    alpha = math.degrees(math.atan2(c.imag, c.real))
    extra = _extras(fit, offset, lever)
    said = _words(alpha, size - 1, math.degrees(half[0] / size), half[1], run, float(np.abs(z_dvl).mean()), limits)
    return DvlFit(
        alpha_deg=alpha,
        scale=size - 1,
        sigma_alpha_deg=math.degrees(sigma[0] / size),
        sigma_scale=sigma[1],
        half_width_alpha_deg=math.degrees(half[0] / size),
        half_width_scale=half[1],
        coverage=limits.coverage,
        plain_sigma_alpha_deg=math.degrees(plain / size),
        bootstrap_sigma_alpha_deg=math.degrees(across / size) if fit.bootstrap is not None else None,
        **extra,
        samples=len(z_dvl),
        independent_samples=alone,
        blocks=fit.blocks,
        heading_change_deg=change,
        mean_speed_m_s=float(np.abs(z_dvl).mean()),
        residual_rms_m_s=float(np.sqrt(np.mean(np.abs(fit.residuals) ** 2))),
        sound_speed_m_s=float(run.sound_speed_m_s),
        scale_less_sound_speed=_less_sound_speed(run, size),
        north=run.north,
        frame="horizontal, angles from vehicle forward, + to starboard",
        seed=seed,
        verdict=said[0],
        next=said[1],
        method=method("dvl-offset-fit" if offset else "dvl-lever-fit" if lever else "dvl-fit"),
        limits=limits,
    )


def _independence(fit: ComplexFit, plain: float, size: float) -> tuple[int, float]:
    """Independent samples among the residuals, and the plain error widened to that many: never under the plain one."""
    count = len(fit.residuals)
    # Residuals that are mere rounding have no correlation worth a word.
    alone = independent_samples(fit.residuals) if plain > 1e-9 * size else count
    return alone, plain * math.sqrt(max(1.0, count / alone))


def _extras(fit: ComplexFit, offset: bool, lever: bool) -> dict[str, float | None]:
    names = (
        "offset_north_m_s",
        "offset_east_m_s",
        "sigma_offset_m_s",
        "lever_forward_m",
        "lever_starboard_m",
        "sigma_lever_m",
    )
    found: dict[str, float | None] = dict.fromkeys(names)
    for index, (wanted, fields) in enumerate(((offset, names[:3]), (lever, names[3:]))):
        if wanted:
            place = 1 if index == 0 else len(fit.coefficients) - 1
            value = complex(fit.coefficients[place])
            found.update(zip(fields, (value.real, value.imag, max(_sigmas(fit, place, 1 + 0j))), strict=True))
    return found


def _less_sound_speed(run: DvlRun, size: float) -> float | None:
    """Scale left when the wrong sound speed is taken out; a phased array's level velocity does not depend on it."""
    if run.measured_sound_speed_m_s is None:
        return None
    measured = number(run.measured_sound_speed_m_s, "The measured sound speed in m/s", least=1400, most=1650)
    return size / (1.0 if run.phased_array else measured / float(run.sound_speed_m_s)) - 1


def _words(alpha, scale, half_alpha, half_scale, run: DvlRun, speed: float, limits: DvlLimits) -> tuple[str, str]:
    side = "starboard" if alpha >= 0 else "port"
    reads = "short" if scale >= 0 else "long"
    so = (
        f"The DVL points {abs(alpha):.2f}° ± {half_alpha:.2f}° to {side} of the unit’s forward axis and reads"
        f" {100 * abs(scale):.2f} % ± {100 * half_scale:.2f} % {reads} ({limits.coverage:.0%})."
    )
    cautions = list(run.cautions)
    if speed < limits.warn_speed_m_s:
        cautions.append(f"The run made {speed:.2f} m/s; 1 to 1.5 is better.")
    if run.measured_sound_speed_m_s is None and not run.phased_array:
        cautions.append("The sound speed of the water was not measured: 10 m/s is 0.67 % of scale.")
    then = f"Enter {alpha:+.2f}° (to starboard +) and scale {1 + scale:.4f} for the DVL."
    if half_alpha > limits.wanted_half_width_deg:
        then = f"Repeat with longer legs: ± {half_alpha:.2f}° is wider than ± {limits.wanted_half_width_deg:g}°."
    return " ".join([so, *cautions]), f"{then} A constant heading offset of the unit is in this angle."
