"""The log: entries newest first, one entry whole with its proof, and the signed checkpoint."""

import base64
import json

from flask import Blueprint, Response, abort, make_response, request

from registry import access
from registry.acts import log as acts_log
from registry.acts import tree
from registry.acts.act import Deed
from registry.acts.catalogue import ACTS
from registry.domain.amendments import WITHDRAWABLE
from registry.domain.carrying import NOT_ASKED
from registry.domain.people import May
from registry.queries import log
from registry.queries.attachments import files_of_entry
from registry.web.page import render

bp = Blueprint("log", __name__)
PAGE = 50
#: Which acts state which instants that can be amended.
_INSTANTS = [
    (("remove_pair", "swap_pairs"), "removed"),
    (("install_pair", "swap_pairs"), "installed"),
    (("move_halves", "move_vehicle", "receive_half"), "moved"),
]


@bp.get("/log")
def every() -> Response:
    """Entries, newest first."""
    with access.instance().database.reading() as db:
        size = log.size(db)
        text = request.args.get("upto", "")
        upto = min(int(text), size) if text.isascii() and text.isdigit() and len(text) < 16 else size
        entries = log.entries(db, upto, PAGE)
    return render("log/log.html", entries=entries, upto=upto, step=PAGE, acts=ACTS)


@bp.get("/log/<int:seq>")
def one(seq: int) -> Response:
    """One entry: what it says, and the proof that it stands in the log as it is now."""
    with access.instance().database.reading() as db:
        shown = log.entry(db, seq) if seq < 2**53 else None
        if shown is None:
            abort(404)
        files = files_of_entry(db, seq, shown.hashes)
        amending = log.amending(db, shown)
        size = log.size(db)
        proof = [
            base64.b64encode(step).decode() for step in tree.inclusion_proof(seq - 1, size, acts_log.node_reader(db))
        ]
    stated = [name for acts, name in _INSTANTS if shown.act in acts]
    instants = {
        f"changes-{number}-{key}": value
        for number, name in enumerate(stated)
        for key, value in (("act", shown.act_id), ("instant", name))
    }
    names = {"amends": shown.act_id}
    ways = [("amend_times", instants)] if instants else []
    ways += [("amend_bay", names)] if shown.act in ("install_pair", "swap_pairs") else []
    ways += [("amend_person", names)] if shown.act in ACTS and issubclass(ACTS[shown.act], Deed) else []
    ways += [("amend_mission", {"mission": shown.mission})] if shown.mission else []
    ways += [("withdraw_acts", {"acts": shown.act_id})] if shown.act in WITHDRAWABLE else []
    told = json.dumps(shown.told, indent=2, ensure_ascii=False)
    return render(
        "log/entry.html",
        entry=shown,
        files=files,
        not_asked=NOT_ASKED,
        may_read=bool(access.person().roles & May.EXPORT),
        told=told,
        proof=proof,
        size=size,
        leaf=base64.b64encode(shown.leaf).decode(),
        acts=ACTS,
        amending=amending,
        ways=[] if any(row.words == log.TAKEN_BACK for row in amending) else ways,
    )


@bp.get("/log/checkpoint")
def checkpoint() -> Response:
    """The signed checkpoint of the log as it stands, to keep somewhere else."""
    instance = access.instance()
    with instance.database.reading() as db:
        key, head = instance.log_key(db), acts_log.head(db)
        note = key.sign(head.size, acts_log.root(db, head.size))
    response = make_response(note)
    response.headers["Content-Type"] = "text/plain; charset=utf-8"
    response.headers["Content-Disposition"] = f'attachment; filename="pairbook-checkpoint-{head.size}.txt"'
    return response
