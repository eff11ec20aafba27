"""Where a label of ours goes, and how not to spoil what it is stuck to. Shown on the page and printed beside the labels.

Common practice, no source, but where a line names one.
"""

from registry.domain.cautions import DEFERRAL, Caution

#: Kind of thing -> what several of them are called.
NAMES = {
    "half": "halves",
    "vehicle": "vehicles",
    "bay": "bays",
    "station": "stations",
    "site": "sites",
    "person": "people",
}
#: Kind of thing -> where its label goes.
WHERE = {
    "half": "On the bare metal of the frame or carrier, or on the bag of the half, where it can be scanned with the half in place. One label for each half, never one for a pair.",
    "vehicle": "On the hull by the hatch, under clear tape where it gets wet.",
    "bay": "Beside the place of the pair inside the hull, on metal or plastic that stays when a pair is changed.",
    "station": "On the bench or the lid of the kit, where it is scanned before hands go on a unit.",
    "site": "By the door, at the height of the eyes.",
    "person": "On the badge, inside its sleeve.",
}
COPY = "A copy says “copy” and its number: for the bag, a lanyard or the hatch. It says what is meant and is never evidence of where it is; to install or remove, scan the label on the half itself."
PRINTING = "Print at 100 %, without fitting to the page: every module is a whole number of printer dots, and scaling spoils it. Scan one of the batch before you stick the rest."

CAUTIONS = (
    Caution(
        "Bare electronics: never on a board, a coil, a connector or a seal face.",
        "Glue and paper on a board or a coil harm it, on a connector they part it, on a seal face they let water in. Use the carrier, the frame or the bag.",
    ),
    Caution(
        "Peeling charges the film.",
        "Use low-charging label film, stand at a signed-off station with the strap on, and peel the liner at least 30 cm away from the unit.",
    ),
    Caution(
        "Clean and dry before sticking.",
        "Wipe only the place of the label, with what the unit’s maker allows; no solvent near coils, fibre or seals.",
    ),
)


def legend(kinds: set[str]) -> list[tuple[str, str]]:
    """(heading, text) of the page that is printed along: where these go, how, and what to mind."""
    where = [(f"Where: {NAMES[kind]}", WHERE[kind]) for kind in WHERE if kind in kinds]
    cautions = [(caution.head, caution.told) for caution in CAUTIONS]
    return [*where, ("Copies", COPY), ("Printing", PRINTING), *cautions, ("First of all", DEFERRAL)]
