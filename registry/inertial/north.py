"""Declared north: every azimuth and every track says if it is true, grid or magnetic, and how that becomes true."""

import math
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from registry.inertial.earth import WGS84
from registry.inertial.inputs import latitude, number
from registry.inertial.methods import method
from registry.inertial.refusal import CannotCompute

UTM_SCALE = 0.9996


class Kind(StrEnum):
    TRUE = "true"
    GRID = "grid"
    MAGNETIC = "magnetic"


@dataclass(frozen=True, slots=True)
class North:
    """What "north" means: true azimuth = azimuth + `to_true_deg`; true distance = distance / `distance_scale`.

    `to_true_deg` is grid convergence or declination, positive when that north lies east of true north.
    """

    kind: Kind
    to_true_deg: float
    sigma_deg: float
    distance_scale: float
    source: str
    next: str
    method: str


@dataclass(frozen=True, slots=True)
class TrueAzimuth:
    """An azimuth made true, 0..360 degrees."""

    azimuth_deg: float
    sigma_deg: float
    declared: North
    verdict: str
    method: str


TRUE_NORTH = North(Kind.TRUE, 0.0, 0.0, 1.0, "stated as true", "Nothing to add.", method("north"))


def declared(north: North | None) -> North:
    """The north that was declared. Raises CannotCompute when none was: nothing is assumed."""
    if north is None:
        raise CannotCompute(
            "Nobody said which north this is: true, grid or magnetic.",
            "Declare it; away from the central meridian grid north is up to 2.6° off, magnetic north more.",
        )
    return north


def to_true(azimuth_deg: float, north: North | None, sigma_deg: float = 0.0) -> TrueAzimuth:
    """An azimuth (deg, clockwise from the declared north) made true; sigma root-sum-square with that of the north."""
    basis = declared(north)
    azimuth = (number(azimuth_deg, "The azimuth in degrees") + basis.to_true_deg) % 360.0
    sigma = math.hypot(number(sigma_deg, "Sigma of the azimuth", least=0), basis.sigma_deg)
    return TrueAzimuth(
        azimuth, sigma, basis, f"{azimuth:.3f}° true, from {basis.kind} by {basis.to_true_deg:+.3f}°.", method("north")
    )


def utm_central_meridian_deg(zone: int) -> float:
    """Central meridian of a UTM zone, 1 to 60."""
    if zone != int(zone) or not 1 <= zone <= 60:
        raise CannotCompute(f"{zone} is no UTM zone; they run from 1 to 60.")
    return 6.0 * int(zone) - 183.0


def grid_north(lat_deg: float, lon_deg: float, central_meridian_deg: float, central_scale: float = UTM_SCALE) -> North:
    """Grid north of a transverse Mercator grid at a place: convergence and scale on WGS-84.

    Source: Krüger 1912 series to n⁴ (Karney 2011); under 1e-6 degree within 4 degrees of the meridian. Raises
    CannotCompute over 6 degrees from the central meridian and at the poles.
    """
    lat = latitude(lat_deg)
    off = (number(lon_deg, "The longitude in degrees", least=-360, most=360) - central_meridian_deg + 180) % 360 - 180
    if abs(off) > 6 or abs(lat) > 84:
        raise CannotCompute(
            f"{abs(off):.1f}° from the central meridian at {lat:.1f}° is outside this grid.", "Give the right zone."
        )
    convergence, scale = _krueger(math.radians(lat), math.radians(off))
    scale *= number(central_scale, "The scale on the central meridian", least=0.9, most=1.1)
    return North(
        kind=Kind.GRID,
        to_true_deg=convergence,
        sigma_deg=0.0,
        distance_scale=scale,
        source=f"transverse Mercator, central meridian {central_meridian_deg:g}°, at {lat:.4f}°, {lon_deg:.4f}°",
        next=f"Distances on this grid are {1e6 * (scale - 1):+.0f} ppm off, which would else go into the DVL scale.",
        method=method("north"),
    )


