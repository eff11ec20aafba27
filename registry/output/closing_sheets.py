"""The closing sheet of a housing on paper: what was seen to when it was closed last, and the verdict on it."""

import sqlalchemy as sa

from registry.domain.closing_sheets import DESICCANTS, FACES, LATCHED, SEALS, VERDICTS
from registry.domain.fleet import CLOSING_METHODS
from registry.domain.times import say
from registry.errors import Offer, Reason, Refused
from registry.output.sheets import Question, Sheet, proof_of
from registry.queries.closing_sheets import closing_sheet_of
from registry.queries.fleet import vehicles_at


def closing_paper(db: sa.Connection, housing_id: str, question: Question, printed_at: str) -> bytes:
    """The newest sheet of the last closing of a housing as PDF. Raises `Refused` when there was none."""
    known = question.known(db)
    row = closing_sheet_of(db, housing_id, question.at, known)
    if row is None:
        told = "That housing had no closing sheet then."
        offer = Offer("record_closing_sheet", "Enter a closing sheet", {"housing": housing_id})
        raise Refused(Reason("not_found", told, next="Enter one, or ask for a later instant.", offer=offer))
    sheet = Sheet("closing sheet", proof_of(db, printed_at))
    title = f"{row['vehicle']}, {row['housing']} housing: {VERDICTS[row['verdict']]}."
    lede = f"Closed {say(row['closed_at'])}, entry {row['closing_seq']:,}."
    sheet.head(title, lede, question.turned(f"/vehicles/{row['vehicle_code']}"))
    vehicle = vehicles_at(db, question.at, known, [row["vehicle_id"]])[0]
    opened = next((one.opened_at for one in vehicle.housings if one.housing_id == housing_id and one.is_open), None)
    since = f"It was opened again on {say(opened)}: this sheet is of the closing before." if opened else ""
    sheet.facts([("As it stood on", say(question.at)), ("This sheet answers", question.say()), ("Since", since)])
    sheet.heading("Seen to")
    sheet.facts(_seen_to(row))
    sheet.heading("Against it" if row["told"] else "Nothing stands against it.")
    if row["told"]:
        sheet.paragraph(row["told"])
    sheet.heading("Filled in")
    sheet.facts(
        [
            ("When", f"{say(row['filled_in_at'])}, entry {row['seq']:,}"),
            ("By", row["by"] or "somebody who has left"),
            ("Second person", row["second"] or "none"),
            ("In their words", row["words"]),
        ]
    )
    sheet.paragraph("The vehicle’s maker and your site’s rules come first. This sheet says what was seen to; it is no proof that the housing is tight.")  # fmt: skip
    return sheet.pdf()


def _seen_to(row: sa.RowMapping) -> list[tuple[str, str]]:
    counted = row["tools_out"] is not None and row["tools_in"] is not None
    return [
        ("Closes by", CLOSING_METHODS[row["closing_method"]]),
        ("Seals", SEALS[row["seals"]]),
        ("Batch of the seals", row["seal_batch"] or "not stated"),
        ("Sealing faces", FACES[row["faces"]]),
        ("Torque", _figure(row["torque_nm"], "N m")),
        ("Internal data cable", LATCHED[row["data_cable"]]),
        ("Internal power cable", LATCHED[row["power_cable"]]),
        ("Desiccant", DESICCANTS[row["desiccant"]]),
        ("Dew point inside", _figure(row["dew_point_c"], "°C")),
        ("Coldest water", _figure(row["coldest_water_c"], "°C")),
        ("Tools", f"{row['tools_out']} out, {row['tools_in']} back" if counted else "not counted"),
    ]


def _figure(text: str | None, unit: str) -> str:
    return f"{text} {unit}".replace("-", "−") if text is not None else "not stated"
