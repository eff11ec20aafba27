"""Loans of vehicles and pairs: entered, given another day of return, ended."""

from typing import Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import DayText, Line, LoanRef, PairRef, PersonRef, SiteRef, VehicleRef, Words, one_from, wrong
from registry.acts.spells import reasons_not_to_end
from registry.domain.loans import DIRECTIONS, reasons_away
from registry.domain.people import May
from registry.domain.times import say, say_day
from registry.errors import Reason
from registry.models.away import away
from registry.models.movement import half_away, loan
from registry.models.pairings import pairing
from registry.models.seeks import EVER, in_force
from registry.models.whereabouts import whereabouts

_running = select(loan.c.partner, loan.c.lent_at, loan.c.seq).where(
    loan.c.vehicle_id.is_not_distinct_from(bindparam("vehicle", type_=loan.c.vehicle_id.type)),
    loan.c.pairing_id.is_not_distinct_from(bindparam("pairing", type_=loan.c.pairing_id.type)),
    in_force(loan, "lent_at", "returned_at"),
)
_one = select(loan).where(loan.c.id == bindparam("loan"))
_halves = select(pairing.c.name, pairing.c.sensor_id, pairing.c.electronics_id, pairing.c.ended_at).where(
    pairing.c.id == bindparam("pairing")
)
_away_on = select(half_away.c.id, half_away.c.half_id).where(
    half_away.c.loan_id == bindparam("loan"), half_away.c.returned_at.is_(None)
)


class EnterLoan(Act, name="enter_loan", may=May.FLEET, happened=True, says="Enter a loan"):
    """A vehicle or a pair is lent, or borrowed: to whom, until when, and who answers for it."""

    vehicle: VehicleRef | None = Field(None, title="Vehicle")
    pair: PairRef | None = Field(None, title="Pair", description="Scan one of its halves.")
    direction: one_from(DIRECTIONS) = Field("out", title="Lent or borrowed")
    partner: Line = Field(title="Their house", description="An outfit’s name; nobody’s own name.")
    answers: PersonRef = Field(title="Who answers for it")
    return_on: DayText = Field(title="Due back on")
    words: Words | None = Field(None, title="In your words")

    @model_validator(mode="after")
    def _of_one_thing(self) -> "EnterLoan":
        if (self.vehicle is None) == (self.pair is None):
            raise wrong("A loan is of a vehicle or of a pair.")
        return self

    def decide(self, case: Case) -> Decision:
        keys = {"vehicle": case.ids["vehicle"], "pairing": case.ids["pair"], "at": case.at, "known": EVER}
        reasons, gone = _of_day(self.return_on, case.at), []
        running = case.db.execute(_running, keys).first()
        if running:
            told = f"It is on loan since {say(running.lent_at)}: {running.partner}."
            reasons.append(Reason("already_so", told, "vehicle" if self.vehicle else "pair", "Enter its return first."))
        if self.pair and self.direction == "out" and not running:
            row = case.db.execute(_halves, {"pairing": case.ids["pair"]}).one()
            gone = [row.sensor_id, row.electronics_id]
            reasons += reasons_not_loose(case, gone, "pair")
        return Decision(reasons, {"gone": gone}, running.seq if running else 0)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, ids = entry.body, entry.ids
        things = {"vehicle_id": ids.get("vehicle"), "pairing_id": ids.get("pair")}
        told = {"direction": body["direction"], "partner": body["partner"], "words": body["words"] or "", "said": None}
        row = {"id": entry.id, **things, **told, "answers_id": ids["answers"]}
        made: list[Effect] = [Add("loan", {**row, **entry.moment("lent"), **no_moment("returned")})]
        made.append(_due_row(entry, entry.id, body["return_on"], ""))
        for half in entry.decided["gone"]:
            made.append(away_row(entry, half, "loan", body["partner"], loan_id=entry.id))
        return made


class AgreeReturn(Act, name="agree_return", may=May.FLEET, says="Agree another day of return"):
    """Another day of return was agreed with the other house. The day before stays in the record."""

    loan: LoanRef = Field(title="Loan")
    return_on: DayText = Field(title="Due back on")
    words: Words = Field(title="Why, and with whom it was agreed")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"loan": case.ids["loan"]}).one()
        return Decision(_not_running(row, case.at) + _of_day(self.return_on, case.at), touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_due_row(entry, entry.ids["loan"], entry.body["return_on"], entry.body["words"])]


