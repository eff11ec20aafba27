"""Stations, meters and the plan."""

from typing import Any

from flask import Response, jsonify, request

from registry import access
from registry.api.asking import bp, found, moment, plain
from registry.queries import handling, meters, people, plans


@bp.get("/stations")
def every_station() -> Response:
    """Every ESD station with its newest check."""
    at, _known = moment()
    with access.instance().database.reading() as db:
        listed, checks = people.stations_listed(db), handling.checks_standing(db, at)
    return jsonify({"stations": [{**dict(one), "check": plain(checks.get(one["id"]))} for one in listed]})


@bp.get("/stations/<ref>")
def station(ref: str) -> Response:
    """One station: its newest check with the readings, the checks before, the last sign-offs."""
    at, _known = moment()
    with access.instance().database.reading() as db:
        page = handling.station_page(db, found(db, "station", ref, at), at)
    return jsonify({**dict(page.row), "check": plain(page.check), **_rows(page, "readings", "checks", "signoffs")})


@bp.get("/meters")
def every_meter() -> Response:
    """Every meter with the last day its calibration covers."""
    at, _known = moment()
    with access.instance().database.reading() as db:
        listed = meters.meters_listed(db, at)
    return jsonify({"meters": [dict(one) for one in listed]})


@bp.get("/meters/<ref>")
def meter(ref: str) -> Response:
    """One meter: its calibrations, and the sign-offs and checks that rest on it."""
    at, _known = moment()
    with access.instance().database.reading() as db:
        page = meters.meter_page(db, found(db, "meter", ref, at), at)
    rows = _rows(page, "calibrations", "signoffs", "checks")
    return jsonify({**dict(page.row), **rows, "files": plain(page.files)})


@bp.get("/plan")
def plan() -> Response:
    """What all sites, or one with `site`, work by: every figure with its value, default and source."""
    at, known = moment()
    ref = request.args.get("site")
    with access.instance().database.reading() as db:
        site = found(db, "site", ref, at) if ref else None
        groups: dict[str, Any] = plans.plan_page(db, site, at, known)
    return jsonify({"site": site, "figures": [plain(line) for lines in groups.values() for line in lines]})


def _rows(page: Any, *names: str) -> dict[str, list[dict[str, Any]]]:
    """These lists of a page, as plain rows."""
    return {name: [dict(row) for row in getattr(page, name)] for name in names}
