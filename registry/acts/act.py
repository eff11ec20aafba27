"""What an act is: a frozen record of what a person did, with the rules for deciding it and the rows it leaves."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

import sqlalchemy as sa
from pydantic import BaseModel, ConfigDict, Field

from registry.acts.entry import Effect, Entry
from registry.acts.shapes import ActId, PersonRef, Reference, When, Words
from registry.domain.people import May
from registry.errors import Reason

if TYPE_CHECKING:
    from registry.acts.long_work import LongWork, Told

#: Every act by name, and the lifts of older versions: (name, version) -> function of the fields as sent.
ACTS: dict[str, type["Act"]] = {}
LIFT: dict[tuple[str, int], Callable[[dict[str, Any]], dict[str, Any]]] = {}


class Signer(NamedTuple):
    """A person the sender has proved to be (by password and PIN, token, or the instance's own keeper at the shell)."""

    person: str
    via: str
    second: str | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """What an act is decided on: the open transaction, the ids its references gave, who and when.

    `at` and `now` are stamps. `draw()` gives a label code nothing bears yet. `ready` holds what was worked out before
    the lock was taken (results of long computations), by name.
    """

    db: sa.Connection
    ids: dict[str, Any]
    at: str
    now: str
    by: str
    done_by: str
    size: int
    origin: str
    draw: Callable[..., str]
    ready: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Decision:
    """Every reason against an act, and all that was looked up or worked out for it.

    `touched` is the newest entry that changed what the act touches; a page older than that is stale. `remarks` are
    told to the person and stand against nothing. `hold_on` names what an act done out of order puts on hold:
    each a column of `hold` and an id.
    """

    reasons: list[Reason] = field(default_factory=list)
    decided: dict[str, Any] = field(default_factory=dict)
    touched: int = 0
    remarks: list[str] = field(default_factory=list)
    hold_on: list[tuple[str, str]] = field(default_factory=list)


class Act(BaseModel):
    """An act of the office: it takes effect because an authorised person enters it.

    Class keywords: `name`, `version`, `may` (roles), `says` (verb and object: the label of its button), `pin`
    (a signed-in person signs it with their PIN besides) and `happened` (it tells what its person did or read at that
    instant, and is judged by the roles they held then). `feature` is the module it belongs to. `id` is made by the
    sender, so that sending twice never acts twice.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    name: ClassVar[str]
    version: ClassVar[int]
    may: ClassVar[frozenset[str]]
    says: ClassVar[str]
    feature: ClassVar[str]
    happened: ClassVar[bool] = False
    pin: ClassVar[bool] = False
    #: Instants that may lie ahead: what is planned.
    ahead: ClassVar[frozenset[str]] = frozenset()
    private: ClassVar[type[BaseModel] | None] = None
    references: ClassVar[dict[str, Reference]]
    #: Fields that name a person.
    people: ClassVar[frozenset[str]]
    #: Each act's own static method: the rows its entry makes. Pure: it sees the entry alone.
    effects: ClassVar[Callable[[Entry], list[Effect]]]

    id: ActId = Field(title="Act id", description="A UUID of version 7, made by the sender.")
    happened_at: When = Field(title="Done at", description="UTC. Change it if you are entering this later.")
    seen: int | None = Field(
        None, ge=0, lt=2**53, title="Log size seen", description="The size of the log when the page was shown."
    )

    @classmethod
    def __pydantic_init_subclass__(
        cls,
        name: str = "",
        version: int = 1,
        may: frozenset[str] = May.ANYONE,
        says: str = "",
        pin: bool = False,
        happened: bool = False,
        **kwargs: Any,
    ) -> None:
        if not name:
            return
        cls.happened = cls.happened or happened
        cls.name, cls.version, cls.may, cls.says, cls.pin = name, version, may, says, pin
        cls.feature = cls.__module__.rsplit(".", 1)[-1]
        cls.references = {
            field_name: mark
            for field_name, info in cls.model_fields.items()
            for mark in _marks(info.annotation, info.metadata)
        }
        cls.people = frozenset(field_name for field_name, mark in cls.references.items() if mark.kind == "person")
        ACTS[name] = cls

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__()

    def decide(self, case: Case) -> Decision:
        """Read the facts, apply the rules, return every reason at once. The only place an act reads rows."""
        return Decision()

    def prepared(self) -> dict[str, Any]:
        """What is worked out before the lock is taken, within a moment; `ready` of the case holds it. Nothing by default."""
        return {}

    def long_work(self) -> "LongWork | None":
        """What takes longer than a page may, before the lock is taken; `ready` of the case holds what came of it, as
        `worked_out` or, when there is no honest answer, as `cannot`. Nothing by default."""
        return None

    @staticmethod
    def worked_out(figures: dict[str, Any], paths: list[Path], told: "Told") -> dict[str, Any]:
        """That long work, as plain data, from the figures and the files it named. It runs in a process of its own, and
        says how far it is by `told(share, words)`. Raises CannotCompute."""
        raise LookupError("an act with long work says how it is worked out")

    @staticmethod
    def whose(entry: Entry) -> str:
        """The person whose name and badge are the private part of this act: the one it names, unless it makes one."""
        return entry.ids["person"]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        """Work out the computed part of `decided` once more, for `verify --strict`. Nothing by default."""
        return {}


class Deed(Act):
    """An act of the hands: it has happened, whoever enters it and whenever.

    A deed is refused like any act, but what gives way (no sign-off, a hold, a role) gives way to `already_done` with
    a reason: it is then entered as out of order, opens a hold, and waits for a named authority.
    """

    happened: ClassVar[bool] = True

    done_by: PersonRef | None = Field(None, title="Done by", description="If it was not you.")
    second: PersonRef | None = Field(None, title="Second person", description="Who checked it, with their own PIN.")
    already_done: bool = Field(
        False,
        title="It has already happened",
        description="Enter it although it was not in order. The vehicle stops until an authority answers.",
    )
    why_out_of_order: Words | None = Field(None, title="Why it was done out of order")


def _marks(annotation: Any, metadata: Any) -> list[Reference]:
    """Reference marks of a field, also inside `X | None` and `list[X]`."""
    found = [mark for mark in metadata if isinstance(mark, Reference)]
    for part in getattr(annotation, "__args__", ()):
        found += _marks(part, getattr(part, "__metadata__", ()))
    return found
