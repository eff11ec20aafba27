"""The evidence pack of a mission: one PDF with everything the mission rode on, and attached to it the entries of the log that
say so, each with its proof."""

import base64
from typing import Any

import sqlalchemy as sa

from registry.acts.catalogue import ACTS
from registry.acts.checkpoints import LogKey
from registry.acts.packs import document
from registry.domain.alignments import say_state
from registry.domain.codes import say_code
from registry.domain.findings import Finding
from registry.domain.fit import VERDICTS
from registry.domain.fleet import USES
from registry.domain.packs import FILE
from registry.domain.readbacks import VERDICTS as READ
from registry.domain.times import say, say_briefly, say_day
from registry.domain.units import GRADES
from registry.errors import Reason, Refused
from registry.output.attached import attach
from registry.output.sheets import Proof, Question, Sheet, proof_of
from registry.queries.halves import HalfShown
from registry.queries.mission_packs import Evidence, Ridden, mission_evidence
from registry.queries.missions import MissionPage, mission_page

_WEIGHTS = {"stops": 6.0, "care": 3.0, "note": 0.6}
_ANSWERED = {"withdrawn": 6.0, None: 6.0, "usable": 3.0, "not_affected": 0.6}
_PROVED = (
    f"A file is attached to this paper, {FILE}: the signed checkpoint of the log and the entries listed at its end, byte by byte, each with its inclusion proof "
    "(RFC 9162). The command pairbook verify-pack checks it with no registry and no network. What is proved is that these entries stand in the log as they are. "
    "The printed words are what the program read in them; names of people are printed only: entries hold their ids, and words as they were typed."
)  # fmt: skip


def mission_pack(db: sa.Connection, mission_id: str, question: Question, printed_at: str, key: LogKey) -> bytes:
    """The pack of one mission as PDF with its document attached. Raises `Refused` when it was not known, or has not sailed."""
    known = question.known(db)
    found = mission_evidence(db, mission_id, question.at, known)
    if found is None:
        raise Refused(_nothing_to_prove(mission_page(db, mission_id, question.at, known)))
    proof, page = proof_of(db, printed_at), found.page
    note = key.sign(proof.size, base64.b64decode(proof.root))
    sheet = Sheet("mission evidence pack", proof)
    _cover(sheet, mission_id, found, question)
    _impacts(sheet, page)
    sheet.heading("What is proved, and what is not")
    sheet.paragraph(_PROVED)
    for one in found.ridden:
        _share(sheet, one)
    for bay in page.bays:
        if bay.empty_h > 0.05:
            sheet.heading(f"Bay {bay.letter}: {bay.empty_h:.1f} hours with no pair in it")
    _sailing(sheet, found)
    _proofs(sheet, found, key.name, proof)
    about = f"Mission {page.row['reference']}, {page.row['vehicle']}"
    words = "Signed checkpoint, entries of the log and their proofs"
    return attach(sheet.pdf(), FILE, document(db, about, found.statements, note, proof.size), words)


def _nothing_to_prove(page: MissionPage | None) -> Reason:
    if page is None:
        return Reason("not_found", "That mission was not known then.", next="Ask for a later instant.")
    if seq := page.row["withdrawn_seq"]:
        told = f"{page.row['reference']} was taken back by entry {seq:,}: it rode on nothing."
        return Reason("not_open", told, next="Look at its page: what holds instead may stand there.")
    told = f"{page.row['reference']} had not started then: it rode on nothing yet."
    return Reason("not_open", told, next="Start it, or ask for a later instant.")


def _cover(sheet: Sheet, mission_id: str, found: Evidence, question: Question) -> None:
    page, row, span = found.page, found.page.row, found.page.span
    assert span is not None, "a mission that has not sailed has no pack"
    until = f" to {say(row['ended_at'])}" if row["ended_at"] else f", under way on {say(span.until)}"
    title = f"Mission {row['reference']}"
    lede = f"{row['vehicle']}, {row['area']}: {say(span.since)}{until}."
    sheet.head(title, lede, question.turned(f"/missions/{mission_id}"))
    verdict = VERDICTS[page.severity] if page.severity else "not on record"
    then = f". When the start was entered, the log told: {VERDICTS[page.told_then].lower()}" if page.told_then and page.told_then != page.severity else ""  # fmt: skip
    ran = f"{row['distance_km']} km, aided by {page.aided}" if row["distance_km"] else "not told"
    ran += f"; longest stretch without a fix {row['stretch_km']} km" if row["stretch_km"] else ""
    doubt = ", ".join(f"{one.pair} since {say(one.unconfirmed_since or '')}" for one in page.unconfirmed)
    sheet.facts(
        [
            ("As it stood on", say(question.at)),
            ("This pack answers", question.say()),
            ("Vehicle", f"{row['vehicle']}, {say_code(row['vehicle_code'])}"),
            ("Use", USES[row["use"]]),
            ("At sailing", f"{verdict}{then}"),
            ("Why it sailed all the same", page.all_the_same or ""),
            ("Hours", f"{span.hours:.1f}"),
            ("Hours with no alignment", f"{page.unaligned_h:.1f}, all pairs together"),
            ("Pair not confirmed", doubt),
            ("Distance run", ran),
            ("Noted", row["words"] or ""),
            *(("Put right", f"{one.say()} Entry {one.seq:,}.") for one in page.amended),
        ]
    )
    for hold in page.holds:
        released = f"Released {say(hold['released_at'])}." if hold["released_at"] else "Not released."
        sheet.item("Hold during it", hold["reason"], [f"Placed {say(hold['placed_at'])}, entry {hold['seq']:,}. {released}"], 3.0)  # fmt: skip


