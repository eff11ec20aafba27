"""Attachments: files sent before the act that names them, each on one thing."""

from collections.abc import Iterable
from typing import Annotated, get_args

from pydantic import Field, model_validator

from registry.acts.act import ACTS, Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import BayRef, FileGiven, HalfRef, HoldRef, Line, MeterRef, PairRef, Photos, VehicleRef, wrong
from registry.domain.attachments import SUBJECTS, not_sent, told_otherwise
from registry.domain.people import May
from registry.errors import Reason

_TO = {name: column for column, name in SUBJECTS.items()}


class AttachFile(Act, name="attach_file", may=May.ANYONE, says="Attach a file"):
    """A photo, a certificate or a table goes with a half, a pair, a vehicle, a bay, a hold or a meter, for good."""

    half: HalfRef | None = Field(None, title="Half")
    pair: PairRef | None = Field(None, title="Pair", description="Scan one of its halves.")
    vehicle: VehicleRef | None = Field(None, title="Vehicle")
    bay: BayRef | None = Field(None, title="Bay")
    hold: HoldRef | None = Field(None, title="Hold")
    meter: MeterRef | None = Field(None, title="Meter")
    files: Annotated[Photos, Field(min_length=1)] = Field(title="Files")
    words: Line | None = Field(None, title="What it shows")

    @model_validator(mode="after")
    def _to_one_thing(self) -> "AttachFile":
        if sum(getattr(self, name) is not None for name in _TO) != 1:
            raise wrong("A file goes with one thing: a half, a pair, a vehicle, a bay, a hold or a meter.")
        return self

    def decide(self, case: Case) -> Decision:
        return Decision(reasons_of_files(case, self.files))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        name = next(name for name in _TO if entry.ids.get(name))
        first, *rest = file_rows(entry, _TO[name], entry.ids[name], "attached")
        return [Add("attachment", {**first.row, "id": entry.id}), *rest]


def takes_files(name: str) -> bool:
    """Whether an act of this name has a field for files."""
    fields = ACTS[name].model_fields.values() if name in ACTS else ()
    return any(get_args(info.annotation)[:1] == (FileGiven,) for info in fields)


def reasons_of_files(case: Case, files: Iterable[FileGiven]) -> list[Reason]:
    """Every file an act names is in the instance folder, and is what the act says of it."""
    find = case.ready.get("files", lambda sha256, name: None)
    reasons = []
    for number, file in enumerate(files):
        place, kept = f"files.{number}", find(file.sha256, file.name)
        if kept is None:
            reasons.append(not_sent(file.name, file.sha256, place))
        elif (kept.size, kept.media_type) != (file.size, file.media_type):
            reasons.append(told_otherwise(file.name, kept.size, kept.media_type, place))
    return reasons


def file_rows(entry: Entry, column: str, subject: str, purpose: str) -> list[Add]:
    """The rows of an entry's files on one thing. Entries from before there were files name none."""
    told = {"purpose": purpose, "words": entry.body.get("words"), "attached_by_id": entry.done_by}
    return [
        Add(
            "attachment",
            {
                "id": entry.derived(f"file:{number}"),
                column: subject,
                "sha256": file["sha256"],
                "size_bytes": file["size"],
                "media_type": file["media_type"],
                "name": file["name"],
                **told,
                **entry.moment("attached"),
            },
        )
        for number, file in enumerate(entry.body.get("files", ()), 1)
    ]
