"""The fleet, a vehicle and a bay: what sits where, now or at a past instant, and what stands against deploying."""

from typing import Any

import sqlalchemy as sa
from flask import Blueprint, Response, abort, redirect, url_for

from registry import access
from registry.acts.references import resolve
from registry.domain.axis_checks import VERDICTS as AXIS_VERDICTS
from registry.domain.fit import VERDICTS
from registry.domain.fit_use import ASKED
from registry.domain.fleet import HULLS, USES
from registry.domain.mounting_checks import VERDICTS as MOUNTING_VERDICTS
from registry.domain.mountings import ARMS, DOWELS, ORIENTATIONS
from registry.domain.readbacks import VERDICTS as READ
from registry.domain.settings import SAVED
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.output.closing_sheets import closing_paper
from registry.output.discs import symbol_name
from registry.output.fit_sheets import fit_sheets
from registry.output.hulls import BayMark, hull_strip
from registry.output.sheets import Question, proof_of
from registry.output.vehicle_lines import vehicle_line
from registry.queries.attachments import files_of
from registry.queries.bays import bay_page
from registry.queries.contracts import terms_of
from registry.queries.fleet import VehicleState, vehicles_at
from registry.queries.history import About, history
from registry.queries.lives import vehicle_life
from registry.queries.missions import missions_of_vehicle
from registry.queries.under_way import under_way
from registry.web.asked import Asked, asked, asked_query, at_its_beginning, back_to_now, kept_query
from registry.web.page import moment, not_known_then, past_query, render, use_sign
from registry.web.papers import paper, printed

bp = Blueprint("fleet", __name__)
#: Words of the mounting of a bay.
MOUNTING = {
    "orientations": ORIENTATIONS,
    "dowels": DOWELS,
    "arm_words": ARMS,
    "check_verdicts": AXIS_VERDICTS,
    "mounting_verdicts": MOUNTING_VERDICTS,
    "read_words": READ,
    "saved": SAVED,
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


def _turned() -> Asked:
    """What is asked about. A voyage that is over turns the page to its beginning, unless an instant is named."""
    told = asked()
    if then := at_its_beginning(told):
        abort(redirect(then, 303))
    return told


def _shared(told: Asked) -> dict[str, Any]:
    """What every page here shows of the instant, the voyage and the use it is turned to."""
    return {"asked": told, "told": asked_query(), "kept": kept_query(), "back": back_to_now(), "uses_asked": ASKED}


@bp.get("/fleet")
def every() -> Response:
    """All vehicles, worst first."""
    told, (at, known, past) = _turned(), moment()
    with access.instance().database.reading() as db:
        vehicles = vehicles_at(db, at, known, **told._asdict())
        out = under_way(db, at, known)
    return render(
        "fleet/fleet.html",
        vehicles=vehicles,
        out=out,
        at=at,
        known=known,
        past=past,
        strip=strip,
        verdicts=VERDICTS,
        hulls=HULLS,
        **_shared(told),
    )


@bp.get("/vehicles/<ref>")
def vehicle(ref: str) -> Response:
    """One vehicle: hull strip, bays, findings, life line, history."""
    told, (at, known, past) = _turned(), moment()
    id_ = found("vehicle", ref, at)
    with access.instance().database.reading() as db:
        one = _vehicle(db, id_, at, known, told)
        about = About(
            bays=tuple(bay.id for bay in one.bays), housings=tuple(h.housing_id for h in one.housings), vehicles=(id_,)
        )
        events, files = history(db, about, at, known), files_of(db, about, at, known)
        life = vehicle_life(db, id_, at, known)
        terms = terms_of(db, id_, at, known)
        missions = missions_of_vehicle(db, id_, at, known)
        out = under_way(db, at, known).get(id_)
    return render(
        "fleet/vehicle.html",
        vehicle=one,
        missions=missions,
        out=out,
        events_told=events,
        files=files,
        life=life,
        line=vehicle_line(life, at),
        terms=terms,
        at=at,
        known=known,
        past=past,
        strip=strip,
        verdicts=VERDICTS,
        hulls=HULLS,
        **_shared(told),
    )


def _vehicle(db: sa.Connection, id_: str, at: str, known: int, told: Asked) -> VehicleState:
    states = vehicles_at(db, at, known, [id_], **told._asdict())
    if not states:
        raise not_known_then("vehicle")
    return states[0]


@bp.get("/vehicles/<ref>/fit.pdf")
def sheet(ref: str) -> Response:
    """The fit-to-deploy sheet of one vehicle, as PDF."""
    told, (at, known, _past) = _turned(), moment()
    id_ = found("vehicle", ref, at)
    with access.instance().database.reading() as db:
        one = _vehicle(db, id_, at, known, told)
        proof = proof_of(db, stamp(access.now()))
    question = Question(at, past_query().get("known_on"), told.voyage, told.use)
    page = url_for("fleet.vehicle", ref=one.code, **kept_query() | {"at": at[:19] + "Z"})
    return paper(f"fit-{one.code}", fit_sheets([(one, page)], question, proof))


@bp.get("/housings/<ref>/closing.pdf")
def closing(ref: str) -> Response:
    """The closing sheet of one housing, as PDF."""
    return printed("closing", closing_paper, found("housing", ref, moment()[0]))


@bp.get("/bays/<ref>")
def bay(ref: str) -> Response:
    """One bay: what it holds, what it accepts, what it waits for, its stays."""
    told, (at, known, past) = _turned(), moment()
    id_ = found("bay", ref, at)
    with access.instance().database.reading() as db:
        page = bay_page(db, id_, at, known, **told._asdict())
    if page is None:
        raise not_known_then("bay")
    shown = MOUNTING | _shared(told)
    return render("fleet/bay.html", page=page, at=at, known=known, past=past, uses=USES, strip=strip, **shown)
