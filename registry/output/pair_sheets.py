"""The pair sheet: two halves that belong together, by which statement; where they are and were; how they were verified; what
stands against them, and what happened to them."""

import sqlalchemy as sa

from registry.domain.alignments import say_state
from registry.domain.codes import say_code
from registry.domain.freshness import say_seen
from registry.domain.times import say, say_briefly, say_day, say_short
from registry.domain.units import GRADES
from registry.domain.verifications import KINDS, REVIEWS, VERDICTS
from registry.errors import Reason, Refused
from registry.output.sheets import Question, Sheet, proof_of
from registry.queries.alignments import bay_alignments
from registry.queries.pairings import PairPage, pair_page
from registry.queries.verifications import PairVerified

#: Lines of history on paper; all of it stands on the page the symbol leads to.
MOST_EVENTS = 25
_DISCS = {
    "whole": "{} is whole",
    "hold": "{} is on hold",
    "mixed": "{}: a half was sighted elsewhere",
    "former": "{}: were a pair once",
}
_TOGETHER = "These two halves left the maker as one pair and belong together. Neither works rightly with any other."


def pair_sheet(db: sa.Connection, pairing_id: str, question: Question, printed_at: str) -> bytes:
    """The sheet of one pair as PDF. Raises `Refused` when it was not known then."""
    known = question.known(db)
    page = pair_page(db, pairing_id, question.at, known)
    if page is None:
        raise Refused(Reason("not_found", "That pair was not known then.", next="Ask for a later instant."))
    sheet = Sheet("pair sheet", proof_of(db, printed_at))
    lede = "They belong together no longer." if page.ended_at else _TOGETHER
    sheet.head(f"{_DISCS[page.disc].format(page.name)}.", lede, question.turned(f"/pairs/{page.id}"))
    _whose(sheet, page, question)
    _places(sheet, page)
    _verified(sheet, page.verified)
    if page.stay:
        _alignment(sheet, db, page.stay.bay_id, question.at, known)
    _holds(sheet, page)
    _history(sheet, page)
    return sheet.pdf()


def _whose(sheet: Sheet, page: PairPage, question: Question) -> None:
    stay = page.stay
    apart = f"sensor half {page.sensor.where.say()}, electronics half {page.electronics.where.say()}"
    where = f"{stay.vehicle}, bay {stay.letter}, since {say(stay.installed_at)}" if stay else apart
    sheet.facts(
        [
            ("As it stood on", say(question.at)),
            ("This sheet answers", question.say()),
            ("Where", where),
            ("Last scanned there", say_seen(stay.confirmed_at, page.mission_days) if stay else ""),
            ("Second person’s check", stay.checked.told if stay else ""),
            ("Statement", f"{page.statement}, {GRADES[page.grade]}, dated {say_day(page.stated_on)}"),
            ("A pair since", say(page.paired_at)),
            ("Ended", f"{say(page.ended_at)}: {page.end_reason}" if page.ended_at else ""),
        ]
    )
    sheet.heading("Two halves")
    halves = (page.sensor, page.electronics)
    rows = [
        ("Code", *(say_code(half.code) for half in halves)),
        ("Maker and type", *(half.type_name for half in halves)),
        ("Part", *(half.part for half in halves)),
        ("Serial", *(half.serial for half in halves)),
        ("Revision", *(half.revision for half in halves)),
        ("Firmware", *(half.firmware or "not read" for half in halves)),
        ("Where", *(half.where.say() for half in halves)),
    ]
    sheet.table(("", "Sensor half", "Electronics half"), rows, (34, 70, 70))


def _places(sheet: Sheet, page: PairPage) -> None:
    sheet.heading("In a vehicle, newest first" if page.stays else "It has not been in a vehicle.")
    rows = [
        (
            f"{one.vehicle}, bay {one.letter}", say_briefly(one.installed_at), say_briefly(one.removed_at, "sits there"),
            say_briefly(one.confirmed_at, "never"), f"{one.seq:,}",
        )
        for one in reversed(page.stays)
    ]  # fmt: skip
    sheet.table(("Where", "In", "Out", "Last scanned there", "Entry"), rows, (39, 39, 39, 39, 18))


def _verified(sheet: Sheet, verified: PairVerified) -> None:
    sheet.heading("Verification")
    sheet.paragraph(verified.due.say() if verified.due else "Nothing falls due: it is a pair no longer.")
    rows = [
        (
            say_briefly(one["verified_at"]), KINDS[one["kind"]].capitalize(), VERDICTS[one["verdict"]],
            f"{say_short(one['reviewed_at'])}: {REVIEWS[one['review']]}" if one["reviewed_at"] else "awaiting review", f"{one['seq']:,}",
        )
        for one in verified.verifications
    ]  # fmt: skip
    sheet.table(("When", "Kind", "Verdict", "Reviewed", "Entry"), rows, (39, 50, 32, 36, 17))
    if verified.numbers:
        sheet.heading("Its own number: heading found on a surveyed mark, degrees")
        sheet.paragraph(verified.told)
        rows = [
            (
                say_briefly(one.at), _signed(one.as_found), _signed(one.as_left), f"{one.u:.3f}" if one.u else "not stated",
                VERDICTS[one.verdict] + (", never looked like this" if one.jumped else ""), f"{one.seq:,}",
            )
            for one in reversed(verified.numbers)
        ]  # fmt: skip
        sheet.table(("When", "As found", "As left", "u", "Verdict", "Entry"), rows, (39, 22, 22, 24, 50, 17))
    rows = [
        (one["certificate"], say_day(one["calibrated_on"]), one["place"], f"{one['seq']:,}")
        for one in verified.calibrations
    ]
    sheet.heading("Factory calibration" if rows else "No factory certificate is entered.")
    sheet.table(("Certificate", "Day", "Place", "Entry"), rows, (60, 38, 59, 17))


def _signed(degrees: float | None) -> str:
    return "—" if degrees is None else f"{degrees:+.3f}"


def _alignment(sheet: Sheet, db: sa.Connection, bay_id: str, at: str, known: int) -> None:
    aligned = bay_alignments(db, bay_id, at, known)
    one = aligned.standing.alignment
    sheet.heading("Alignment in force")
    sheet.paragraph(f"{say_state(one)} {one.told} {one.outdated} Entry {one.seq:,}." if one else "None on record.")
    rows = [(row.what, row.figure, row.words, row.sigma) for row in aligned.settings]
    sheet.table(("Enter in the unit", "Figure", "What it means", "Sigma"), rows, (52, 38, 54, 30))


def _holds(sheet: Sheet, page: PairPage) -> None:
    sheet.heading("Holds" if page.holds else "Never on hold.")
    rows = [
        (one.on, one.reason, say_briefly(one.placed_at), say_briefly(one.released_at, "not released"), f"{one.seq:,}")
        for one in page.holds
    ]
    sheet.table(("On", "Why", "Placed", "Released", "Entry"), rows, (26, 53, 39, 39, 17))
    for told in page.differences:
        sheet.paragraph(f"Not settled: {told}")


def _history(sheet: Sheet, page: PairPage) -> None:
    shown = page.events[:MOST_EVENTS]
    more = f", the newest {MOST_EVENTS} of {len(page.events)}" if len(page.events) > MOST_EVENTS else ""
    sheet.heading(f"History{more}")
    rows = [(say_briefly(one.at), f"{one.words} {one.amended}".strip(), one.by, f"{one.seq:,}") for one in shown]
    sheet.table(("When", "What", "Who", "Entry"), rows, (39, 86, 32, 17))
