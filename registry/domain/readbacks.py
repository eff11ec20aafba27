"""Values read from a unit, compared with every settings sheet there is: whose they are, and what would tell more.

The same rule stands in `output/sheets_offline.js`, for a page that works without the registry; a test holds both to
the same answers.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from registry.domain.settings import plain, say_checksum
from registry.domain.texts import quoted

#: Fewer values than this fit too many sheets to say anything.
LEAST_VALUES = 3
VERDICTS = {
    "agrees": "agrees with the load",
    "cannot_tell": "fits more than one sheet",
    "other_version": "another version of this bay",
    "other_bay": "another bay’s sheet",
    "no_sheet": "no sheet we know",
}
_FIGURE = re.compile(r"[+-]?\d{1,15}(\.\d{1,9})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class KnownSheet:
    """A sheet to compare with. `values` is name -> (value, unit); `bay` is said as `Teasel, bay A`."""

    id: str
    bay_id: str
    bay: str
    version: int
    checksum: str
    values: Mapping[str, tuple[str, str]]

    def say(self) -> str:
        return f"{self.bay}, version {self.version} ({say_checksum(self.checksum)})"

    def plain(self) -> dict[str, tuple[str, str, str]]:
        """Name as compared -> (name as written, value, unit)."""
        return {plain(name): (name, *told) for name, told in self.values.items()}


@dataclass(frozen=True, slots=True)
class Differing:
    """A value that is not what was wanted; `wanted` is None when the sheet wanted has no such value."""

    name: str
    read: str
    wanted: str | None


@dataclass(frozen=True, slots=True)
class Compared:
    """What the values read are. `sheet` is the one they fit best, `apart` what to read to tell more, `not_known` names
    that stand on no sheet."""

    verdict: str
    told: str
    next: str
    sheet: KnownSheet | None
    apart: tuple[str, ...] = ()
    differs: tuple[Differing, ...] = ()
    not_known: tuple[str, ...] = ()


def agree(read: str, value: str, unit: str) -> bool:
    """Whether a value as it was read off is this value of a sheet.

    Figures are the same number; a unit that shows fewer digits than were typed in agrees when it shows two decimals or
    more and the figure rounds to them. All else is text: case and blanks aside.
    """
    shown = read.strip().replace("\u2212", "-").removesuffix("°").strip()
    if unit and shown.casefold().endswith(unit.casefold()):
        shown = shown[: -len(unit)].strip()
    if not (_FIGURE.fullmatch(shown) and _FIGURE.fullmatch(value)):
        return plain(shown) == plain(value)
    seen, wanted = Decimal(shown), Decimal(value)
    places = len(shown.partition(".")[2])
    if seen == wanted or places < 2:
        return seen == wanted
    return abs(seen - wanted) <= Decimal(5).scaleb(-places - 1)


def no_figures(read: Mapping[str, str], sheet: Iterable[tuple[str, str, str]]) -> dict[str, str]:
    """Setting -> why what was typed cannot be its value: the sheet has a figure there. `sheet` is (name, value, unit)."""
    told = {}
    for name, value, unit in sheet:
        text = read.get(name, "")
        shown = text.strip().replace("\u2212", "-").removesuffix("°").removesuffix(unit).strip()
        if text and _FIGURE.fullmatch(value) and not _FIGURE.fullmatch(shown):
            told[name] = f"{quoted(text)} is no figure, and {name} is one on the sheet. Type it as the unit shows it."
    return told


def compare(
    read: Mapping[str, str],
    sheets: Iterable[KnownSheet],
    bay_id: str | None,
    wanted_id: str | None,
    names: Iterable[str] = (),
) -> Compared | None:
    """Which sheet the values read are; None when fewer than three of them stand on any sheet.

    `bay_id` is where the unit sits, `wanted_id` the sheet it ought to hold; both are None for a unit on a bench. A
    sheet that differs from the wanted one in nothing but its version cannot be told apart, and need not be. `names` are
    names that stand on further sheets, none of which the values fit: what `deciding` leaves of all the others.
    """
    sheets = list(sheets)
    known = {name for sheet in sheets for name in sheet.plain()} | {plain(name) for name in names}
    told = {name: text for name, text in read.items() if plain(name) in known}
    not_known = tuple(name for name in read if plain(name) not in known)
    if len(told) < LEAST_VALUES:
        return None
    wanted = next((sheet for sheet in sheets if sheet.id == wanted_id), None)
    fits = [sheet for sheet in sheets if not _differing(told, sheet)]
    differs = tuple(_differing(told, wanted)) if wanted else ()
    if wanted in fits and wanted is not None:
        alike = [sheet for sheet in fits if _apart(wanted, sheet)]
        if not alike:
            said = f"The {len(told)} values read are those of {wanted.say()}, and of no other sheet."
            return Compared("agrees", said, "Nothing to change.", wanted, not_known=not_known)
        apart = tuple(dict.fromkeys(_apart(wanted, sheet)[0] for sheet in alike))
        said = f"The {len(told)} values read are those of {wanted.say()}, but of {_listed(alike)}, too."
        return Compared(
            "cannot_tell", said, f"Read {_joined(apart)} as well: that tells them apart.", wanted, apart, (), not_known
        )
    return _another(told, fits, bay_id, wanted, differs, not_known)


def deciding(
    read: Mapping[str, str], sheets: Iterable[KnownSheet], wanted_id: str | None
) -> tuple[list[KnownSheet], list[str]]:
    """The sheets that a verdict hangs on, the one wanted and those the values fit, and the names read that stand on any
    sheet: with these alone `compare` says the same."""
    sheets = list(sheets)
    known = {name for sheet in sheets for name in sheet.plain()}
    told = {name: text for name, text in read.items() if plain(name) in known}
    return [sheet for sheet in sheets if sheet.id == wanted_id or not _differing(told, sheet)], list(told)


def _another(
    told: Mapping[str, str], fits: list[KnownSheet], bay_id: str | None, wanted: KnownSheet | None,
    differs: tuple[Differing, ...], not_known: tuple[str, ...],
) -> Compared:  # fmt: skip
    """The verdict when the values are not those of the sheet the unit ought to hold."""
    off = f" Wanted: {_say_differing(differs)}." if differs else ""
    if not fits:
        said = f"No sheet we know has these {len(told)} values together.{off}"
        do = "Load the sheet of this bay and read it back; keep the file of the unit first."
        return Compared("no_sheet", said, do, None, (), differs, not_known)
    own = [sheet for sheet in fits if sheet.bay_id == bay_id]
    best = max(own or fits, key=lambda sheet: sheet.version) if own else fits[0]
    rest = [sheet for sheet in fits if sheet is not best and _apart(best, sheet)]
    also = f" These values fit {_listed(rest)}, too." if rest else ""
    said = f"This is {best.say()}.{also}{off}"
    do = (
        f"Load {wanted.say()} and read it back." if wanted else "Write a settings sheet for this bay, load and read it."
    )
    if bay_id is None:
        do = "Look whose unit this is before it goes in."
    return Compared("other_version" if own else "other_bay", said, do, best, (), differs, not_known)


def _differing(read: Mapping[str, str], sheet: KnownSheet) -> list[Differing]:
    mine, found = sheet.plain(), []
    for name, text in read.items():
        _name, value, unit = mine.get(plain(name), (name, None, ""))
        if value is None or not agree(text, value, unit):
            found.append(Differing(name, text, value if value is None else f"{value} {unit}".strip()))
    return found


def differing_values(one: KnownSheet, other: KnownSheet) -> list[Differing]:
    """Every value of `one` that is another on `other`, and those only one of them has."""
    mine, theirs, found = one.plain(), other.plain(), []
    for key in dict.fromkeys([*mine, *theirs]):
        name = (mine.get(key) or theirs[key])[0]
        read, wanted = (f"{told[1]} {told[2]}".strip() if (told := side.get(key)) else None for side in (mine, theirs))
        if read != wanted:
            found.append(Differing(name, read or "not on it", wanted))
    return found


def _apart(one: KnownSheet, other: KnownSheet) -> list[str]:
    """Names of values by which two sheets can be told apart."""
    return [differing.name for differing in differing_values(one, other)]


def _say_differing(differs: Iterable[Differing], most: int = 3) -> str:
    differs = list(differs)
    told = [f"{one.name} {one.wanted or 'not on the sheet'}, read {one.read}" for one in differs[:most]]
    return "; ".join(told) + (f"; and {len(differs) - most} more" if len(differs) > most else "")


def _listed(sheets: Iterable[KnownSheet], most: int = 3) -> str:
    names = [sheet.say() for sheet in sheets]
    return _joined(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


def _joined(names: Iterable[str]) -> str:
    names = list(names)
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]])) if names else ""


def serials_unlike(reported: Mapping[str, str | None], known: Mapping[str, Iterable[str]]) -> list[str]:
    """What a unit says of its own serials that the record has otherwise. `known` is kind -> serials of the half there."""
    told = []
    for kind, serial in reported.items():
        mine = list(known.get(kind, ()))
        if serial and plain(serial) not in {plain(one) for one in mine}:
            told.append(
                f"The unit reports serial {serial} for its {kind} half; the record has {' or '.join(mine)} there."
            )
    return told
