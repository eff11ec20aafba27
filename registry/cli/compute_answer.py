"""How a computation is told: a verdict, its figures with their units, then frame, coverage and method; or all as JSON."""

from collections.abc import Iterator
from typing import Any

import click

from registry.cli.telling import print_json

#: Ends of field names -> unit as it is written. The longest that fits counts.
UNITS = {
    "deg_sqrt_h": "deg/√h", "deg_seclat": "deg sec lat", "deg_h": "deg/h", "deg_s": "deg/s", "deg": "deg",
    "m_s2": "m/s²", "m_s": "m/s", "m_per_km": "m/km", "m": "m", "percent": "%", "rad2": "rad²", "rad": "rad",
    "arcsec": "arcsec", "hz": "Hz", "s": "s", "days": "days", "h": "h", "min": "min",
}  # fmt: skip
#: Whole names -> (label, unit); `{}` stands for the unit the values are in, which the caller states.
WHOLE = {
    "c_vu": ("C_vu, unit to vehicle axes", ""), "seconds": ("length", "s"), "scale": ("scale, reads short +", ""),
    "u": ("standard uncertainty u", "{}"), "expanded": ("expanded uncertainty U", "{}"), "k": ("coverage factor k", ""),
    "value": ("value", "{}"), "lower": ("lower limit", "{}"), "upper": ("upper limit", "{}"), "guard": ("guard band", "{}"),
    "accept_lower": ("accepted from", "{}"), "accept_upper": ("accepted up to", "{}"), "mean": ("mean", "{}"),
    "s": ("standard deviation s", "{}"), "s_pooled": ("pooled standard deviation s", "{}"), "limit": ("limit", "{}"),
    "half_width": ("half-width", "{}"), "intercept": ("value on day 0", "{}"), "residual_sd": ("residual s", "{}"),
    "residual_sd_line": ("residual s of a line", "{}"), "step": ("step", "{}"), "p_conform": ("chance that it conforms", ""),
    "slope_per_day": ("slope", "{} a day"), "slope_per_year": ("slope", "{} a year"),
    "half_width_per_year": ("half-width of the slope", "{} a year"), "en": ("E_n", ""), "dof": ("degrees of freedom", ""),
    "walk": ("random walk", "{walk_unit}"), "sigma_walk": ("sigma random walk", "{walk_unit}"),
    "half_width_walk": ("half-width random walk", "{walk_unit}"), "floor": ("floor", "{}"), "floor_at_most": ("floor at most", "{}"),
    "half_width_floor": ("half-width floor", "{}"), "bias_instability": ("bias instability", "{}"),
    "cross_percent": ("across the track", "%"), "cross_m_per_km": ("across the track", "m/km"), "cross_m": ("across the track", "m"),
    "along_m": ("along the track", "m"), "lat_deg": ("latitude", "deg"), "secant": ("secant of the latitude", ""),
    "n": ("values", ""), "rssd": ("root of the weighted loss", ""), "chi2": ("chi-square", ""), "rotvec_deg": ("turn about forward, starboard, down", "deg"),
    "limit_95": ("limit of chi-square at 95 %", ""),
    "limit_99": ("limit of chi-square at 99 %", ""), "p": ("p of chance alone", ""), "risk": ("chance that this is wrong", ""),
}  # fmt: skip
#: Told elsewhere, or of use to programs alone.
QUIET = {
    "verdict", "next", "method", "limits", "rules", "frame", "coverage", "unit", "walk_unit", "parts", "seed", "p_nonconform",
    "angles_separable", "bias_note", "white", "name",
}  # fmt: skip


def tell(
    results: dict[str, Any], as_json: bool, *, unit: str = "", frame: str = "", notes: tuple[str, ...] = ()
) -> None:
    """Print results by name. `unit` is that of plain values, `frame` that of results that name none; `notes` are asides."""
    from registry.inertial import METHODS, as_record

    records = {name: as_record(result) for name, result in results.items()}
    for record in records.values():
        record.setdefault("unit", unit or None)
        record["frame"] = record.get("frame") or frame or None
        record.setdefault("coverage", None)
    if as_json:
        versions = {record["method"]: METHODS[record["method"].split()[0]].source for record in records.values()}
        given = {
            key: value for key, value in click.get_current_context().params.items() if value not in (None, (), False)
        }
        given.pop("as_json", None)
        print_json({"given": as_record(given), "results": records, "methods": versions, "notes": list(notes)})
        return
    for place, (name, record) in enumerate(records.items()):
        if place:
            click.echo()
        _tell_one(name, record, METHODS, alone=len(records) == 1)
    for note in notes:
        click.echo(note)


def _tell_one(name: str, record: dict[str, Any], methods: Any, alone: bool) -> None:
    if not alone:
        click.echo(f"{name}:")
    for sentence in (record.get("verdict"), record.get("next")):
        if sentence:
            click.echo(sentence)
    told = [line for key, value in record.items() if key not in QUIET for line in _lines(key, value, record)]
    width = max((len(label) for label, _ in told), default=0)
    for label, value in told:
        click.echo(f"  {label:{width}}  {value}")
    covered = f"{100 * record['coverage']:.4g} %" if record["coverage"] else "no interval is stated"
    click.echo(f"Frame: {record['frame'] or 'no axes are involved'}.")
    click.echo(f"Coverage of intervals: {covered}.")
    click.echo(f"Method: {record['method']} ({methods[record['method'].split()[0]].source}).")


def _lines(key: str, value: Any, record: dict[str, Any]) -> Iterator[tuple[str, str]]:
    if value is None or value in ("", []):
        return
    label, unit = label_and_unit(key)
    if key.startswith("sigma") and not unit and record.get("unit"):
        unit = "{}"
    unit = unit.replace("{walk_unit}", record.get("walk_unit") or "").replace("{}", record.get("unit") or "")
    if isinstance(value, list) and value and isinstance(value[0], list):
        for place, row in enumerate(value):
            yield (label if not place else ""), f"{_said(row)} {unit}".rstrip()
        return
    own = "" if isinstance(value, str | bool) else unit
    yield label, f"{_said(value, record.get('unit') or '')} {own}".rstrip()


def label_and_unit(key: str) -> tuple[str, str]:
    """The words for a field and its unit, read off its name."""
    if key in WHOLE:
        return WHOLE[key]
    for end in sorted(UNITS, key=len, reverse=True):
        if key.endswith(f"_{end}"):
            return key.removesuffix(f"_{end}").replace("_", " "), UNITS[end]
    return key.replace("_", " "), ""


def _said(value: Any, unit: str = "") -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, list):
        return ("; " if value and isinstance(value[0], dict) else ", ").join(_said(each, unit) for each in value)
    if isinstance(value, dict):
        return _said_whole(value, unit)
    return str(value)


def _said_whole(value: dict[str, Any], unit: str) -> str:
    """A part of a result that is a record itself, in one line."""
    if "unit_x" in value:
        return f"x {value['unit_x']}, y {value['unit_y']}, z {value['unit_z']}"
    if "sentence" in value:
        return value["sentence"].partition(": ")[2]
    if "to_true_deg" in value:
        return f"{value['kind']}, {value['to_true_deg']:+.3f} deg to true ({value['source']})"
    parts = ((*label_and_unit(key), each) for key, each in value.items() if each is not None)
    return ", ".join(f"{label} {_said(each, unit)} {own.replace('{}', unit)}".rstrip() for label, own, each in parts)
