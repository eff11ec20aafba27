"""Sightings made in an audit: labels read from the hardware, and only then held against the record."""

from typing import Annotated, Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, func, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.audits import line_row
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.housings import asked_of_eyes
from registry.acts.references import resolve
from registry.acts.shapes import AuditRef, BayRef, LabelText, Line, Photos, SeatedHalfRef, Words, one_from, wrong
from registry.acts.sightings import differing, not_two_of_a_kind, sighted
from registry.domain.audits import (
    UNREAD,
    Told,
    looked_again,
    reasons_half_unread,
    reasons_not_running,
    reasons_of_fitter,
    say_outside,
    verdict_of_bay,
)
from registry.domain.matches import Half, match
from registry.domain.people import May
from registry.domain.texts import shown
from registry.domain.times import NEVER
from registry.domain.units import KINDS
from registry.errors import Offer, Reason
from registry.models.audit_lines import line_of_bay
from registry.models.audits import audit, audit_answer, audit_line
from registry.models.installs import installation_span
from registry.models.log import log_entry
from registry.models.seeks import EVER, in_force
from registry.models.sightings import discrepancy
from registry.models.sites import site
from registry.models.whereabouts import whereabouts

#: More than one person reads before they enter it.
MOST = 60
_audit = (
    select(audit.c.reference, audit.c.scope, audit.c.site_id, audit.c.opened_at, audit.c.closed_at, func.coalesce(audit.c.closed_seq, audit.c.seq).label("seq"), site.c.name.label("site"))
    .outerjoin(site, site.c.id == audit.c.site_id)
    .where(audit.c.id == bindparam("audit"))
)  # fmt: skip
#: What earlier looks at a line told and nobody has settled.
_earlier = select(discrepancy.c.id, discrepancy.c.words, discrepancy.c.noted_at).where(
    in_force(discrepancy, "noted_at", "settled_at"),
    discrepancy.c.seq.in_(select(audit_answer.c.seq).where(audit_answer.c.audit_line_id == bindparam("line"))),
)
_loose = select(audit_line.c.id, audit_line.c.half_id, audit_line.c.label).where(
    audit_line.c.audit_id == bindparam("audit"), audit_line.c.bay_id.is_(None)
)
_last = select(func.max(audit_line.c.number)).where(audit_line.c.audit_id == bindparam("audit"))
_fitter = (
    select(log_entry.c.done_by_id)
    .join(installation_span, installation_span.c.opened_by == log_entry.c.act_id)
    .where(installation_span.c.id == bindparam("span"))
)
Strangers = Annotated[list[LabelText], Field(max_length=MOST)]


