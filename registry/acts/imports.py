"""Rows of a spreadsheet through the door, one act after the other: tried on a copy of the record, or entered all at once.

Every rule of the door holds; what is not asked of history that is carried over stands in domain/carrying.py.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts import door
from registry.acts.catalogue import ACTS
from registry.acts.door import Ready, Signer
from registry.acts.ids import row_id
from registry.acts.references import resolve
from registry.acts.sitting import Remembering, Sitting
from registry.domain.carrying import reasons_too_recent
from registry.domain.codes import say_code
from registry.domain.labels import fold_key, read_label
from registry.domain.rows import Reading, Told, acts_of, joined, joins, read
from registry.domain.times import stamp
from registry.errors import Reason, Refused, refuse_if
from registry.models.carried_files import carried
from registry.models.fleet import housing, vehicle
from registry.models.lookups import folds_known, halves_near
from registry.models.pairings import pairing
from registry.models.refusals import translated

#: Label codes that are drawn and looked up together.
_CODES_AT_ONCE = 200
#: A code as sentences say it, and an instant as cells are read.
_CODE, _INSTANT = re.compile(r"[0-9A-Z]{4}\u202f[0-9A-Z]{4}"), re.compile(r"\d{4}-\d\d-\d\dT")
#: Fields of acts that hold instants besides when they happened.
_INSTANTS = ("removed_at", "ended_at")
_halves_of_pair = select(pairing.c.name, pairing.c.sensor_id, pairing.c.electronics_id).where(
    pairing.c.id == bindparam("pair")
)
_vehicle = select(vehicle.c.id).where(vehicle.c.name == bindparam("name"))
_housing = (
    select(housing.c.id)
    .join(vehicle, vehicle.c.id == housing.c.vehicle_id)
    .where(vehicle.c.name == bindparam("name"), housing.c.name == bindparam("housing"))
)


class File(NamedTuple):
    """The file that rows are carried over from."""

    sha256: str
    name: str
    size: int


@dataclass(slots=True)
class Group:
    """The rows of one act, or the acts of one row."""

    rows: list[int]
    told: list[Told] = field(default_factory=list)
    reasons: list[Reason] = field(default_factory=list)
    shown: str = ""


class Judged(NamedTuple):
    """How one group stands: `ready`, `near` (ready, but for what it is near to), `already` or `refused`."""

    rows: list[int]
    state: str
    shown: str
    acts: list[str]
    reasons: list[Reason]
    near: list[str]

    def told(self) -> dict[str, Any]:
        reasons = [reason.as_json() for reason in self.reasons]
        return {**self._asdict(), "reasons": reasons}


def groups(how: Reading, rows: Iterable[tuple[int, dict[str, Any], list[str]]]) -> Iterator[Group]:
    """Rows (number, cells, what is wrong with the row) read, those of one calibration together."""
    waiting: Group | None = None
    for number, cells, faults in rows:
        values, reasons = read(how, cells)
        reasons = [Reason("wrong_form", fault) for fault in faults] or reasons
        shown = ", ".join(_shown(value) for value in list(values.values())[:5])
        one = Group([number], [] if reasons else acts_of(how.kind, values), reasons, shown)
        if waiting and joins(how.kind, waiting.told, one.told):
            waiting.rows.append(number)
            waiting.told = joined(waiting.told, one.told)
            continue
        if waiting:
            yield waiting
        waiting = one
    if waiting:
        yield waiting


def _shown(value: Any) -> str:
    """A value as it was read; an instant without what it does not say."""
    return (
        re.sub(r"(T00:00)?:00\.000000Z$", "", str(value)).replace("T", " ", 1)
        if _INSTANT.match(str(value))
        else str(value)
    )


class Carrier:
    """A keeper who carries the rows of one file over, in one transaction that is theirs alone."""

    def __init__(
        self,
        db: sa.Connection,
        how: Reading,
        file: File,
        signer: Signer,
        now: datetime,
        randbelow: Callable[[int], int],
    ):
        self._how, self._file, self._signer, self._now = how, file, signer, now
        self._db: Any = Remembering(db)
        self._sitting = Sitting(self._db, randbelow, _CODES_AT_ONCE)
        self._folds: set[str] = set()
        self._drawn: dict[str, int] = {}
        self._is_known = carried(self._db, file.sha256) is not None

    def look_up(self, todo: list[Group]) -> None:
        """Ask together what would be asked for every row: which acts are in the log, which serials look like known ones."""
        self._sitting.look_up([self._id(group, told) for group in todo for told in group.told])
        received = {
            fold_key(told.fields["serial"]) for group in todo for told in group.told if told.act == "receive_half"
        }
        self._folds = folds_known(self._db, sorted(received))

    def judge(self, group: Group) -> Judged:
        """Enter the group for a try, on a copy of the record that is thrown away: later rows see it."""
        acts = [told.act for told in group.told]
        near = [] if group.reasons else self._near(group)
        try:
            with self._tried():
                again = self.enter(group)
        except Refused as refused:
            return Judged(group.rows, "refused", group.shown, acts, list(refused.reasons), [])
        state = "already" if again else "near" if near else "ready"
        return Judged(group.rows, state, group.shown, acts, [], [] if again else near)

    @contextmanager
    def _tried(self) -> Iterator[None]:
        """What is refused half-way leaves nothing. A savepoint of one name: the library compiles each of its own anew."""
        head, known = self._sitting.head, self._is_known
        self._db.exec_driver_sql("SAVEPOINT tried")
        try:
            yield
        except Refused:
            self._db.exec_driver_sql("ROLLBACK TO SAVEPOINT tried")
            self._sitting.undone(head)
            self._is_known = known
            raise
        finally:
            self._db.exec_driver_sql("RELEASE SAVEPOINT tried")

    def enter(self, group: Group) -> bool:
        """Enter every act of the group; True when all of it is in the log already. Raises `Refused`."""
        if group.reasons:
            raise Refused(*group.reasons)
        new = 0
        for told in group.told:
            act_id = self._id(group, told)
            if self._is_there(told, act_id):
                continue
            if not self._sitting.stored(act_id):
                refuse_if(self._too_recent(told))
            done = self._entered(told, act_id, group.rows)
            new += not done.again
            self._is_known = self._is_known or not done.again
            if told.act == "receive_half":
                self._folds.add(fold_key(told.fields["serial"]))
        return new == 0

    def _too_recent(self, told: Told) -> list[Reason]:
        instants = [told.happened_at, *(told.fields[name] for name in _INSTANTS if name in told.fields)]
        return reasons_too_recent(told.act, ACTS[told.act].says, map(stamp, instants), stamp(self._now))

    def _entered(self, told: Told, act_id: str, rows: list[int]) -> door.Done:
        """One act through the door. A refusal speaks of rows of this file where it would name codes drawn for them."""
        try:
            with translated():
                done = door.perform_next(self._sitting, self._ready(told, act_id, rows), now=self._now)
        except Refused as refused:
            raise Refused(*map(self._of_this_file, refused.reasons)) from None
        if code := done.entry.decided.get("code"):
            self._drawn[say_code(code)] = rows[0]
        return done

    def _of_this_file(self, reason: Reason) -> Reason:
        if reason.code == "conflicting_replay":
            told = "This row of this file is in the log already, and was read otherwise then."
            return Reason(
                reason.code, told, next="Read the file as before. What was wrong then is put right by an amendment."
            )
        return replace(reason, message=self._by_row(reason.message))

    def _by_row(self, told: str) -> str:
        return _CODE.sub(
            lambda found: f"in row {self._drawn[found[0]]} of this file" if found[0] in self._drawn else found[0], told
        )

    def _id(self, group: Group, told: Told) -> str:
        return row_id(self._file.sha256, self._how.kind, str(group.rows[0]), told.part)

    def _ready(self, told: Told, act_id: str, rows: list[int]) -> Ready:
        fields = self._with_halves(told)
        sent = {"act": told.act, "version": ACTS[told.act].version, "id": act_id, "happened_at": told.happened_at}
        act, sent_sha, private = door.read_act({**sent, **fields}, now=self._now)
        # The first entry of a file brings the file itself on record, with its size.
        file = {"sha256": self._file.sha256, "name": self._file.name} | (
            {} if self._is_known else {"size": self._file.size}
        )
        results = {"files": lambda _sha256, _name: None}
        return Ready(act, sent_sha, self._signer, private, results, {**file, "rows": rows})

    def _is_there(self, told: Told, act_id: str) -> bool:
        """A vehicle or housing that another row, or somebody else, entered is not entered again: its bays are."""
        if told.part not in ("vehicle", "housing") or self._sitting.stored(act_id):
            return False
        keys = {"name": told.fields["vehicle"], "housing": told.fields.get("housing")}
        return self._db.execute(_vehicle if told.part == "vehicle" else _housing, keys).first() is not None

    def _with_halves(self, told: Told) -> dict[str, Any]:
        """An install that names its pair means the two halves of its statement; halves it names besides must be those."""
        if told.act != "install_pair" or "pair" not in told.fields:
            return told.fields
        fields = dict(told.fields)
        at = stamp(told.happened_at)
        found = resolve(self._db, "pairing", fields.pop("pair"), at, "pair")
        if isinstance(found, Reason):
            raise Refused(found)
        row = self._db.execute(_halves_of_pair, {"pair": found}).one()
        for name, half in (("sensor", row.sensor_id), ("electronics", row.electronics_id)):
            named = resolve(self._db, "half", fields[name], at, name) if name in fields else half
            if isinstance(named, Reason):
                raise Refused(named)
            if named != half:
                told_ = f"The row names {row.name} and another {name} half than its statement."
                raise Refused(Reason("mixed_pair", told_, name, "Look which of the two is right."))
            fields[name] = half
        return fields

    def _near(self, group: Group) -> list[str]:
        """Halves of the same kind and part that a new one may be: told, never taken for it."""
        found = []
        for told in group.told:
            if told.act != "receive_half":
                continue
            serial = told.fields["serial"]
            if fold_key(serial) not in self._folds:
                continue
            for half in halves_near(self._db, read_label(serial, typed=True)):
                if half.kind == told.fields["kind"] and half.part == told.fields["part"]:
                    found.append(self._by_row(f"Serial {serial} looks like {half.serial}, which exists: {half.say()}."))
        return found
