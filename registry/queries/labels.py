"""What stands on labels: of each thing that bears a code, the words printed beside its symbol."""

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, literal, select

from registry.domain.codes import code_in_url, read_code
from registry.errors import Reason, Refused
from registry.models.fleet import bay, vehicle
from registry.models.lookups import first_label, hosts
from registry.models.people import person, person_private
from registry.models.sites import site, station
from registry.models.units import half, identity, unit_type

_NONE = literal("")
_STATEMENTS: dict[str, sa.Select] = {
    "half": select(half.c.code, half.c.kind.label("what"), unit_type.c.maker.label("first"), unit_type.c.name.label("second"), identity.c.printed_part.label("part"), identity.c.printed_serial.label("serial"))
    .join(unit_type, unit_type.c.id == half.c.unit_type_id)
    .join(identity, identity.c.id == first_label),
    "vehicle": select(vehicle.c.code, literal("vehicle").label("what"), vehicle.c.name.label("first"), vehicle.c.hull_number.label("second"), _NONE.label("part"), _NONE.label("serial")),
    "bay": select(bay.c.code, literal("bay").label("what"), vehicle.c.name.label("first"), (literal("bay ") + bay.c.letter).label("second"), _NONE.label("part"), _NONE.label("serial")).join(vehicle, vehicle.c.id == bay.c.vehicle_id),
    "station": select(station.c.code, literal("station").label("what"), station.c.name.label("first"), site.c.name.label("second"), _NONE.label("part"), _NONE.label("serial")).join(site, site.c.id == station.c.site_id),
    "site": select(site.c.code, literal("site").label("what"), site.c.name.label("first"), _NONE.label("second"), _NONE.label("part"), _NONE.label("serial")),
    "person": select(person.c.code, literal("badge").label("what"), person_private.c.name.label("first"), _NONE.label("second"), _NONE.label("part"), _NONE.label("serial")).join(person_private, person_private.c.person_id == person.c.id),
}  # fmt: skip
_COLUMN = {kind: statement.selected_columns[0] for kind, statement in _STATEMENTS.items()}
_of_codes = {
    kind: statement.where(_COLUMN[kind].in_(bindparam("codes", expanding=True)))
    for kind, statement in _STATEMENTS.items()
}
_every = {
    kind: statement.order_by("first", "second", "serial", _COLUMN[kind]).limit(bindparam("most")).offset(bindparam("skip"))
    for kind, statement in _STATEMENTS.items()
}  # fmt: skip
#: So many codes are asked for at once.
BATCH = 500
KINDS = tuple(_STATEMENTS)


@dataclass(frozen=True, slots=True)
class LabelText:
    """The words of one label. `kind` is the kind of thing, `what` how the label calls it."""

    kind: str
    code: str
    what: str
    first: str
    second: str
    part: str
    serial: str


def labels_of(db: sa.Connection, texts: Sequence[str]) -> list[LabelText]:
    """The labels of the things that bear these codes, or these addresses of ours, in this order, each once.

    Raises `Refused` with one reason for each text that is no code or that nothing bears.
    """
    codes, reasons, known_hosts = [], [], hosts(db)
    for text in dict.fromkeys(texts):
        try:
            marked = code_in_url(text, known_hosts)
            codes.append(marked.code if marked else read_code(text))
        except ValueError as problem:
            reasons.append(Reason("unreadable_label", str(problem), "codes", "Type the code as it is printed."))
    known: dict[str, LabelText] = {}
    for start in range(0, len(codes), BATCH):
        some = codes[start : start + BATCH]
        for kind, statement in _of_codes.items():
            known |= {row.code: _label(kind, row) for row in db.execute(statement, {"codes": some})}
    reasons += [
        Reason("unknown_label", f"Nothing bears the code {code}.", "codes", "Look it up in the index.")
        for code in dict.fromkeys(codes)
        if code not in known
    ]
    if reasons:
        raise Refused(*reasons)
    return [known[code] for code in dict.fromkeys(codes)]


def labels_listed(db: sa.Connection, kind: str, most: int, skip: int = 0) -> list[LabelText]:
    """Labels of all things of a kind, by name, from the one after `skip` on."""
    return [_label(kind, row) for row in db.execute(_every[kind], {"most": most, "skip": skip})]


def _label(kind: str, row: sa.Row) -> LabelText:
    what = f"{row.what} half" if kind == "half" else row.what
    return LabelText(kind, row.code, what.capitalize(), row.first, row.second or "", row.part or "", row.serial or "")