class SightBay(Act, name="sight_bay", may=May.SIGHT, says="Sight a bay"):
    """Scan the bay, then what sits in it. Only then is it held against the record; it moves nothing."""

    audit: AuditRef = Field(title="Audit")
    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    sensor: SeatedHalfRef | None = Field(None, title="Sensor half found", description="Scan the half itself.")
    electronics: SeatedHalfRef | None = Field(None, title="Electronics half found", description="Scan the half itself.")
    strangers: Strangers = Field([], title="Labels the registry does not know", description="As they read, one a line.")
    sensor_unread: one_from(UNREAD) | None = Field(None, title="No sensor half was scanned")
    electronics_unread: one_from(UNREAD) | None = Field(None, title="No electronics half was scanned")
    empty: bool = Field(False, title="The bay is empty")
    words: Words | None = Field(None, title="In your words")
    files: Photos = Field([], title="Photos of what you found", description="They go with the bay.")

    _one_of_each_kind = model_validator(mode="before")(not_two_of_a_kind)

    @model_validator(mode="after")
    def _something_or_empty(self) -> "SightBay":
        if self.empty == bool(self.sensor or self.electronics or self.strangers):
            raise wrong("Say what you found: scan a half, or say that the bay is empty.")
        if self.empty and (self.sensor_unread or self.electronics_unread):
            raise wrong("A bay that is empty has no half that was not read. Say one of the two.")
        return self

    def decide(self, case: Case) -> Decision:
        ids = case.ids
        row = case.db.execute(_audit, {"audit": ids["audit"]}).one()
        found = [id_ for id_ in (ids["sensor"], ids["electronics"]) if id_]
        looked_up = seats.halves(case.db, found)
        known = {id_: looked_up[id_] for id_ in found}
        place = seats.bay_facts(case.db, ids["bay"], case.at)
        here = f"{place.vehicle}, bay {place.letter}"
        reasons = reasons_not_running(row.opened_at, row.closed_at, case.at)
        line = line_of_bay(case.db, ids["audit"], ids["bay"])
        if line is None:
            told = say_outside(here, row.reference)
            reasons.append(Reason("outside_audit", told, "bay", "Record what is in it by a sighting of its own.", Offer("record_sighting", "Record what is in it", {"bay": ids["bay"]})))  # fmt: skip
        reasons += [
            Reason("same_kind", f"{known[ids[name]]} is no {name} half.", name, "Scan it into the other field.")
            for name in ("sensor", "electronics")
            if ids[name] and known[ids[name]].kind != name
        ]
        reasons += _not_strange(case, self.strangers) + reasons_of_files(case, self.files) + self._unsaid()
        stay = seats.neighbours(case.db, "bay_id", ids["bay"], case.at).before
        stay = stay if stay and (stay.removed_at or NEVER) > case.at else None
        if stay:
            fitter = case.db.execute(_fitter, {"span": stay.id}).scalar()
            reasons += reasons_of_fitter(case.by, fitter, stay.pair, here, stay.installed_at)
        expected = [stay.sensor_id, stay.electronics_id] if stay else []
        told = self._held_against(case, line, here, self._read(case, expected), known)
        asked = [] if self.words else asked_of_eyes(case.db, ids["bay"], case.at)
        return Decision(reasons, {"line": line, **told}, row.seq, [told["told"], *asked])

    def _unread(self) -> dict[str, str | None]:
        return {"sensor": self.sensor_unread, "electronics": self.electronics_unread}

    def _unsaid(self) -> list[Reason]:
        """A label that nobody knows may stand for either half: then nothing is asked."""
        scanned = [kind for kind in KINDS if getattr(self, kind)]
        return [] if self.empty or self.strangers else reasons_half_unread(scanned, self._unread())

    def _read(self, case: Case, expected: list[str]) -> list[str]:
        """Those of the expected halves that this look can say anything of."""
        kinds = seats.halves(case.db, expected)
        return [id_ for id_ in expected if self._unread()[kinds[id_].kind] != "not_read"]

    def _held_against(
        self, case: Case, line: str | None, here: str, expected: list[str], known: dict[str, Half]
    ) -> dict[str, Any]:
        """What was found against the record, and against what an earlier look at this line told."""
        bay, found = case.ids["bay"], list(known)
        shown_ends = differing(case, bay, expected, found, case.at) + _odd_ends(bay, here, self.strangers)
        unread = [kind for kind, told in self._unread().items() if told == "not_read"]
        earlier = [Told(*row) for row in case.db.execute(_earlier, {"line": line, "at": case.at, "known": EVER})]
        ends, stands, gone = looked_again(shown_ends, earlier, case.at, complete=not unread)
        verdict = verdict_of_bay(expected, found, _is_whole(case, known), len(self.strangers))
        kept, seen = _said(seats.halves(case.db, expected).values()), _said(known.values(), self.strangers)
        told = _answer(verdict, kept, seen, shown_ends)
        if unread:
            more = "" if shown_ends else "; the line waits for another look"
            told["told"] += "".join(f" The {KINDS[kind]} was not read{more}." for kind in unread)
        answers = bool(shown_ends) or not unread
        return {
            "ends": ends,
            "stands": stands,
            "gone": gone,
            "answers": answers,
            "again": f"Sighted again: {seen}.",
            **told,
        }

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        halves = {"sensor": entry.ids.get("sensor"), "electronics": entry.ids.get("electronics")}
        bay, decided = entry.ids["bay"], entry.decided
        made = sighted(entry, entry.id, bay, halves, decided["ends"], entry.happened_at, decided.get("stands", ()))
        for id_ in decided.get("gone", ()):
            settled = {**entry.moment("settled"), "settled_by_id": entry.by, "answer": decided["again"]}
            made.append(Close("discrepancy", id_, settled))
        if decided.get("answers", True):
            made.append(_answer_row(entry, entry.id, decided["line"], decided, sighting=entry.id))
        return [*made, *file_rows(entry, "bay_id", bay, "sighting")]


