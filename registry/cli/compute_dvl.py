"""A DVL against its unit, and what a misalignment that is left in costs."""

from typing import Any

import click

from registry.cli.compute_answer import tell
from registry.cli.compute_input import all_or_usage, one_of, reading_shown, recording
from registry.cli.compute_north import NORTHS, north_of, place_options
from registry.cli.compute_table import read_table
from registry.cli.telling import as_json

_RUN = ("sound_speed_m_s", "measured_sound_speed_m_s", "phased_array", "rtk", "fix_sigma_m", "water_track")


@click.command()
@click.argument("file", required=False)
@click.option("--heading-north", type=click.Choice(NORTHS), help="Which north the headings of the file are from.")
@click.option(
    "--reference-north", type=click.Choice(NORTHS), help="Which north the reference’s velocities or ends are in."
)
@place_options
@click.option("--sound-speed-m-s", type=float, metavar="SPEED", help="Sound speed the DVL used.")
@click.option("--measured-sound-speed-m-s", type=float, metavar="SPEED", help="Sound speed of the water.")
@click.option("--phased-array", is_flag=True, help="The DVL’s level velocity does not depend on sound speed.")
@click.option("--rtk", is_flag=True, help="The reference is RTK or PPK: legs may be shorter.")
@click.option("--fix-sigma-m", type=float, metavar="SIGMA", help="Sigma of one position of the reference.")
@click.option("--water-track", is_flag=True, help="The DVL saw water, not bottom: fit a constant current too.")
@click.option(
    "--average-s",
    type=float,
    default=10.0,
    show_default=True,
    metavar="SECONDS",
    help="Mean over so long before the fit.",
)
@click.option(
    "--reference-end-m",
    type=float,
    nargs=2,
    metavar="NORTH EAST",
    help="Without FILE: the end of the reference’s track.",
)
@click.option(
    "--dvl-end-m", type=float, nargs=2, metavar="NORTH EAST", help="And of the dead-reckoned one, from the same start."
)
@as_json
def dvl(file: str | None, as_json: bool, **given: Any) -> None:
    """Fit angle and scale of a DVL to a recorded run, or to the two ends of a track.

    FILE (CSV, NPZ or -) holds time_s, heading_deg, dvl_x_m_s, dvl_y_m_s (forward, starboard), ref_north_m_s,
    ref_east_m_s, and bottom_lock if kept. Turns and 30 s after them are left out.

    \b
    Example:
      pairbook compute dvl run.csv --heading-north true --reference-north true --rtk --sound-speed-m-s 1500
      pairbook compute dvl --reference-end-m 0 1000 --dvl-end-m -11.3 995 --fix-sigma-m 0.02 --reference-north true
    """
    from registry.inertial import fit_end_fix, fit_track, read_track

    way = one_of({"FILE": bool(file), "--reference-end-m": given["reference_end_m"] is not None})
    reference = north_of(given["reference_north"], given)
    if way != "FILE":
        all_or_usage(given, "dvl_end_m", "fix_sigma_m")
        ends = given["reference_end_m"], given["dvl_end_m"]
        tell({"DVL by the ends": fit_end_fix(*ends, fix_sigma_m=given["fix_sigma_m"], north=reference)}, as_json)
        return
    with reading_shown() as progress:
        track = read_track(
            recording(file or ""),
            heading_north=north_of(given["heading_north"], given),
            reference_north=reference,
            progress=progress,
            **{name: given[name] for name in _RUN},
        )
    fit, legs = fit_track(track, average_s=given["average_s"])
    tell({"DVL": fit}, as_json, notes=tuple(_leg(place, leg) for place, leg in enumerate(legs, 1)))


def _leg(place: int, leg: Any) -> str:
    fate = "used" if leg.used else f"not used: {leg.why_not}"
    return f"Leg {place}: {leg.heading_deg:05.1f} deg true, {leg.length_m:.0f} m in {leg.seconds:.0f} s, {fate}."


@click.command()
@click.argument("file", required=False)
@click.option("--angle-deg", type=float, required=True, metavar="DEG", help="The misalignment, to starboard positive.")
@click.option("--sigma-deg", type=float, metavar="DEG", help="Its sigma.")
@click.option(
    "--scale-percent", type=float, default=0.0, metavar="PERCENT", help="Scale left in, reads short positive."
)
@click.option("--class-percent", type=float, metavar="PERCENT", help="The unit’s class in percent of distance.")
@click.option("--distance-m", type=float, metavar="M", help="Price it at the end of one straight leg.")
@as_json
def cost(file: str | None, as_json: bool, **given: Any) -> None:
    """Price a misalignment that is left in: percent of distance, metres a kilometre, its share of the class.

    FILE (CSV, NPZ or -) holds the legs of a mission, one in each row: heading_deg, length_m. Each leg is priced, and
    the end of them all; out-and-back lines cancel it at the end, not in the mapped positions.

    \b
    Example:
      pairbook compute cost --angle-deg 0.65 --class-percent 0.2
    """
    from registry.inertial import end_error, end_errors_of_legs, misalignment_cost

    angle, scale = given["angle_deg"], given["scale_percent"] / 100
    results: dict[str, Any] = {
        "misalignment": misalignment_cost(angle, sigma_deg=given["sigma_deg"], class_percent=given["class_percent"])
    }
    notes: tuple[str, ...] = ()
    if given["distance_m"] is not None:
        results["end of the leg"] = end_error(angle, scale, given["distance_m"])
    if file:
        table = read_table(file, {"heading": "angle", "length": "length"})
        legs, end_m = end_errors_of_legs(
            angle, scale, list(zip(table.column("heading"), table.column("length"), strict=True))
        )
        results |= {f"leg {place}": leg for place, leg in enumerate(legs, 1)}
        notes = (f"At the end of all legs: {end_m:.4g} m off.", *table.notes)
    tell(results, as_json, frame="across the track, + to starboard", notes=notes)
