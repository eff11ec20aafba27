"""Deliveries: what came in, carton by carton, and the next step for each."""

from flask import Blueprint, Response

from registry import access
from registry.domain.deliveries import BAGS, CONDITIONS, FOLLOWS, INDICATORS, LINE_STATES, OUTCOMES, SEALS
from registry.domain.times import stamp
from registry.queries import deliveries
from registry.web.fleet import found
from registry.web.page import known_by_id, render

bp = Blueprint("deliveries", __name__)
WORDS = {
    "bags": BAGS,
    "conditions": CONDITIONS,
    "follows": FOLLOWS,
    "indicators": INDICATORS,
    "line_states": LINE_STATES,
    "outcomes": OUTCOMES,
    "seals": SEALS,
}


@bp.get("/deliveries")
def every() -> Response:
    """Every delivery, newest first."""
    with access.instance().database.reading() as db:
        listed = deliveries.deliveries_listed(db)
    return render("deliveries/deliveries.html", deliveries=listed)


@bp.get("/deliveries/<ref>")
def one(ref: str) -> Response:
    """One delivery: each carton as it came in, how far it is unpacked, and what comes next."""
    at = stamp(access.now())
    id_ = found("delivery", ref, at)
    with access.instance().database.reading() as db:
        page = deliveries.delivery_page(db, id_, at)
    return render("deliveries/delivery.html", page=page, words=WORDS)


@bp.get("/cartons/<carton_id>")
def carton(carton_id: str) -> Response:
    """One carton: as it came in, what was found in it, and what comes next."""
    shown = known_by_id(carton_id, lambda db: deliveries.carton_shown(db, carton_id, stamp(access.now())))
    return render("deliveries/one_carton.html", one=shown, words=WORDS)
