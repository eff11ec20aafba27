"""The fleet, a vehicle and a bay: what sits where, now or at a past instant, and what stands against deploying."""

from flask import Blueprint, Response

from registry import access
from registry.acts.references import resolve
from registry.domain.axis_checks import VERDICTS as AXIS_VERDICTS
from registry.domain.fit import VERDICTS
from registry.domain.fleet import HULLS, USES
from registry.domain.mountings import ARMS, DOWELS, ORIENTATIONS
from registry.errors import Reason, Refused
from registry.output.discs import symbol_name
from registry.output.hulls import BayMark, hull_strip
from registry.queries.attachments import files_of
from registry.queries.bays import bay_page
from registry.queries.fleet import VehicleState, vehicles_at
from registry.queries.history import About, history
from registry.queries.missions import missions_of_vehicle
from registry.web.page import moment, not_known_then, render, use_sign

bp = Blueprint("fleet", __name__)
#: Words of the mounting of a bay.
MOUNTING = {
    "orientations": ORIENTATIONS,
    "dowels": DOWELS,
    "arm_words": ARMS,
    "check_verdicts": AXIS_VERDICTS,
}


def strip(vehicle: VehicleState) -> str:
    """The hull strip of a vehicle; its signs are drawn on the page."""
    use_sign(*(symbol_name(bay.disc) for bay in vehicle.bays))
    return hull_strip(
        vehicle.hull,
        float(vehicle.length_m),
        [BayMark(bay.letter, float(bay.from_bow_m), bay.disc) for bay in vehicle.bays],
    )


def found(kind: str, ref: str, at: str) -> str:
    """The id of the thing this address names; nothing there is a page that says so."""
    with access.instance().database.reading() as db:
        id_ = resolve(db, kind, ref, at, "ref")
    if isinstance(id_, Reason):
        raise Refused(Reason("not_found", id_.message, next=id_.next))
    return id_


@bp.get("/fleet")
def every() -> Response:
    """All vehicles, worst first."""
    at, known, past = moment()
    with access.instance().database.reading() as db:
        vehicles = vehicles_at(db, at, known)
    return render(
        "fleet/fleet.html",
        vehicles=vehicles,
        at=at,
        known=known,
        past=past,
        strip=strip,
        verdicts=VERDICTS,
        hulls=HULLS,
    )


@bp.get("/vehicles/<ref>")
def vehicle(ref: str) -> Response:
    """One vehicle: hull strip, bays, findings, history."""
    at, known, past = moment()
    id_ = found("vehicle", ref, at)
    with access.instance().database.reading() as db:
        states = vehicles_at(db, at, known, [id_])
        if not states:
            raise not_known_then("vehicle")
        one = states[0]
        about = About(
            bays=tuple(bay.id for bay in one.bays), housings=tuple(h.housing_id for h in one.housings), vehicles=(id_,)
        )
        told, files = history(db, about, at, known), files_of(db, about, at, known)
        missions = missions_of_vehicle(db, id_, at, known)
    return render(
        "fleet/vehicle.html",
        vehicle=one,
        missions=missions,
        told=told,
        files=files,
        at=at,
        known=known,
        past=past,
        strip=strip,
        verdicts=VERDICTS,
        hulls=HULLS,
    )


@bp.get("/bays/<ref>")
def bay(ref: str) -> Response:
    """One bay: what it holds, what it accepts, what it waits for, its stays."""
    at, known, past = moment()
    id_ = found("bay", ref, at)
    with access.instance().database.reading() as db:
        page = bay_page(db, id_, at, known)
    if page is None:
        raise not_known_then("bay")
    return render("fleet/bay.html", page=page, at=at, known=known, past=past, uses=USES, strip=strip, **MOUNTING)
