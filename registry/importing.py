"""Imports of a team’s spreadsheet: the file laid down, tried outside the lock, then entered in one transaction.

What takes long runs in a process of its own (import_steps.py), which writes down how far it is; pages read that and wait
for nobody. An import is a folder under `imports/` of the instance: the file, how it is
read (`import.json`), how far it is (`progress.json`) and the report, a line a row.
"""

import hashlib
import json
import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, BinaryIO

from registry.accounts import person_now
from registry.acts import log
from registry.acts.ids import new_id
from registry.at_work import is_held
from registry.domain.attachments import clean_name
from registry.domain.imports import DAY_ORDERS, ENCODINGS, SHEETS, Column
from registry.domain.people import May, name_roles
from registry.domain.rows import Reading
from registry.domain.texts import is_id
from registry.domain.times import as_datetime, stamp
from registry.errors import Reason, Refused, refuse_if
from registry.instance import Instance

#: An import that was never entered is taken away after so long.
KEPT = timedelta(days=14)
#: A look holds a thread of the server so long and no longer.
_LOOK_S = 10
#: Step -> the state while it is at work, and the state before it: what it falls back to when it ends half-way.
STEPS = {"look": "looking", "try": "trying", "enter": "entering"}
BEFORE = {"looking": "new", "trying": "looked", "entering": "tried"}
_CHILDREN: dict[str, subprocess.Popen[bytes]] = {}


@dataclass(slots=True)
class Import:
    """One file, how it is read and by whom, and how far it came: `looked`, `trying`, `tried`, `entering`, `entered`."""

    id: str
    kind: str
    name: str
    sha256: str
    by: str
    made_at: str
    state: str = "new"
    columns: dict[str, str] = field(default_factory=dict)
    fixed: dict[str, str] = field(default_factory=dict)
    order: str = ""
    encoding: str = "utf-8"
    headers: list[list[str]] = field(default_factory=list)
    samples: list[dict[str, str]] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    seconds: float = 0.0
    size: int = 0
    last_act: str = ""
    reasons: list[dict[str, Any]] = field(default_factory=list)

    @property
    def reading(self) -> Reading:
        return Reading(self.kind, self.columns, self.fixed, self.order)

    @property
    def file_columns(self) -> list[Column]:
        return [Column(*told) for told in self.headers]


class Imports:
    """The imports of one instance."""

    def __init__(self, instance: Instance):
        self.instance = instance
        self._folder = instance.home / "imports"

    def folder(self, id_: str) -> Path:
        return self._folder / id_

    def take(self, stream: BinaryIO, name: str, kind: str, by: str, now: datetime) -> Import:
        """Lay a file down. Raises `Refused` when it is too large or of no kind that is taken."""
        if kind not in SHEETS:
            raise Refused(Reason("wrong_form", "Say what the rows are.", "kind", f"One of: {', '.join(SHEETS)}."))
        self._sweep(now)
        id_ = new_id(now, secrets.randbits)
        self.folder(id_).mkdir(mode=0o700, parents=True)
        digest, size, most = hashlib.sha256(), 0, self.instance.files.most_bytes
        with (self.folder(id_) / "file").open("xb") as file:
            while chunk := stream.read(1 << 20):
                size += len(chunk)
                if size > most:
                    shutil.rmtree(self.folder(id_))
                    told = f"The file is larger than the {most:,} bytes that are taken."
                    raise Refused(Reason("too_large", told, "file", "Send it in parts."))
                digest.update(chunk)
                file.write(chunk)
        one = Import(id_, kind, clean_name(name), digest.hexdigest(), by, stamp(now))
        self.keep(one)
        return one

    def drop(self, one: Import) -> None:
        """Take one away that is not entered: nothing in the record knows of it."""
        shutil.rmtree(self.folder(one.id), ignore_errors=True)

    def keep(self, one: Import) -> None:
        write(self.folder(one.id) / "import.json", asdict(one))

    def find(self, id_: str) -> Import | None:
        path = self.folder(id_) / "import.json"
        if not is_id(id_) or not path.exists():
            return None
        one = Import(**json.loads(path.read_text(encoding="utf-8")))
        running = self.runs(one.id)
        if one.state in BEFORE and not running:
            self._settle(one)
        return one

    def _settle(self, one: Import) -> None:
        """A step ended without its last word. Whether the rows went in, the log says: they go in together or not at all."""
        if one.state == "entering" and one.last_act and self._is_stored(one.last_act):
            one.state, one.reasons = "entered", []
        else:
            one.state = BEFORE[one.state]
            one.reasons = one.reasons or [_stopped().as_json()]
        self.keep(one)

    def _is_stored(self, act_id: str) -> bool:
        with self.instance.database.reading() as db:
            return log.stored(db, act_id) is not None

    def every(self) -> list[Import]:
        found = [self.find(path.parent.name) for path in sorted(self._folder.glob("*/import.json"), reverse=True)]
        return [one for one in found if one is not None]

    def progress(self, one: Import) -> dict[str, int]:
        path = self.folder(one.id) / "progress.json"
        return json.loads(path.read_text(encoding="utf-8")) if path.exists() else {"done": 0, "of": 0}

    def report(self, one: Import) -> Iterator[dict[str, Any]]:
        """The report row by row, as it was tried last."""
        path = self.folder(one.id) / "report.jsonl"
        if path.exists():
            with path.open(encoding="utf-8") as lines:
                yield from map(json.loads, lines)

    def window(self) -> dict[str, Any] | None:
        """The import that is being entered now: nobody else can enter anything until it is."""
        path = self._folder / "window.json"
        if not path.exists():
            return None
        told = json.loads(path.read_text(encoding="utf-8"))
        return told if self.runs(told["id"]) else None

    def runs(self, id_: str) -> bool:
        """Whether a step of this import is at work, in a process of ours or of another door."""
        for ended in [known for known, child in _CHILDREN.items() if child.poll() is not None]:
            del _CHILDREN[ended]
        if id_ in _CHILDREN:
            return True
        return is_held(self.folder(id_))

    def _sweep(self, now: datetime) -> None:
        for one in self.every():
            if one.state not in ("entered", "entering") and as_datetime(one.made_at) < now - KEPT:
                self.drop(one)


