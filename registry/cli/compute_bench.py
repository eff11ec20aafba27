"""A unit at rest: what gyrocompassing can reach, the heading it finds, and the bench static test."""

from typing import Any

import click

from registry.cli.compute_answer import tell
from registry.cli.compute_input import all_or_usage, reading_shown, recording
from registry.cli.telling import as_json

_STATISTICS = ("1 sigma", "r.m.s.", "CEP (50 %)", "95 %", "largest")


@click.command()
@click.argument("file", required=False)
@click.option("--lat-deg", type=float, metavar="DEG", help="Latitude, north positive.")
@click.option("--bias-deg-h", type=float, required=True, metavar="RATE", help="Gyro bias, one sigma.")
@click.option("--walk-deg-sqrt-h", type=float, metavar="WALK", help="Angle random walk.")
@click.option("--acc-bias-m-s2", type=float, default=0.0, metavar="BIAS", help="Accelerometer bias, one sigma.")
@click.option(
    "--average-s", type=float, metavar="SECONDS", help="Without FILE: the noise left after averaging so long."
)
@click.option("--class-deg-seclat", type=float, metavar="DEG", help="The unit’s class in degrees secant latitude.")
@click.option("--north-speed-m-s", type=float, metavar="SPEED", help="A north speed the unit is not told of.")
@click.option("--rate-hz", type=float, metavar="HZ", help="Sample rate, when FILE has no column of time.")
@as_json
def gyrocompass(file: str | None, as_json: bool, **given: Any) -> None:
    """Say what a gyro bias leaves in a heading at a latitude; with FILE, find the heading of a unit at rest.

    FILE (CSV, NPZ or -) holds time_s, gyro_x_deg_h, gyro_y_deg_h, gyro_z_deg_h, acc_x_m_s2, acc_y_m_s2, acc_z_m_s2 in
    axes forward, starboard, down, or other units named in the headers.

    \b
    Example:
      pairbook compute gyrocompass --bias-deg-h 0.01 --lat-deg 45
    """
    from registry.inertial import heading_error, read_static, static_heading

    if not file:
        found = heading_error(given["bias_deg_h"], given["lat_deg"])
        frame = "heading from true north, NED; bias along east"
        tell({"heading": found}, as_json, frame=frame, notes=tuple(_asides(given)))
        return
    all_or_usage(given, "walk_deg_sqrt_h")
    with reading_shown() as progress:
        record = read_static(recording(file), progress, rate_hz=given["rate_hz"])
    summary = record.summary()
    heading = static_heading(
        summary.mean_force_m_s2,
        summary.mean_rate_deg_h,
        given["lat_deg"],
        gyro_bias_deg_h=given["bias_deg_h"],
        walk_deg_sqrt_h=given["walk_deg_sqrt_h"],
        seconds=summary.seconds,
        acc_bias_m_s2=given["acc_bias_m_s2"],
        spread_m_s2=max(summary.spread_force_m_s2),
    )
    tell({"heading": heading, "record": _means(record, summary)}, as_json, notes=_doubts(record, summary))


def _asides(given: dict[str, Any]) -> list[str]:
    from registry.inertial import class_heading_deg, heading_noise_deg, unaided_north_speed_deg

    lat, told = given["lat_deg"], []
    if given["walk_deg_sqrt_h"] is not None and given["average_s"] is not None:
        noise = heading_noise_deg(given["walk_deg_sqrt_h"], given["average_s"], lat)
        told.append(f"Noise left after {given['average_s']:g} s: {noise:.4f} deg of heading, one sigma.")
    if given["class_deg_seclat"] is not None:
        told.append(f"The class comes to {class_heading_deg(given['class_deg_seclat'], lat):.4f} deg at this latitude.")
    if given["north_speed_m_s"] is not None:
        off = unaided_north_speed_deg(given["north_speed_m_s"], lat)
        told.append(f"{given['north_speed_m_s']:g} m/s of north speed it is not told of cost {off:.4f} deg.")
    return told


def _means(record: Any, summary: Any) -> dict[str, Any]:
    from registry.inertial import as_record

    told = as_record(summary) | {"method": record.method, "frame": "unit axes x, y, z"}
    for parts in ("part_force_m_s2", "part_rate_deg_h", "unsteady"):
        told.pop(parts)
    return told


def _doubts(record: Any, summary: Any) -> tuple[str, ...]:
    unused = f"Not used: {', '.join(record.unused)}." if record.unused else ""
    return tuple(filter(None, (record.doubt, summary.unsteady, unused)))


@click.command()
@click.argument("file")
@click.option("--lat-deg", type=float, metavar="DEG", help="Latitude, north positive.")
@click.option("--height-m", type=float, default=0.0, show_default=True, metavar="M", help="Height above the ellipsoid.")
@click.option("--warm-up-min", type=float, metavar="MIN", help="How long the unit was on before.")
@click.option("--gyro-bias-deg-h", type=float, metavar="RATE", help="The data sheet’s gyro bias.")
@click.option("--acc-bias-m-s2", type=float, metavar="BIAS", help="The data sheet’s accelerometer bias.")
@click.option(
    "--statistic",
    type=click.Choice(_STATISTICS),
    default="1 sigma",
    show_default=True,
    help="What the data sheet’s figures are.",
)
@click.option("--rate-hz", type=float, metavar="HZ", help="Sample rate, when FILE has no column of time.")
@click.option("--allan", is_flag=True, help="Read random walk and floor of each gyro off its Allan curve too.")
@as_json
def static(file: str, as_json: bool, **given: Any) -> None:
    """Test a unit at rest: gravity, the earth’s rate, and that rate on the vertical. No heading is needed.

    FILE (CSV, NPZ or -) holds time_s, gyro_x_deg_h, gyro_y_deg_h, gyro_z_deg_h, acc_x_m_s2, acc_y_m_s2, acc_z_m_s2 in
    unit axes, or other units named in the headers. Hours at hundreds of hertz are read a piece at a time.

    \b
    Example:
      pairbook compute static bench.csv --lat-deg 59.3 --warm-up-min 60 --gyro-bias-deg-h 0.05 --acc-bias-m-s2 0.001
    """
    from registry.inertial import Limit, UnitClass, read_static, static_test

    gyro, acc = (
        None if given[name] is None else Limit(given[name], given["statistic"])
        for name in ("gyro_bias_deg_h", "acc_bias_m_s2")
    )
    with reading_shown() as progress:
        record = read_static(recording(file), progress, rate_hz=given["rate_hz"])
    summary = record.summary()
    results = {
        "static test": static_test(
            summary,
            given["lat_deg"],
            height_m=given["height_m"],
            unit_class=UnitClass(gyro_bias_deg_h=gyro, acc_bias_m_s2=acc),
            warm_up_min=given["warm_up_min"],
        ),
        "record": _means(record, summary),
    }
    if given["allan"]:
        results |= _allan(record)
    tell(results, as_json, frame="one gyro of the unit, by itself", notes=_doubts(record, summary))


def _allan(record: Any) -> dict[str, Any]:
    from registry.inertial import allan_deviation, read_terms

    return {
        f"gyro {axis}": read_terms(allan_deviation(record.rate_deg_h[:, place], record.rate_hz))
        for place, axis in enumerate("xyz")
    }