def _krueger(lat: float, off: float) -> tuple[float, float]:
    """Convergence (deg) and scale over the central one, from geodetic latitude and longitude difference (rad)."""
    n = WGS84.f / (2 - WGS84.f)
    e = math.sqrt(WGS84.e2)
    alpha = (
        n / 2 - 2 * n**2 / 3 + 5 * n**3 / 16 + 41 * n**4 / 180,
        13 * n**2 / 48 - 3 * n**3 / 5 + 557 * n**4 / 1440,
        61 * n**3 / 240 - 103 * n**4 / 140,
        49561 * n**4 / 161280,
    )
    tau = math.tan(lat)
    sigma = math.sinh(e * math.atanh(e * tau / math.hypot(1, tau)))
    conformal = tau * math.hypot(1, sigma) - sigma * math.hypot(1, tau)
    xi, eta = math.atan2(conformal, math.cos(off)), math.asinh(math.sin(off) / math.hypot(conformal, math.cos(off)))
    p, q = 1.0, 0.0
    for order, a in enumerate(alpha, 1):
        p += 2 * order * a * math.cos(2 * order * xi) * math.cosh(2 * order * eta)
        q += 2 * order * a * math.sin(2 * order * xi) * math.sinh(2 * order * eta)
    convergence = math.atan(conformal / math.hypot(1, conformal) * math.tan(off)) + math.atan2(q, p)
    rectifying = (1 + n**2 / 4 + n**4 / 64) / (1 + n)
    on_sphere = math.hypot(1, tau) / math.hypot(conformal, math.cos(off))
    scale = rectifying * math.hypot(p, q) * math.sqrt(1 - WGS84.e2 * math.sin(lat) ** 2) * on_sphere
    return math.degrees(convergence), scale


def magnetic_north(declination_deg: float, *, sigma_deg: float, source: str) -> North:
    """Magnetic north by a stated declination (east +) with its source: a chart and its year, a model and its epoch.

    Raises CannotCompute without a source or with a declination over 180 degrees. The vehicle's own iron is not in it.
    """
    if not source or not source.strip():
        raise CannotCompute("The declination has no source.", "Name the chart and year, or the model and epoch.")
    return North(
        kind=Kind.MAGNETIC,
        to_true_deg=number(declination_deg, "The declination in degrees", least=-180, most=180),
        sigma_deg=number(sigma_deg, "Sigma of the declination", least=0),
        distance_scale=1.0,
        source=source.strip(),
        next="Iron nearby is not in the declination: keep the compass well clear, or take a true bearing.",
        method=method("north"),
    )


def magnetic_north_by_model(lat_deg: float, lon_deg: float, on: date, height_m: float = 0.0) -> North:
    """Magnetic north by the World Magnetic Model whose coefficients lie in the `pygeomag` package.

    The sigma is the model's own stated error of declination. Raises CannotCompute when that package is not
    installed, on a day outside the model's five years, and in its blackout zones near the magnetic poles.
    """
    try:
        from pygeomag import GeoMag
    except ImportError:
        raise CannotCompute(
            "The world magnetic model is not installed.", "Install pygeomag, or state the declination with its source."
        ) from None
    start = date(on.year, 1, 1)
    year = on.year + (on - start).days / (date(on.year + 1, 1, 1) - start).days
    model = GeoMag()
    first, last = model.life_span
    if not first <= year <= last:
        raise CannotCompute(
            f"{on} is outside the model {model.model}, which holds from {first:g} to {last:g}.",
            "State the declination with its source, or update pygeomag.",
        )
    where = {"glat": latitude(lat_deg), "glon": number(lon_deg, "The longitude", least=-360, most=360)}
    field = model.calculate(**where, alt=number(height_m, "The height in metres") / 1000, time=year)
    if field.h < 2000:
        raise CannotCompute(
            f"Here the level field is {field.h:.0f} nT: the model gives no declination under 2000.",
            "Take a true bearing.",
        )
    found = magnetic_north(
        field.d,
        sigma_deg=field.calculate_uncertainty().d,
        source=f"{model.model} at {year:.2f}, {lat_deg:.3f}°, {lon_deg:.3f}°",
    )
    if field.h < 6000:
        return replace(found, next="Here the level field is weak (under 6000 nT): take a true bearing if you can.")
    return found


def north_by_word(word: str) -> North:
    """`true` as declared in a form or a file; grid and magnetic need their figures, and say so."""
    if str(word).strip().lower() == Kind.TRUE:
        return TRUE_NORTH
    if str(word).strip().lower() == Kind.GRID:
        raise CannotCompute("Grid north needs the zone and the place.", "Give latitude, longitude and zone.")
    if str(word).strip().lower() == Kind.MAGNETIC:
        raise CannotCompute("Magnetic north needs a declination.", "Give it with its source, or the place and the day.")
    raise CannotCompute(f"“{word}” is no north.", "Declare true, grid or magnetic.")
