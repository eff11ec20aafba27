"""What a team's own spreadsheet may hold: the kinds of rows, the columns of each, and how its columns are guessed from
their headers. A guess is shown and can be changed; nothing is entered by it."""

import re
from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple

from registry.domain.fleet import CLOSING_METHODS, HULLS, USES
from registry.domain.missions import AIDED
from registry.domain.units import GRADES, KINDS

Form = Literal["text", "day", "instant", "figure", "choice", "flag", "list"]
#: Rows of a file that are looked at; more go in in parts.
MOST_ROWS, MOST_COLUMNS = 100_000, 200
ENCODINGS = {"utf-8": "UTF-8", "windows-1252": "Windows-1252 (older Western sheets)"}
DAY_ORDERS = {"": "not said: 03/04/2024 is refused", "day": "day first: 03/04/2024 is 3 April", "month": "month first: 03/04/2024 is 4 March"}  # fmt: skip


class Wanted(NamedTuple):
    """A column that a kind of rows has: its field, what people read, whether it is needed, how its cells are read, and
    other words that headers have for it."""

    name: str
    title: str
    needed: bool = False
    form: Form = "text"
    words: tuple[str, ...] = ()
    choices: Mapping[str, str] | None = None


class SheetKind(NamedTuple):
    """One kind of rows: what people call it, what a row becomes, and its columns."""

    title: str
    told: str
    columns: tuple[Wanted, ...]

    def column(self, name: str) -> Wanted | None:
        return next((one for one in self.columns if one.name == name), None)

    def say_fields(self) -> str:
        """What a column may be said to be, the needed ones first."""
        ordered = sorted(self.columns, key=lambda one: not one.needed)
        return f"There are: {', '.join(f'{one.name} ({one.title})' for one in ordered)}."


