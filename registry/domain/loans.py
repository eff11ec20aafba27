"""Loans of vehicles and pairs, and stays of halves at repair: who answers, when they are due back, what their return asks."""

from dataclasses import dataclass
from datetime import date

from registry.domain.findings import Finding
from registry.domain.times import say, say_day
from registry.errors import Offer, Reason

DIRECTIONS = {"out": "lent to them", "in": "borrowed from them"}
CAUSES = {"repair": "at repair", "loan": "on loan"}
#: What came of a half’s stay at repair.
OUTCOMES = {
    "untouched": "came back as it was",
    "repaired": "was repaired or adjusted",
    "kept": "does not come back; another half takes its place",
}
#: What each asks next: a repair is the end of what the maker said of the pair in writing.
FOLLOWS = {
    "untouched": "Its pair stands; verify it before it goes into a vehicle.",
    "repaired": "Its pair has ended: enter the new statement when the maker sends it.",
    "kept": "Retire it, receive the half that came instead, and enter the new statement.",
}


@dataclass(frozen=True, slots=True)
class Away:
    """A half that is away: at repair or on loan, with whom, since when, due back on a day if one was agreed."""

    id: str
    half_id: str
    cause: str
    keeper: str
    since_at: str
    due_on: str | None
    loan_id: str | None = None
    seq: int = 0

    def say(self) -> str:
        return f"{CAUSES[self.cause]}, {self.keeper}, since {say_day(self.since_at)}"


@dataclass(frozen=True, slots=True)
class Loan:
    """A loan that is running."""

    id: str
    direction: str
    partner: str
    answers: str
    since_at: str
    due_on: str
    seq: int = 0


def reasons_away(away: Away | None, half: str, field: str) -> list[Reason]:
    """A half that is away goes nowhere until its return is entered; `half` names it."""
    if away is None:
        return []
    act, label = (
        ("return_from_repair", "Enter its return") if away.cause == "repair" else ("return_loan", "Enter its return")
    )
    fields = {"half": away.half_id} if away.cause == "repair" else {"loan": away.loan_id or ""}
    return [Reason("away", f"{half} is {away.say()}.", field, "Enter its return first.", Offer(act, label, fields))]


def days_overdue(due_on: str | None, at: str) -> int:
    """Days since the day on which something was due back; a day ends at 24:00 UTC."""
    return max((date.fromisoformat(at[:10]) - date.fromisoformat(due_on)).days, 0) if due_on else 0


def say_due(due_on: str | None, at: str) -> str:
    """`due back on 3 June 2026`, `12 days overdue since 3 June 2026`, or that no day was agreed."""
    if due_on is None:
        return "no day of return was agreed"
    late = days_overdue(due_on, at)
    if late:
        return f"{late} {'day' if late == 1 else 'days'} overdue: it was due back on {say_day(due_on)}"
    return f"due back on {say_day(due_on)}"


def finding_of_loan(loan: Loan, at: str) -> Finding:
    """That a vehicle is on loan, and when it is due back. It stands against nothing."""
    fact = f"On loan to {loan.partner}" if loan.direction == "out" else f"Borrowed from {loan.partner}"
    due = say_due(loan.due_on, at)
    late = "loan_overdue" if days_overdue(loan.due_on, at) else "on_loan"
    if late == "loan_overdue":
        fact = f"{fact}, overdue"
    told = f"Since {say(loan.since_at)}, {due}. {loan.answers} answers for it."
    return Finding(
        "note", late, fact, told, loan.seq, offer=Offer("return_loan", "Enter its return", {"loan": loan.id})
    )