def _stopped() -> Reason:
    return Reason("failed", "It ended before it was done; nothing of it was entered.", next="Try it again.")


def write(path: Path, told: Any) -> None:
    """As a whole or not at all: somebody may be reading it."""
    part = path.with_suffix(".part")
    part.write_text(json.dumps(told, ensure_ascii=False), encoding="utf-8")
    part.replace(path)


def refuse_unless_keeper(instance: Instance, person: str, now: datetime) -> None:
    """Only a keeper carries history over; the door asks again for every row."""
    _refuse_unless(May.KEEP, "carry a spreadsheet over", "Ask a keeper.", instance, person, now)


def refuse_unless_reader(instance: Instance, person: str, now: datetime) -> None:
    """A spreadsheet holds whatever the team wrote in it: it is for those who may take the record out."""
    do = "Ask one of them what it says."
    _refuse_unless(May.EXPORT, "read a spreadsheet that was carried over", do, instance, person, now)


def _refuse_unless(may: frozenset[str], what: str, do: str, instance: Instance, person: str, now: datetime) -> None:
    with instance.database.reading() as db:
        found = person_now(db, person, now)
    if found is None or not found.roles & may:
        raise Refused(Reason("not_allowed", f"Only {name_roles(may)} may {what}.", next=do))


def refuse_busy(imports: Imports) -> None:
    """Raise `Refused` while another import is at work."""
    busy = [other for other in imports.every() if other.state in BEFORE]
    if busy:
        raise Refused(Reason("busy", f"The import of {busy[0].name} is at work.", next="Wait until it is done."))


def start(imports: Imports, one: Import, step: str) -> None:
    """A step in a process of its own. Raises `Refused` while another import is at work."""
    refuse_busy(imports)
    if before := _CHILDREN.pop(one.id, None):
        before.wait()  # it has written its last word, and is on its way out
    one.state, one.reasons = STEPS[step], []
    (imports.folder(one.id) / "progress.json").unlink(missing_ok=True)
    imports.keep(one)
    settings = imports.instance.settings
    told = {"PAIRBOOK_HOME": str(settings.home), "PAIRBOOK_DATABASE_URL": settings.database_url}
    command = [sys.executable, "-m", "registry.import_steps", one.id, step]
    _CHILDREN[one.id] = subprocess.Popen(
        command, env={**os.environ, **told}, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, start_new_session=True
    )


def look_apart(imports: Imports, one: Import) -> Import:
    """Look at the headers in a process of its own, and wait for it: it is short. Raises `Refused` with what is wrong."""
    start(imports, one, "look")
    child = _CHILDREN.get(one.id)
    try:
        if child:
            child.wait(timeout=_LOOK_S)
    except subprocess.TimeoutExpired:
        child.kill()
        child.wait()
        raise Refused(Reason("wrong_file", "The file takes too long to read.", "file", "Send less of it.")) from None
    found = imports.find(one.id)
    assert found is not None
    if found.state != "looked":
        raise Refused(*(reason_of(told) for told in found.reasons or [_stopped().as_json()]))
    return found


def reason_of(told: dict[str, Any]) -> Reason:
    return Reason(told["code"], told["message"], told["field"], told.get("next"))


def unready(one: Import, *, near_are_others: bool) -> Reason | None:
    """Why it is not entered: it was not tried, a row is refused, or nobody has looked at what is near known halves."""
    if one.state != "tried" or one.counts.get("refused"):
        told = "Only what was tried, with no row refused, is entered."
        return Reason("wrong_form", told, next="Try it first, and mend what is refused.")
    if one.counts["near"] and not near_are_others:
        told = "Nobody has said that the halves near known ones were looked at."
        return Reason("needs_reason", told, "near", "Look at each, then say that they are others.")
    return None


def refuse_unready(one: Import, *, near_are_others: bool) -> None:
    """Raise `Refused` unless it may be entered."""
    if reason := unready(one, near_are_others=near_are_others):
        raise Refused(reason)


def set_reading(one: Import, columns: dict[str, str], fixed: dict[str, str], order: str, encoding: str) -> None:
    """How the file is to be read. Raises `Refused` for a column, field or order that is not there."""
    letters, known = {column.letter for column in one.file_columns}, {w.name for w in SHEETS[one.kind].columns}
    reasons = [
        Reason(
            "unknown_field",
            f"{SHEETS[one.kind].title} have no column called {name[:60]}.",
            name,
            SHEETS[one.kind].say_fields(),
        )
        for name in [*columns, *fixed]
        if name not in known
    ]
    reasons += [
        Reason("wrong_form", f"The file has no column {letter[:60]}.", name)
        for name, letter in columns.items()
        if letter not in letters
    ]
    if order not in DAY_ORDERS or encoding not in ENCODINGS:
        reasons.append(Reason("wrong_form", "Choose an order of days and an encoding that are offered.", "order"))
    refuse_if(reasons)
    one.columns, one.order, one.encoding = columns, order, encoding
    one.fixed = {name: text.strip() for name, text in fixed.items() if text.strip()}
