"""Physical audits: opened with a scope, closed when every line is answered."""

from collections.abc import Iterator
from typing import Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import AuditLineRef, AuditRef, Line, SiteRef, VehicleRef, Words, one_from, wrong
from registry.domain.audits import ANSWERS, counts_of, reasons_not_running, reasons_not_to_close, say_not_settled
from registry.domain.people import May
from registry.errors import Reason
from registry.models.audit_lines import audit_row, ends_open, lines_left, newest_answer
from registry.models.audits import audit, audit_answer, audit_line
from registry.models.fleet import bay, vehicle, vehicle_place
from registry.models.seeks import AT, EVER, KNOWN, newest
from registry.models.units import half, retirement
from registry.models.whereabouts import whereabouts

AGAINST = "The record of pairs, stays and places in this registry, as it stood when each line was read."
_named = select(audit.c.id).where(audit.c.reference == bindparam("reference"))
_places = vehicle_place.alias("places")
_gone = select(retirement.c.vehicle_id).where(retirement.c.vehicle_id.is_not(None), retirement.c.retired_at <= AT)
_bays = (
    select(bay.c.id, bay.c.vehicle_id, vehicle_place.c.site_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(vehicle_place, vehicle_place.c.id == newest(_places, "since_at", _places.c.vehicle_id == vehicle.c.id))
    .where(bay.c.seq <= KNOWN, vehicle.c.id.not_in(_gone))
    .order_by(vehicle.c.name, bay.c.from_bow_m, bay.c.letter)
)
_scrapped = select(retirement.c.half_id).where(retirement.c.half_id.is_not(None), retirement.c.retired_at <= AT)
_halves = (
    select(half.c.id).where(half.c.id.not_in(_scrapped)).order_by(half.c.unit_type_id, half.c.kind, half.c.code)
)  # fmt: skip
_answered = (
    select(audit_answer.c.verdict)
    .select_from(audit_line)
    .outerjoin(audit_answer, audit_answer.c.id == newest_answer)
    .where(audit_line.c.audit_id == bindparam("audit"))
)
#: Fewer than one statement may name, on either engine.
_MANY = 5000


class OpenAudit(Act, name="open_audit", may=May.AUDIT, pin=True, says="Open an audit"):
    """Hold what is built against the record, hardware first. Who fitted a pair does not sight it."""

    audit: Line = Field(title="Name of the audit")
    site: SiteRef | None = Field(None, title="Site", description="For its vehicles’ bays and what lies on its shelves.")
    vehicle: VehicleRef | None = Field(
        None, title="Vehicle", description="For its bays. Neither: every bay of the fleet."
    )
    against: Words | None = Field(
        None, title="Documents it is held against", description=f"Empty: {AGAINST[0].lower()}{AGAINST[1:]}"
    )

    @model_validator(mode="after")
    def _one_scope(self) -> "OpenAudit":
        if self.site is not None and self.vehicle is not None:
            raise wrong("An audit looks at a site or at a vehicle, or at the whole fleet; not at both.")
        return self

    def decide(self, case: Case) -> Decision:
        reasons = []
        if case.db.execute(_named, {"reference": self.audit}).first():
            reasons.append(
                Reason("already_known", f"There is an audit {self.audit}.", "audit", "Give it another name.")
            )
        scope = "site" if self.site else "vehicle" if self.vehicle else "fleet"
        lines = list(_lines(case, scope))
        if not lines:
            told = "Nothing lies in that scope: no bay, and no half on a shelf."
            reasons.append(Reason("outside_audit", told, None, "Look at where the vehicles are."))
        return Decision(reasons, {"scope": scope, "lines": lines})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, ids = entry.body, entry.ids
        row = {
            "id": entry.id, "reference": body["audit"], "scope": entry.decided["scope"], "site_id": ids.get("site"), "vehicle_id": ids.get("vehicle"),
            "against": body["against"] or AGAINST, "auditor_id": entry.by, **entry.moment("opened"), **no_moment("closed"), "closed_by_id": None, "words": None,
        }  # fmt: skip
        lines = [line_row(entry, entry.id, number, **one) for number, one in enumerate(entry.decided["lines"], 1)]
        return [Add("audit", row), *lines]


class AnswerLine(Act, name="answer_line", may=May.SIGHT, says="Answer a line of an audit"):
    """A line whose hardware cannot be read: it was not opened, or looked for and not there; or what a stranger is."""

    line: AuditLineRef = Field(title="Line")
    answer: one_from(ANSWERS, unset=True) = Field(title="Answer")
    because: Words = Field(title="Because")

    def decide(self, case: Case) -> Decision:
        row = audit_row(case.db, case.ids["line"])
        reasons = reasons_not_running(row.opened_at, row.closed_at, case.at)
        if (self.answer == "explained") != (row.label is not None):
            told = "Only a half that the registry does not know is explained; all else is read, missing or not opened."
            reasons.append(Reason("wrong_form", told, "answer", "Choose the answer that fits the line."))
        if self.answer == "missing" and row.bay_id:
            told = "A bay that holds nothing is sighted as empty; nobody needs to answer for it."
            reasons.append(Reason("wrong_form", told, "answer", "Scan the bay, and say that it is empty."))
        end: list[dict[str, Any]] = []
        if self.answer == "missing" and row.half_id:
            one = seats.halves(case.db, [row.half_id])[row.half_id]
            where = whereabouts(case.db, [one.id], case.at)[one.id]
            words = f"{one} was looked for in audit {row.reference} and not there; the record has it {where.say()}."
            end = [{"bay": None, "half": one.id, "words": words}]
        return Decision(reasons, {"audit": row.id, "ends": end}, row.seq, [one["words"] for one in end])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {
            "id": entry.id, "audit_id": entry.decided["audit"], "audit_line_id": entry.ids["line"], "sighting_id": None,
            "verdict": entry.body["answer"], "expected": "", "found": "", "told": entry.body["because"], "by_id": entry.by,
        }  # fmt: skip
        made: list[Effect] = [Add("audit_answer", {**row, **entry.moment("answered")})]
        for number, end in enumerate(entry.decided["ends"]):
            open_ = {**entry.moment("noted"), **no_moment("settled")}
            told = {"bay_id": end["bay"], "half_id": end["half"], "words": end["words"]}
            made.append(Add("discrepancy", {"id": entry.derived(f"end:{number}"), **told, **open_}))
        return made


class CloseAudit(Act, name="close_audit", may=May.AUDIT, pin=True, says="Close the audit"):
    """Every line is answered: sighted, or said why not. From then on its certificate stands."""

    audit: AuditRef = Field(title="Audit")
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        id_ = case.ids["audit"]
        row = case.db.execute(select(audit).where(audit.c.id == bindparam("audit")), {"audit": id_}).one()
        reasons = reasons_not_running(row.opened_at, row.closed_at, case.at)
        reasons += reasons_not_to_close(lines_left(case.db, id_))
        verdicts = case.db.execute(_answered, {"audit": id_}).scalars()
        ends = ends_open(case.db, id_, case.at)
        remarks = [told] if (told := say_not_settled(ends)) else []
        return Decision(reasons, {"counts": counts_of(verdicts), "open_ends": ends}, row.seq, remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {**entry.moment("closed"), "closed_by_id": entry.by, "words": entry.body["words"] or ""}
        return [Close("audit", entry.ids["audit"], told)]


def _lines(case: Case, scope: str) -> Iterator[dict[str, str]]:
    """The places of a scope, in the order they are walked: bays vehicle by vehicle, then what lies on shelves."""
    keys = {"at": case.at, "known": EVER}
    for row in case.db.execute(_bays, keys):
        if scope == "fleet" or case.ids[scope] == (row.site_id if scope == "site" else row.vehicle_id):
            yield {"bay": row.id}
    if scope == "site":
        ids = list(case.db.execute(_halves, keys).scalars())
        for start in range(0, len(ids), _MANY):
            some = ids[start : start + _MANY]
            places = whereabouts(case.db, some, case.at)
            yield from ({"half": id_} for id_ in some if places[id_].site_id == case.ids["site"])


def line_row(
    entry: Entry, audit_id: str, number: int, bay: str | None = None, half: str | None = None, label: str | None = None
) -> Add:
    """One line; its id follows from the entry and its number."""
    told = {"audit_id": audit_id, "number": number, "bay_id": bay, "half_id": half, "label": label}
    return Add("audit_line", {"id": entry.derived(f"line:{number}"), **told})