class ReturnLoan(Act, name="return_loan", may=May.MOVE, happened=True, says="Enter the return of a loan"):
    """It is back where it belongs. What sits in a vehicle that was lent counts as not confirmed until it is sighted."""

    loan: LoanRef = Field(title="Loan")
    site: SiteRef | None = Field(None, title="Where it lies now", description="Needed for what was lent by you.")
    spot: Line | None = Field(None, title="Shelf or bench", description="For a pair.")
    words: Words | None = Field(None, title="In what state")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"loan": case.ids["loan"]}).one()
        reasons = _not_running(row, case.at)
        if row.direction == "out" and self.site is None:
            reasons.append(
                Reason("missing_field", "Say where it lies now.", "site", "Choose the site it came back to.")
            )
        gone = case.db.execute(_away_on, {"loan": row.id}).all() if not reasons else []
        stays = None
        if row.vehicle_id and self.site and not reasons:
            place = seats.vehicle_site(case.db, row.vehicle_id, case.at)
            stays = place is not None and place.site_id == case.ids["site"]
        remarks = ["Sight every bay of it: what sits there is not confirmed since the loan."] if row.vehicle_id and row.direction == "out" else []  # fmt: skip
        told = {"away": [[one.id, one.half_id] for one in gone], "vehicle": None if stays else row.vehicle_id}
        return Decision(reasons, told, row.seq, remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        words = entry.body["words"] or ""
        made: list[Effect] = [Close("loan", entry.ids["loan"], {**entry.moment("returned"), "said": words})]
        for away_id, half_id in entry.decided["away"]:
            made.append(back_row(entry, away_id, "untouched", words))
            made.append(place_row(entry, half_id))
        site, vehicle = entry.ids.get("site"), entry.decided["vehicle"]
        if site and vehicle:
            row = {"id": entry.derived("place"), "vehicle_id": vehicle, "site_id": site, **entry.moment("since")}
            made.append(Add("vehicle_place", {**row, "by_act": entry.id}))
        return made


def reasons_not_loose(case: Case, halves: list[str], field: str) -> list[Reason]:
    """Only what lies loose in the house can leave it by itself."""
    known, places = seats.halves(case.db, halves), whereabouts(case.db, halves, case.at)
    gone = away(case.db, halves, case.at)
    reasons = []
    for id_ in halves:
        if places[id_].bay_id:
            told = f"{known[id_]} sits {places[id_].say()}."
            reasons.append(Reason("pair_installed", told, field, "Remove the pair first, or enter it of the vehicle."))
        reasons += reasons_away(gone.get(id_), str(known[id_]), field)
    return reasons


def away_row(entry: Entry, half: str, cause: str, keeper: str, loan_id: str | None = None, **told: Any) -> Add:
    """A half leaves the house."""
    row = {"id": entry.derived(f"away:{half}"), "half_id": half, "loan_id": loan_id, "cause": cause, "keeper": keeper}
    rest = {"reference": "", "due_on": None, "words": "", **told, "outcome": None, "said": None}
    return Add("half_away", {**row, **rest, **entry.moment("since"), **no_moment("returned")})


def back_row(entry: Entry, away_id: str, outcome: str, words: str) -> Close:
    """A half is back, or will not come."""
    return Close("half_away", away_id, {**entry.moment("returned"), "outcome": outcome, "said": words})


def place_row(entry: Entry, half: str) -> Add:
    """Where a half lies that came back."""
    row = {"id": entry.derived(f"place:{half}"), "half_id": half, "site_id": entry.ids["site"]}
    return Add("half_place", {**row, "spot": entry.body["spot"] or "", **entry.moment("since"), "by_act": entry.id})


def _due_row(entry: Entry, loan_id: str, day: str, words: str) -> Add:
    row = {"id": entry.derived("due"), "loan_id": loan_id, "due_on": day, "words": words}
    return Add("loan_due", {**row, **entry.moment("agreed")})


def _of_day(day: str, at: str) -> list[Reason]:
    if day >= at[:10]:
        return []
    told = f"{say_day(day)} is before {say_day(at)}."
    return [Reason("wrong_form", told, "return_on", "Enter the day on which it is due back.")]


def _not_running(row: Any, at: str) -> list[Reason]:
    return reasons_not_to_end(
        row.lent_at, row.returned_at, at, "loan", over="It came back on {}.", begun="It began at {}; it cannot end before.", nothing="There is nothing to enter.",
    )  # fmt: skip