_SINCE = ("since", "from", "received", "received on", "date received", "date", "in service", "commissioned")
_SITE = Wanted("site", "Site", True, "text", ("location", "where", "base", "place"))
SHEETS: dict[str, SheetKind] = {
    "halves": SheetKind(
        "Halves", "A row is a half, by what is printed on it.",
        (
            Wanted("kind", "Sensor or electronics", True, "choice", ("half", "type of half", "part type", "role"), KINDS),
            Wanted("unit_type", "Unit type", True, "text", ("type", "model", "unit model")),
            Wanted("maker", "Maker", True, "text", ("manufacturer", "make", "vendor", "supplier")),
            Wanted("part", "Part number", True, "text", ("part no", "pn", "p/n", "part nr", "article")),
            Wanted("serial", "Serial number", True, "text", ("sn", "serial nr", "ser no", "serial")),
            Wanted("revision", "Revision", False, "text", ("rev", "issue")),
            _SITE,
            Wanted("spot", "Shelf or bench", False, "text", ("shelf", "bench", "bin", "cabinet")),
            Wanted("since", "There since", True, "instant", _SINCE),
        ),
    ),
    "pairs": SheetKind(
        "Pairs", "A row is a matched-pair statement.",
        (
            Wanted("pair", "Name of the pair", True, "text", ("unit", "pair name", "pair no", "name", "pair id")),
            Wanted("sensor", "Sensor half", True, "text", ("sensor serial", "sensor sn", "sensor half serial", "sensing head")),
            Wanted("electronics", "Electronics half", True, "text", ("electronics serial", "electronics sn", "electronics half serial", "board serial")),
            Wanted("grade", "Kind of statement", True, "choice", ("statement type", "kind of document", "document type"), GRADES),
            Wanted("statement", "Number of the statement", True, "text", ("document", "document no", "certificate", "statement no", "report no")),
            Wanted("stated_on", "Date of the statement", True, "day", ("document date", "statement date", "date", "issued")),
            Wanted("paired_at", "A pair since", False, "instant", ("paired", "paired on", "since")),
            Wanted("ended_at", "Ended at", False, "instant", ("ended", "split", "until")),
            Wanted("end_why", "Why it ended", False, "text", ("why ended", "reason ended")),
        ),
    ),
    "vehicles": SheetKind(
        "Vehicles and bays", "A row is a bay, with its vehicle and housing; a vehicle without bays has one row.",
        (
            Wanted("vehicle", "Vehicle", True, "text", ("name", "vessel", "vehicle name", "hull")),
            Wanted("hull_number", "Hull number", True, "text", ("hull no", "hull nr", "vehicle no", "number")),
            Wanted("hull", "Form of the hull", True, "choice", ("hull type", "hull form", "class"), HULLS),
            Wanted("length_m", "Length, m", True, "figure", ("length", "length m", "loa")),
            _SITE,
            Wanted("since", "On record since", True, "instant", _SINCE),
            Wanted("housing", "Housing", False, "text", ("pressure housing", "bottle", "box")),
            Wanted("closing_method", "Housing closed by", False, "choice", ("closure", "closing", "closed by"), CLOSING_METHODS),
            Wanted("letter", "Bay letter", False, "text", ("bay", "bay id", "slot")),
            Wanted("from_bow_m", "Bay from the bow, m", False, "figure", ("from bow", "position", "distance from bow", "from bow m")),
            Wanted("accepts", "Accepted types", False, "list", ("accepted", "fits", "types")),
            Wanted("use", "Use of the bay", False, "choice", ("purpose", "used for"), USES),
        ),
    ),
    "installs": SheetKind(
        "Installs", "A row is a stay of a pair in a bay.",
        (
            Wanted("vehicle", "Vehicle", True, "text", ("vessel", "vehicle name", "hull", "installed in")),
            Wanted("letter", "Bay letter", True, "text", ("bay", "slot", "position", "bay id")),
            Wanted("pair", "Pair", False, "text", ("unit", "pair name", "pair no", "pair id")),
            Wanted("sensor", "Sensor half", False, "text", ("sensor serial", "sensor sn")),
            Wanted("electronics", "Electronics half", False, "text", ("electronics serial", "electronics sn", "board serial")),
            Wanted("installed_at", "Installed at", True, "instant", ("installed", "in", "from", "date in", "fitted", "install date", "installed on")),
            Wanted("removed_at", "Came out at", False, "instant", ("removed", "out", "until", "to", "date out", "removed on", "removal date")),
            Wanted("done_by", "Who seated it, by name or badge", False, "text", ("seated by", "fitted by", "installed by", "technician", "by", "who")),
        ),
    ),
    "calibrations": SheetKind(
        "Factory calibrations", "A row is one line of results; rows of one pair and certificate are one calibration.",
        (
            Wanted("pair", "Pair", True, "text", ("unit", "pair name", "pair no", "pair id")),
            Wanted("certificate", "Certificate", True, "text", ("certificate no", "cert", "cert no", "document")),
            Wanted("calibrated_on", "Calibrated on", True, "day", ("date", "calibration date", "cal date", "calibrated")),
            Wanted("place", "Place", True, "text", ("where", "laboratory", "lab", "done by")),
            Wanted("conditions", "Conditions", False, "text"),
            Wanted("adjusted", "It was adjusted", False, "flag", ("adjusted", "adjustment")),
            Wanted("quantity", "Quantity", True, "text", ("parameter", "measurand", "what")),
            Wanted("unit", "Unit", True, "text", ("units", "unit of measure", "uom")),
            Wanted("as_found", "As found", False, "figure", ("found", "before")),
            Wanted("as_left", "As left", False, "figure", ("left", "after")),
            Wanted("expanded", "Expanded uncertainty", False, "figure", ("uncertainty", "u95", "expanded u")),
            Wanted("k", "Coverage factor k", False, "figure", ("coverage factor", "factor")),
            Wanted("words", "Remarks", False, "text", ("remark", "notes", "note", "comment", "comments")),
        ),
    ),
    "missions": SheetKind(
        "Missions", "A row is a mission that is over, with what it ran.",
        (
            Wanted("vehicle", "Vehicle", True, "text", ("vessel", "vehicle name", "hull")),
            Wanted("reference", "Reference", True, "text", ("mission", "mission no", "mission id", "dive", "dive no", "survey")),
            Wanted("area", "Area", True, "text", ("where", "location", "site", "field")),
            Wanted("started_at", "Started at", True, "instant", ("from", "start", "started", "out", "launched", "sailed")),
            Wanted("ended_at", "Ended at", True, "instant", ("to", "end", "ended", "in", "recovered", "back")),
            Wanted("use", "Use", False, "choice", ("purpose", "used for"), USES),
            Wanted("distance_km", "Distance run, km", True, "figure", ("distance", "distance km", "km", "kilometres", "length km")),
            Wanted("aided_by", "Aided by", False, "choice", ("aiding", "aid", "navigation"), AIDED),
            Wanted("stretch_km", "Longest stretch without a fix, km", False, "figure", ("longest stretch", "stretch km", "between fixes km")),
            Wanted("words", "Remarks", False, "text", ("remark", "notes", "note", "comment", "comments")),
        ),
    ),
}  # fmt: skip


class Column(NamedTuple):
    """A column of the file: its letter as spreadsheets count, and its header."""

    letter: str
    header: str

    def say(self) -> str:
        return f"{self.letter}: {self.header}" if self.header else f"{self.letter}, without a header"


def letter_of(place: int) -> str:
    """`A` for the first column, `AA` for the twenty-seventh."""
    told = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        told = chr(65 + rest) + told
    return told


def guessed(kind: str, columns: Iterable[Column]) -> dict[str, str]:
    """Field -> letter of the column whose header says so. Each column is guessed once; headers borne twice by none."""
    plain = [(one.letter, _plain(one.header)) for one in columns]
    twice = {word for _letter, word in plain if sum(word == other for _l, other in plain) > 1}
    left = {word: letter for letter, word in plain if word and word not in twice}
    found: dict[str, str] = {}
    # What a column is called here comes before what else it may be called, over all columns.
    for words in (lambda one: (one.name, one.title), lambda one: one.words):
        for wanted in SHEETS[kind].columns:
            if wanted.name in found:
                continue
            word = next((_plain(text) for text in words(wanted) if _plain(text) in left), None)
            if word:
                found[wanted.name] = left.pop(word)
    return found


def _plain(header: str) -> str:
    plain = re.sub(r"[^0-9a-z]+", " ", header.casefold().replace("№", " nr ")).strip()
    return re.sub(r" no$", " nr", plain)
