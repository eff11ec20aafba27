"""What the bays of a vehicle say: what is in them, and how what is in them was checked and aligned."""

from dataclasses import replace

from registry.domain.alignments import finding_of_alignment
from registry.domain.axis_checks import finding_of_check
from registry.domain.findings import Finding
from registry.domain.fit_facts import BayFacts, VehicleFacts
from registry.domain.fit_use import findings_for_use
from registry.domain.mounting_checks import finding_of_mounting
from registry.domain.second_checks import finding_of_seat
from registry.domain.settings_fit import findings_of_settings
from registry.domain.sheet_values import findings_of_values
from registry.domain.times import say
from registry.errors import Offer


def of_no_bay(facts: VehicleFacts) -> list[Finding]:
    """A vehicle without a bay carries nothing."""
    if facts.bays:
        return []
    offer = Offer("add_bay", "Add a bay", {})
    told = "Without a bay nothing can be installed."
    return [Finding("stops", "no_bay", "No bay is entered", told, facts.seq, offer=offer)]


def of_bays(facts: VehicleFacts) -> list[Finding]:
    """Empty, half swapped, or with a type in it that the bay does not accept."""
    return [found for bay in facts.bays if (found := _of_bay(bay))]


def _of_bay(bay: BayFacts) -> Finding | None:
    install = Offer("install_pair", f"Install in bay {bay.letter}", {"bay": bay.bay_id})
    if bay.pair is None and bay.seat_follows:
        told = f"Taken out {say(bay.lifted_at or '')}; nothing has been seated since."
        fact = f"Bay {bay.letter}: lifted, none seated"
        return Finding("stops", "none_seated", fact, told, bay.seq, bay.letter, install)
    if bay.pair is None:
        told = f"Empty since {say(bay.lifted_at)}." if bay.lifted_at else "No pair has ever been installed."
        evidence = bay.seq or bay.entered_seq
        return Finding("stops", "empty_bay", f"Bay {bay.letter} is empty", told, evidence, bay.letter, install)
    if not bay.type_accepted:
        accept = Offer("accept_type", "Accept the type", {"bay": bay.bay_id})
        fact = f"Bay {bay.letter} does not accept {bay.type_name}"
        told = f"{bay.pair} sits in it since {say(bay.installed_at or '')}."
        return Finding("care", "type_not_accepted", fact, told, bay.seq, bay.letter, accept)
    return None


def of_alignments(facts: VehicleFacts) -> list[Finding]:
    """What the checks and the alignment of each stay say; all end with the stay. With a use asked about,
    the alignment is judged for that use instead of the bay’s own."""
    found: list[Finding | None] = []
    for bay in facts.bays:
        if bay.pair is None:
            continue
        found.append(
            finding_of_check(bay.axis_check, bay.letter, bay.bay_id, bay.pair, bay.installed_at or "", bay.seq)
        )
        found.append(finding_of_mounting(bay.mounting_check, bay.letter, bay.bay_id))
        if facts.use is None or facts.use == bay.use:
            found.append(finding_of_alignment(bay.alignment, bay.letter, bay.bay_id, bay.dowels, bay.seq))
        else:
            found += findings_for_use(bay, facts.use)
    return [finding for finding in found if finding]


def of_settings(facts: VehicleFacts) -> list[Finding]:
    """Sheet, load, read-back and firmware of each stay; a load ends with the stay. What nobody has entered yet rests on
    the entry that put the pair in."""
    found: list[Finding] = []
    for bay in facts.bays:
        if bay.pair is not None:
            said = findings_of_settings(bay.settings, bay.letter, bay.bay_id, bay.pair, bay.installed_at or "")
            found += [replace(one, seq=one.seq or bay.seq) for one in said]
            found += findings_of_values(bay.values, bay.letter, bay.bay_id)
    return found


def of_second_checks(facts: VehicleFacts) -> list[Finding]:
    """Whether anybody but who seated it has looked at each pair that is in; a look ends with the stay."""
    seated = (bay for bay in facts.bays if bay.pair is not None)
    found = (
        finding_of_seat(one.checked, one.letter, one.bay_id, one.pair, one.installed_at or "", one.seq)
        for one in seated
    )
    return [finding for finding in found if finding]
