"""Options that say which north, and the north they make."""

from typing import Any

import click

from registry.cli.compute_input import all_or_usage, day
from registry.cli.telling import options

NORTHS = ("true", "grid", "magnetic")
place_options = options(
    click.option("--lat-deg", type=float, metavar="DEG", help="Latitude, north positive."),
    click.option("--lon-deg", type=float, metavar="DEG", help="Longitude, east positive: for grid or magnetic north."),
    click.option("--utm-zone", type=int, metavar="ZONE", help="UTM zone of the grid, 1 to 60."),
    click.option("--on", metavar="DAY", help="Day of the run, for the world magnetic model."),
    click.option(
        "--declination-deg", type=float, metavar="DEG", help="Declination, east positive, instead of the model."
    ),
    click.option("--declination-sigma-deg", type=float, metavar="DEG", help="Its sigma."),
    click.option("--declination-source", metavar="WORDS", help="Where it comes from."),
)


def north_of(word: str | None, given: dict[str, Any]) -> Any:
    """The north that was declared, made of what `place_options` say; None when none was, which computations refuse."""
    from registry.inertial import (
        grid_north,
        magnetic_north,
        magnetic_north_by_model,
        north_by_word,
        utm_central_meridian_deg,
    )

    if word is None:
        return None
    if word == "grid" and given["utm_zone"] is not None:
        all_or_usage(given, "lat_deg", "lon_deg")
        return grid_north(given["lat_deg"], given["lon_deg"], utm_central_meridian_deg(given["utm_zone"]))
    if word == "magnetic" and given["declination_deg"] is not None:
        all_or_usage(given, "declination_sigma_deg", "declination_source")
        sigma, source = given["declination_sigma_deg"], given["declination_source"]
        return magnetic_north(given["declination_deg"], sigma_deg=sigma, source=source)
    if word == "magnetic" and given["on"]:
        all_or_usage(given, "lat_deg", "lon_deg")
        return magnetic_north_by_model(given["lat_deg"], given["lon_deg"], day(given["on"], "--on"))
    return north_by_word(word)
