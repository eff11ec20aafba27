"""What the bays of a vehicle say: what is in them, and how what is in them was checked and aligned."""

from registry.domain.alignments import finding_of_alignment
from registry.domain.axis_checks import finding_of_check
from registry.domain.findings import Finding
from registry.domain.fit_facts import VehicleFacts
from registry.domain.times import say
from registry.errors import Offer


def of_no_bay(facts: VehicleFacts) -> list[Finding]:
    """A vehicle without a bay carries nothing."""
    if facts.bays:
        return []
    offer = Offer("add_bay", "Add a bay", {})
    return [Finding("stops", "no_bay", "No bay is entered", "Without a bay nothing can be installed.", offer=offer)]


def of_bays(facts: VehicleFacts) -> list[Finding]:
    found = []
    for bay in facts.bays:
        if bay.pair is None and bay.seat_follows:
            told = f"Taken out {say(bay.lifted_at or '')}; nothing has been seated since."
            found.append(
                Finding(
                    "stops",
                    "none_seated",
                    f"Bay {bay.letter}: lifted, none seated",
                    told,
                    bay.seq,
                    bay.letter,
                    Offer("install_pair", f"Install in bay {bay.letter}", {"bay": bay.bay_id}),
                )
            )
        elif bay.pair is None:
            told = f"Empty since {say(bay.lifted_at)}." if bay.lifted_at else "No pair has ever been installed."
            found.append(
                Finding(
                    "stops",
                    "empty_bay",
                    f"Bay {bay.letter} is empty",
                    told,
                    bay.seq,
                    bay.letter,
                    Offer("install_pair", f"Install in bay {bay.letter}", {"bay": bay.bay_id}),
                )
            )
        elif not bay.type_accepted:
            found.append(
                Finding(
                    "care",
                    "type_not_accepted",
                    f"Bay {bay.letter} does not accept {bay.type_name}",
                    f"{bay.pair} sits in it since {say(bay.installed_at or '')}.",
                    bay.seq,
                    bay.letter,
                    Offer("accept_type", "Accept the type", {"bay": bay.bay_id}),
                )
            )
    return found


def of_alignments(facts: VehicleFacts) -> list[Finding]:
    """What the axis and sign check and the alignment of each stay say; both end with the stay."""
    found: list[Finding | None] = []
    for bay in facts.bays:
        if bay.pair is not None:
            found.append(finding_of_check(bay.axis_check, bay.letter, bay.bay_id, bay.pair, bay.installed_at or ""))
            found.append(finding_of_alignment(bay.alignment, bay.letter, bay.bay_id, bay.dowels))
    return [finding for finding in found if finding]
