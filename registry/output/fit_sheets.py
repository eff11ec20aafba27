"""The fit-to-deploy sheet: of each vehicle the verdict, the question it answers, what sits where, every finding with its
evidence and the act that clears it, and what was accepted by name."""

from collections.abc import Iterable

from registry.acts.catalogue import ACTS
from registry.domain.codes import say_code
from registry.domain.fit import VERDICTS
from registry.domain.fit_use import ASKED, say_tolerances
from registry.domain.freshness import say_seen
from registry.domain.times import say
from registry.errors import Offer
from registry.output.sheets import Proof, Question, Sheet
from registry.queries.fleet import BayState, VehicleState

#: How wide the edge of a finding is, in points: it rises with how grave it is.
_WEIGHTS = {"stops": 6.0, "care": 3.0, "note": 0.6}


def fit_sheets(vehicles: Iterable[tuple[VehicleState, str]], question: Question, proof: Proof) -> bytes:
    """The sheets of vehicles, each with the path of its page, as one PDF."""
    sheet = Sheet("fit-to-deploy sheet", proof)
    for vehicle, path in vehicles:
        _one(sheet, vehicle, path, question)
    return sheet.pdf()


def _one(sheet: Sheet, vehicle: VehicleState, path: str, question: Question) -> None:
    verdict = VERDICTS[vehicle.severity]
    sheet.head(f"{vehicle.name}: {verdict[0].lower()}{verdict[1:]}.", f"As it stood on {say(question.at)}.", path)
    voyage, use = question.voyage, question.use
    sheet.facts(
        [
            ("Vehicle", f"{vehicle.name}, hull {vehicle.hull_number}, {say_code(vehicle.code)}"),
            ("Where", vehicle.site or "not on record"),
            ("This sheet answers", question.say()),
            ("Voyage", voyage.say() if voyage else "none asked about"),
            ("Judged for", f"{ASKED[use]}: {say_tolerances(use)}" if use else "each bay’s own use"),
        ]
    )
    sheet.heading("Bays, from the bow")
    heads = ("Bay", "What is in it", "Sensor half", "Electronics half", "In since", "Last scanned there")
    sheet.table(heads, [_bay(bay) for bay in vehicle.bays], (12, 40, 28, 32, 32, 30))
    sheet.heading(_counted(vehicle))
    for one in vehicle.findings:
        evidence = f"Evidence: entry {one.seq:,}." if one.seq else ""
        clears = f"Clears it: {_clearing(one.offer)}." if one.offer else ""
        accepted = f"{one.acceptance_told} (entry {one.accepted.seq:,})" if one.accepted else one.acceptance_told
        told = [one.told, f"{evidence} {clears}".strip(), accepted]
        sheet.item(one.severity.capitalize(), one.fact, told, _WEIGHTS[one.severity])
    if not vehicle.findings:
        sheet.paragraph("Nothing to clear.")
    if vehicle.acceptances:
        sheet.heading("Accepted by name")
        for shown in vehicle.acceptances:
            given = f"Given {say(shown.acceptance.accepted_at)}, entry {shown.acceptance.seq:,}. {shown.stands}"
            sheet.item("Acceptance", shown.acceptance.fact, [shown.acceptance.say(), given], _WEIGHTS["note"])


def _bay(bay: BayState) -> tuple[str, ...]:
    if not bay.pair or not bay.sensor_code or not bay.electronics_code:
        return (bay.letter, "lifted, none seated" if bay.seat_follows else "empty", "", "", "", "")
    words = {"hold": "on hold", "mixed": "something else was sighted"}.get(bay.disc, "whole")
    return (
        bay.letter, f"{bay.pair}, {words}; {bay.type_name}", say_code(bay.sensor_code), say_code(bay.electronics_code),
        say(bay.installed_at or ""), say_seen(bay.confirmed_at, bay.mission_days),
    )  # fmt: skip


def _clearing(offer: Offer) -> str:
    """`settle a discrepancy`"""
    says = ACTS[offer.act].says
    return f"{says[0].lower()}{says[1:]}"


def _counted(vehicle: VehicleState) -> str:
    """`Findings: 1 stops, 2 care, 1 note`"""
    counts = {word: sum(one.severity == word for one in vehicle.findings) for word in _WEIGHTS}
    return "Findings: " + ", ".join(f"{count} {word}" for word, count in counts.items())
