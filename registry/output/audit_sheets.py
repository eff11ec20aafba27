"""The certificate of an audit on paper: counts, discrepancies and every line, with the log as it was when the audit was closed."""

import sqlalchemy as sa

from registry.domain.audits import VERDICTS
from registry.domain.times import say, say_briefly
from registry.errors import Reason, Refused
from registry.output.audits import Certificate, certificate
from registry.output.sheets import Question, Sheet, proof_of
from registry.queries.audits import LineShown


def audit_sheet(db: sa.Connection, audit_id: str, question: Question, printed_at: str) -> bytes:
    """The certificate of a closed audit as PDF. Raises `Refused` while it is open."""
    one = certificate(db, audit_id, question.at)
    if one is None:
        told = "That audit is not closed yet: it has no certificate."
        raise Refused(Reason("not_open", told, next="Answer every line, then close it."))
    sheet = Sheet("audit certificate", proof_of(db, printed_at))
    lines = "line" if one.total == 1 else "lines"
    lede = f"{one.as_recorded} of {one.total} {lines} sighted as recorded. {one.told_not_settled}".strip()
    sheet.head(f"Audit {one.reference}", lede, f"/audits/{audit_id}/certificate")
    _what(sheet, one)
    sheet.heading("Discrepancies" if one.discrepancies else "No discrepancies.")
    for end in one.discrepancies:
        settled = f"Settled {say(end['settled_at'])} by {end['settled_by']}, entry {end['closed_seq']:,}: {end['answer']}" if end["settled_at"] else ""  # fmt: skip
        noted = f"Noted {say(end['noted_at'])}, entry {end['seq']:,}."
        sheet.item("Settled" if settled else "Not settled", end["words"], [noted, settled], 0.6 if settled else 6.0)
    sheet.heading("Lines")
    rows = [
        (line.place, line.expected or "—", "the same" if line.verdict == "sighted" else line.found or "—", _answer(line), f"{line.seq:,}" if line.seq else "")
        for line in one.lines
    ]  # fmt: skip
    sheet.table(("Place", "Expected", "Found", "Answer", "Entry"), rows, (36, 36, 36, 50, 16))
    sheet.heading("The log when it was closed")
    sheet.facts([("Entries", f"{one.log_size:,}"), ("Root", one.root)])
    sheet.paragraph("Anyone with a later copy of the log can show that these entries stand in it unchanged.")
    return sheet.pdf()


def _what(sheet: Sheet, one: Certificate) -> None:
    sheet.facts(
        [
            ("Kind", one.what_it_is),
            ("Scope", f"{one.scope[0].upper()}{one.scope[1:]}{': ' + one.where if one.where else ''}"),
            ("Held against", one.against),
            ("Opened", f"{say(one.opened_at)} by {one.auditor}, entry {one.opened_seq:,}"),
            ("Closed", f"{say(one.closed_at)} by {one.closed_by}, entry {one.log_size:,}"),
            ("In their words", one.words),
        ]
    )
    sheet.heading("Counts")
    counts = [(VERDICTS[name].capitalize(), f"{count}") for name, count in one.counts.items()]
    sheet.facts([*counts, ("Lines", f"{one.total}"), ("Second person’s check", one.checked)])


def _answer(line: LineShown) -> str:
    told = "" if line.verdict == "sighted" else f" {line.told}"
    scan = f" {line.scan.told}" if line.scan else ""
    return f"{VERDICTS[line.verdict].capitalize()}.{told}{scan} {say_briefly(line.answered_at)}, {line.by}"