def _impacts(sheet: Sheet, page: MissionPage) -> None:
    """What of it was found bad since, the worst first; nothing if nothing was."""
    if not page.impacts:
        return
    sheet.heading("Found bad since: what became of this mission")
    for one in page.impacts:
        said = (
            f"{one.words} {one.answered_by or 'Somebody'}, {say(one.answered_at)}."
            if one.answered_at
            else "A named person answers it; until then nobody has said that the data can be used."
        )
        evidence = f"Found {say(one.found_at)}. {one.reason} Entries {', '.join(f'{seq:,}' for seq in one.entries)}."
        sheet.item(one.answer_said[:-1], f"{one.of[0].upper()}{one.of[1:]}, found bad", [evidence, said], _ANSWERED[one.answer])  # fmt: skip


def _share(sheet: Sheet, one: Ridden) -> None:
    share, due, stay = one.share, one.share.due, one.stay
    sheet.heading(f"{one.name}: {share.percent:.0f} % of it")
    late = " It fell due before the end." if share.due_within else ""
    signed = f"at {share.station}, {say(share.signed_at)}" if share.signed_at else "none held when it was put in"
    scanned = f"{say(share.proved_at)}, {share.proved_days} {'day' if share.proved_days == 1 else 'days'} before the end of this share"
    sheet.facts(
        [
            ("From, to", f"{say(share.since)} to {say(share.until)}, {share.hours:.1f} hours"),
            ("Doubt", f"Pair not confirmed since {say(share.unconfirmed_since)}" if share.unconfirmed_since else ""),
            ("Sensor half", _half(one.sensor)),
            ("Electronics half", _half(one.electronics)),
            ("Statement", f"{stay['statement']}, {GRADES[stay['grade']]}, dated {say_day(stay['stated_on'])}, entry {stay['stated_seq']:,}"),
            ("Put in", f"{say(share.installed_at)}{', ' + share.installed_by if share.installed_by else ''}, entry {share.seq:,}"),
            ("ESD sign-off", signed),
            ("Second person’s check", one.checked.told + (f" Entry {one.checked.one.seq:,}." if one.checked.one else "")),
            ("Last scan", scanned),
            ("Verification", f"{due.say()}{late}" if due else "none on record"),
            ("Calibration", f"certificate of {say_day(due.calibrated_on)}" if due and due.calibrated_on else "no certificate on record"),
            ("Alignment", _alignment(one)),
            ("Hours with no alignment", f"{share.unaligned_h:.1f}"),
            ("Axis and sign check", share.check_said + (f" {share.axis_check.outdated} Entry {share.axis_check.seq:,}." if share.axis_check else "")),
            ("Settings", _settings(one)),
        ]
    )  # fmt: skip


def _half(half: HalfShown) -> str:
    return f"{half.type_name}, part {half.part}, serial {half.serial}, {say_code(half.code)}"


def _alignment(one: Ridden) -> str:
    found = one.share.alignment
    return f"{say_state(found)} {found.told} Entry {found.seq:,}." if found else "None on record."


def _settings(one: Ridden) -> str:
    load, read = one.settings.load, one.settings.read_back
    if load is None:
        return "None loaded since this install."
    told = f"Version {load.version}, loaded {say(load.loaded_at)}, entry {load.seq:,}."
    return told + (f" Read back {say(read.read_at)}: {READ[read.verdict]}, entry {read.seq:,}." if read else " Not read back.")  # fmt: skip


def _sailing(sheet: Sheet, found: Evidence) -> None:
    sailing: tuple[Finding, ...] = found.page.sailing
    sheet.heading("What stood against sailing" if sailing else "Nothing stood against sailing.")
    for one in sailing:
        evidence = f"Evidence: entry {one.seq:,}." if one.seq else "No entry says so: it is what is missing."
        accepted = f"{one.accepted.say()} (entry {one.accepted.seq:,})" if one.accepted else one.acceptance_told
        sheet.item(one.severity.capitalize(), one.fact, [one.told, evidence, accepted], _WEIGHTS[one.severity])


def _proofs(sheet: Sheet, found: Evidence, origin: str, proof: Proof) -> None:
    sheet.heading("What rests on which entries")
    rows: list[tuple[Any, ...]] = [(one.told, ", ".join(f"{seq:,}" for seq in one.entries)) for one in found.statements]
    sheet.table(("Statement", "Entries"), rows, (134, 40))
    sheet.heading(f"{len(found.lines)} entries, as they stand in the log")
    sheet.paragraph("The leaf hash is SHA-256 of a zero byte and the entry (RFC 9162 section 2.1.1).")
    rows = [
        (f"{line.seq:,}", f"{ACTS[line.act].says}, {say_briefly(line.happened_at)}", bytes(line.leaf).hex())
        for line in found.lines
    ]
    sheet.table(("Entry", "What it is", "Leaf hash"), rows, (16, 36, 122))
    sheet.heading("Checkpoint")
    sheet.facts([("Log", origin), ("Entries", f"{proof.size:,}"), ("Root", proof.root)])
