"""The settings sheet of a bay on paper: every value as it is typed in, its sign in words, and where it came from."""

import sqlalchemy as sa

from registry.domain.mountings import ANGLES, AXES, say_angle, say_length
from registry.domain.settings import LED_BY, PARTS, Line, say_checksum
from registry.domain.times import say, say_briefly
from registry.errors import Offer, Reason, Refused
from registry.output.sheets import Question, Sheet, proof_of
from registry.queries.settings import SheetPage, sheet_of_bay, sheet_page


def settings_sheet(db: sa.Connection, sheet_id: str, question: Question, printed_at: str) -> bytes:
    """One version of the sheet of a bay as PDF. Raises `Refused` when it was not known then."""
    page = sheet_page(db, sheet_id, question.at, question.known(db))
    if page is None:
        told = "That settings sheet was not known then."
        raise Refused(Reason("not_found", told, next="Ask for a later instant."))
    row = page.row
    sheet = Sheet("settings sheet", proof_of(db, printed_at))
    in_force = "In force" if page.newest["id"] == row["id"] else f"Not in force: version {page.newest['version']} is"
    title = f"{row['bay']}: settings, version {row['version']}."
    sheet.head(
        title, f"{in_force}. Checksum {say_checksum(row['checksum'])}.", question.turned(f"/settings/{row['id']}")
    )
    _written(sheet, page, question)
    for part, words in PARTS.items():
        lines = [line for line in page.lines if line.part == part]
        if lines:
            sheet.heading(words)
            rows = [(line.name, line.say(), signs(line), line.source) for line in lines]
            sheet.table(("Setting", "Value", "In words", "Where it came from"), rows, (54, 44, 34, 42))
    _changed(sheet, page)
    return sheet.pdf()


def settings_of_bay(
    db: sa.Connection, bay_id: str, question: Question, printed_at: str, version: int | None = None
) -> bytes:
    """A version of the sheet of a bay, or the newest, as PDF. Raises `Refused` when there was none."""
    sheet_id = sheet_of_bay(db, bay_id, version, question.at, question.known(db))
    if sheet_id is None:
        told = f"That bay had no settings sheet{f' of version {version}' if version else ''} then."
        offer = Offer("write_settings_sheet", "Write one", {"bay": bay_id})
        raise Refused(Reason("no_sheet", told, "bay", "Write one, or ask for another version or instant.", offer))
    return settings_sheet(db, sheet_id, question, printed_at)


def _written(sheet: Sheet, page: SheetPage, question: Question) -> None:
    row = page.row
    sheet.facts(
        [
            ("As it stood on", say(question.at)),
            ("This sheet answers", question.say()),
            ("Unit type", row["type_name"]),
            ("Led by", LED_BY[row["led_by"]]),
            ("Written", f"{say(row['since_at'])}{', ' + row['by'] if row['by'] else ''}, entry {row['seq']:,}"),
            ("In their words", row["words"]),
            ("No placeholder", row["answer"] or ""),
            ("Checksum", f"{row['checksum']}\nSHA-256 of the sheet as canonical JSON (RFC 8785)"),
        ]
    )


def signs(line: Line) -> str:
    """What a signed figure means on the vehicle, so that a slip of the sign is seen; nothing for other values."""
    head, _, last = line.name.rpartition(", ")
    name = last.casefold()
    if line.unit == "deg" and name in ANGLES:
        return say_angle(name, line.value.replace("−", "-"))
    if line.unit == "m" and head and name in AXES:
        return say_length(name, line.value.replace("−", "-"))
    return ""


def _changed(sheet: Sheet, page: SheetPage) -> None:
    if page.before:
        sheet.heading(f"Changed since version {page.before.version}")
        if not page.changed:
            sheet.paragraph("No value is another.")
        rows = [(one.name, one.read, one.wanted or "nothing of that name") for one in page.changed]
        sheet.table(("Setting", f"Version {page.row['version']}", f"Version {page.before.version}"), rows, (66, 54, 54))
    sheet.heading("Loaded" if page.loads else "Loaded into no unit yet.")
    rows = [(one.pair, say_briefly(one.loaded_at), f"{one.seq:,}") for one in page.loads]
    sheet.table(("Pair", "When", "Entry"), rows, (110, 47, 17))