class SightShelf(Act, name="sight_shelf", may=May.SIGHT, says="Sight what lies loose"):
    """Scan every half that lies on this shelf or bench. What the record has elsewhere is told at both ends; nothing moves."""

    audit: AuditRef = Field(title="Audit", description="An audit of a site.")
    halves: Annotated[list[SeatedHalfRef], Field(max_length=MOST)] = Field(
        [], title="Halves found", description="Scan each half itself, one a line."
    )
    strangers: Strangers = Field([], title="Labels the registry does not know", description="As they read, one a line.")
    spot: Line | None = Field(None, title="Shelf or bench")

    @model_validator(mode="after")
    def _something(self) -> "SightShelf":
        if not (self.halves or self.strangers):
            raise wrong("Say what you found: scan the halves that lie there.")
        return self

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_audit, {"audit": case.ids["audit"]}).one()
        reasons = reasons_not_running(row.opened_at, row.closed_at, case.at)
        if row.scope != "site":
            told = f"Audit {row.reference} looks at bays only."
            reasons.append(Reason("outside_audit", told, "audit", "Open an audit of the site for its shelves."))
        reasons += _not_strange(case, self.strangers)
        found = list(dict.fromkeys(case.ids["halves"]))
        known, places = seats.halves(case.db, found), whereabouts(case.db, found, case.at)
        lines = case.db.execute(_loose, {"audit": case.ids["audit"]}).all()
        listed = {line.half_id or line.label: line.id for line in lines}
        number = case.db.execute(_last, {"audit": case.ids["audit"]}).scalar() or 0
        here, answers = f"{row.site or ''}{f', {self.spot}' if self.spot else ''}", []
        for id_ in found:
            where = places[id_]
            as_recorded = where.bay_id is None and where.site_id == row.site_id
            words = f"{known[id_]} was sighted at {here}; the record has it {where.say()}."
            ends = [] if as_recorded else [{"bay": where.bay_id, "half": id_, "words": words}]
            told = _answer("sighted" if as_recorded else "elsewhere", where.say(), f"{known[id_]}, at {here}", ends)
            answers.append({"half": id_, "ends": ends, **told})
        for text in dict.fromkeys(self.strangers):
            words = f"A half labelled “{shown(text)}” lies at {here}; the registry does not know it."
            answers.append(
                {"label": shown(text), "ends": [], **_answer("stranger", "", shown(text), [{"words": words}])}
            )
        for answer in answers:
            answer["line"] = listed.get(answer.get("half") or answer.get("label"))
            number += answer["line"] is None
            answer["number"] = None if answer["line"] else number
        remarks = [answer["told"] for answer in answers if answer["verdict"] != "sighted"]
        return Decision(reasons, {"answers": answers}, row.seq, remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        made: list[Effect] = []
        for number, answer in enumerate(entry.decided["answers"], 1):
            line = answer["line"]
            if line is None:
                added = line_row(
                    entry, entry.ids["audit"], answer["number"], half=answer.get("half"), label=answer.get("label")
                )
                made.append(added)
                line = added.row["id"]
            id_ = entry.id if number == 1 else entry.derived(f"answer:{number}")
            made.append(_answer_row(entry, id_, line, answer))
            for end in answer["ends"]:
                open_ = {**entry.moment("noted"), **no_moment("settled")}
                told = {"bay_id": end["bay"], "half_id": end["half"], "words": end["words"]}
                made.append(Add("discrepancy", {"id": entry.derived(f"end:{number}"), **told, **open_}))
        return made


def _is_whole(case: Case, known: dict[str, Half]) -> bool:
    """Whether what was found is one pair."""
    halves = list(known.values())
    return len(halves) == 2 and match(halves[0], halves[1], seats.pairings(case.db, known), case.at).verdict == "whole"


def _not_strange(case: Case, strangers: list[str]) -> list[Reason]:
    """A label that the registry does know is no stranger’s."""
    found = [(text, resolve(case.db, "half", text, case.at)) for text in strangers]
    return [
        Reason("wrong_form", f"The registry knows a half labelled “{shown(text)}”.", "strangers", "Scan it with the halves found.")
        for text, one in found
        if not isinstance(one, Reason) or one.code in ("ambiguous_label", "copy_label")
    ]  # fmt: skip


def _odd_ends(bay: str, here: str, strangers: list[str]) -> list[dict[str, Any]]:
    words = "A half labelled “{}” sits in {}; the registry does not know it."
    return [{"bay": bay, "half": None, "words": words.format(shown(text), here)} for text in dict.fromkeys(strangers)]


def _said(halves: Any, strangers: list[str] = ()) -> str:  # type: ignore[assignment]
    return " and ".join([*(one.say() for one in halves), *(f"“{shown(text)}”" for text in strangers)]) or "nothing"


def _answer(verdict: str, expected: str, found: str, ends: list[dict[str, Any]]) -> dict[str, str]:
    told = " ".join(end["words"] for end in ends) if ends else "As recorded."
    return {"verdict": verdict, "expected": expected, "found": found, "told": told}


def _answer_row(entry: Entry, id_: str, line: str, answer: dict[str, Any], sighting: str | None = None) -> Add:
    told = {name: answer[name] for name in ("verdict", "expected", "found", "told")}
    keys = {"audit_id": entry.ids["audit"], "audit_line_id": line, "sighting_id": sighting, "by_id": entry.by}
    return Add("audit_answer", {"id": id_, **keys, **told, **entry.moment("answered")})
