"""Whether a settings sheet still says what its bay gives: mounting, the angles of the alignment in force, lever arms.

A sheet takes these over when it is written. What is measured later changes no sheet, and so no unit: somebody has to
write the sheet anew. That the unit runs with former figures is `care`: it may sail so with a named acceptance, for only
a person can say what the difference costs this voyage, and once the new sheet is written the load of the old one stops
the vehicle by itself. A difference within what was measured (twice its sigma, about 95 %; common practice, no source)
is a note.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from registry.domain.findings import Finding
from registry.domain.mountings import ANGLES, ARMS, AXES, ORIENTATIONS, say_thousandths
from registry.domain.settings import Line
from registry.errors import Offer

#: Times its sigma within which a figure measured anew says the same.
SAME_WITHIN = 2


@dataclass(frozen=True, slots=True)
class Given:
    """One line that the bay gives now, as a sheet would take it over; `sigma` in its unit, None for words."""

    line: Line
    sigma: str | None
    seq: int


def given_by_mounting(row: Mapping[str, Any]) -> Given:
    """How the unit sits, in words."""
    source = f"mounting of the bay, entry {row['seq']:,}"
    return Given(Line("mounting", "Mounting", ORIENTATIONS[row["orientation"]], "", source), None, row["seq"])


def given_by_alignment(row: Mapping[str, Any], dvl: Mapping[str, Any] | None) -> list[Given]:
    """Plate and unit together, and the DVL, as an alignment has them: to a thousandth, as they are typed in."""
    source, seq = f"alignment, entry {row['seq']:,}", row["seq"]
    angles = [] if row["yaw_deg"] is None else [(name.capitalize(), row, name) for name in ANGLES]
    if dvl:
        angles.append(("DVL, yaw", dvl, "yaw"))
    return [
        Given(Line("mounting", name, say_thousandths(of[f"{angle}_deg"]), "deg", source), of[f"{angle}_sigma_deg"], seq)
        for name, of, angle in angles
    ]


def given_by_arm(row: Mapping[str, Any]) -> list[Given]:
    """A lever arm along its three axes."""
    name, source = f"Lever arm to the {ARMS[row['leads_to']]}", f"lever arm, entry {row['seq']:,}"
    return [
        Given(Line("lever_arm", f"{name}, {axis}", row[f"{axis}_m"], "m", source), row["sigma_m"], row["seq"])
        for axis in AXES
    ]


@dataclass(frozen=True, slots=True)
class SheetValues:
    """What the sheet in force says, name -> line, and what the bay gives now."""

    version: int
    lines: Mapping[str, Line]
    given: tuple[Given, ...]


def findings_of_values(values: SheetValues | None, bay: str, bay_id: str) -> list[Finding]:
    """One finding for all lines that differ, the gravest named first."""
    if values is None:
        return []
    differing = [one for one in values.given if _differs(values.lines.get(one.line.name), one.line)]
    if not differing:
        return []
    grave = [one for one in differing if not _within(values.lines.get(one.line.name), one)]
    listed = sorted(differing, key=lambda one: one not in grave)
    first, *more = (_told(values, one) for one in listed)
    sources = ", ".join(dict.fromkeys(one.line.source for one in listed))
    told = f"{' '.join(f'{words}.' for words in more)} Version {values.version} holds; since it was written: {sources}.".strip()
    if not grave:
        told += f" The difference lies within {SAME_WITHIN} sigma of what was measured."
    offer = Offer("write_settings_sheet", "Write the settings sheet", {"bay": bay_id})
    severity = "care" if grave else "note"
    evidence = max(one.seq for one in differing)
    return [Finding(severity, "sheet_outdated", f"Bay {bay}: {first}", told, evidence, bay, offer)]


def _told(values: SheetValues, one: Given) -> str:
    """`yaw is 0.300 deg on the sheet, 0.412 deg as it stands now`"""
    sheet, name = values.lines.get(one.line.name), one.line.name
    name = name if name.startswith("DVL") else f"{name[0].lower()}{name[1:]}"
    told = f"is {sheet.say()} on the sheet" if sheet else "is not on the sheet"
    return f"{name} {told}, {one.line.say()} as it stands now"


def _differs(sheet: Line | None, now: Line) -> bool:
    if sheet is None or sheet.unit != now.unit:
        return True
    return Decimal(sheet.value) != Decimal(now.value) if now.unit else sheet.value != now.value


def _within(sheet: Line | None, one: Given) -> bool:
    """Whether the figure on the sheet is one that the new measurement does not rule out."""
    if sheet is None or one.sigma is None or sheet.unit != one.line.unit:
        return False
    return abs(Decimal(sheet.value) - Decimal(one.line.value)) <= SAME_WITHIN * Decimal(one.sigma)
