"""What a fit leaves over, one figure for each pair of directions or each leg of a run, in degrees."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.complex_fit import as_complex
from registry.inertial.directions import MountingFit
from registry.inertial.dvl_run import DvlFit, DvlRun
from registry.inertial.inputs import Matrix, Numbers, rows, series
from registry.inertial.records import floats


@dataclass(frozen=True, slots=True)
class Residuals:
    """`left_deg` of each pair or leg, `sigma_deg` beside it; `names` says which."""

    names: tuple[str, ...]
    left_deg: tuple[float, ...]
    sigma_deg: tuple[float, ...]
    verdict: str
    next: str
    method: str


def direction_residuals(
    fit: MountingFit, unit_directions: Matrix, vehicle_directions: Matrix, sigma_deg: Numbers
) -> Residuals:
    """The angle between each vehicle direction and its unit direction turned by the fit, (n,), with the sigma stated."""
    turned = rows(unit_directions, "The unit directions") @ np.array(fit.c_vu).T
    wanted = rows(vehicle_directions, "The vehicle directions")
    sine = np.linalg.norm(np.cross(turned, wanted), axis=1)
    left = np.degrees(np.arctan2(sine, (turned * wanted).sum(axis=1)))
    names = tuple(f"pair {number}" for number in range(1, len(left) + 1))
    return _told(names, left, series(sigma_deg, "The sigmas"), fit.method)


def leg_residuals(fit: DvlFit, run: DvlRun) -> Residuals:
    """What is left of the angle on each leg of the run, to starboard positive; sigma from the scatter within the leg."""
    z_ref, z_dvl = as_complex(run.v_ref_m_s, "The reference"), as_complex(run.v_dvl_m_s, "The DVL")
    # In north-east the constant velocity of a water track is the same on every leg.
    z_ref = z_ref / run.north.distance_scale - complex(fit.offset_north_m_s or 0.0, fit.offset_east_m_s or 0.0)
    legs = np.asarray(run.leg if run.leg is not None else np.zeros(len(z_ref)), dtype=int)
    off = z_ref * np.conj((1 + fit.scale) * np.exp(1j * math.radians(fit.alpha_deg)) * z_dvl)
    left, sigma, names = [], [], []
    for leg in np.unique(legs):
        some = off[legs == leg]
        left.append(math.degrees(float(np.angle(some.sum()))))
        scatter = np.degrees(np.angle(some * np.exp(-1j * math.radians(left[-1]))))
        sigma.append(float(scatter.std(ddof=1)) / math.sqrt(len(some)) if len(some) > 1 else 0.0)
        names.append(f"leg {leg + 1}")
    return _told(tuple(names), left, sigma, fit.method)


def _told(names: tuple[str, ...], left, sigma, by: str) -> Residuals:
    worst = int(np.argmax(np.abs(left)))
    return Residuals(
        names=names,
        left_deg=floats(left),
        sigma_deg=floats(sigma),
        verdict=f"The largest residual is {abs(left[worst]):.3f}°, of {names[worst]}.",
        next="Look at that one first if the fit is doubted.",
        method=by,
    )
