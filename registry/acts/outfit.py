"""The outfit a registry is kept for: its first entry, which names its first keeper."""

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Any

from pydantic import Field

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry, no_moment
from registry.acts.ids import new_id
from registry.acts.names import PersonPrivate
from registry.acts.shapes import DayText, Line
from registry.domain.codes import ALPHABET, is_host
from registry.domain.people import May
from registry.domain.times import write_rfc3339
from registry.errors import Reason


class FoundOutfit(Act, name="found_outfit", may=May.KEEP, says="Found the registry"):
    """Open the log: the outfit it is kept for, and its first keeper. The first entry of every registry."""

    private = PersonPrivate

    outfit: Line = Field(title="Outfit", description="Whose units and vehicles these are.")
    origin: Line = Field(
        "K", title="First character of codes", description="One character; no two registries that may meet share it."
    )
    label_host: Line = Field(
        "pairbook.example", title="Host on labels", description="The host that the labels’ addresses name."
    )
    invented: bool = Field(
        False, title="Invented data", description="Everything in this registry is made up, to show how it works."
    )
    anchor_on: DayText | None = Field(None, title="Anchor day", description="The day that invented history ends on.")

    def decide(self, case: Case) -> Decision:
        reasons = []
        if case.size:
            reasons.append(
                Reason(
                    "already_known",
                    "This registry has been founded; its log is not empty.",
                    next="Use it, or choose another instance folder.",
                )
            )
        if not is_host(self.label_host):
            told = f"“{self.label_host}” cannot stand in the address on a label or name a log."
            reasons.append(
                Reason("wrong_form", told, "label_host", "Give a host in plain letters, like pairs.example.org.")
            )
        if len(self.origin) != 1 or self.origin not in ALPHABET:
            reasons.append(
                Reason("wrong_form", f"“{self.origin}” cannot begin a code. Choose one of {ALPHABET}.", "origin")
            )
            return Decision(reasons)
        # The registry has no letter of its own yet: the drawer is told the one this act brings.
        return Decision(reasons, {"origin": self.origin, "code": case.draw(self.origin)})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        named = {name: entry.body[name] for name in ("origin", "label_host", "invented", "anchor_on")}
        return [
            Add("outfit", {"id": entry.id, "name": entry.body["outfit"], **named}),
            Add("person", {"id": entry.by, "code": entry.decided["code"]}),
            Add(
                "person_role",
                {
                    "id": entry.derived("role"),
                    "person_id": entry.by,
                    "role": "keeper",
                    **entry.moment("given"),
                    **no_moment("ended"),
                },
            ),
        ]

    @staticmethod
    def whose(entry: Entry) -> str:
        return entry.by


def founding(
    now: datetime, randbits: Callable[[int], int], *, outfit: str, keeper: str, **more: Any
) -> tuple[dict[str, Any], str]:
    """The first act of a registry as it is sent, and the id its keeper will have: nobody is there yet to sign it."""
    id_ = new_id(now, randbits)
    told = {
        "act": "found_outfit",
        "version": 1,
        "id": id_,
        "happened_at": write_rfc3339(now),
        "outfit": outfit,
        "private": {"name": keeper},
        **more,
    }
    return told, str(uuid.uuid5(uuid.UUID(id_), "person"))
