"""Spares for a voyage: for each vehicle that sails, which bays have no ready spare aboard, and what falls due on the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from registry.domain.findings import Finding
from registry.domain.fit_endings import CODES
from registry.domain.sailings import Sailing
from registry.domain.verifications import Due
from registry.domain.voyages import Voyage
from registry.errors import Reason, Refused
from registry.models.due import dues
from registry.models.seeks import EVER
from registry.queries.fleet import VehicleState, vehicles_at
from registry.queries.spares import BaySpares, spares_of_bays


@dataclass(frozen=True, slots=True)
class DueOnIt:
    """A pair in a bay whose verification ends before the vehicle is back."""

    letter: str
    due: Due

    def say(self) -> str:
        return {"failed": "Failed", "overdue": "Overdue before it sails"}.get(self.due.state, "Falls due on the way")


@dataclass(frozen=True, slots=True)
class VehicleSails:
    """A vehicle on its voyage: the spares of each bay, judged to its last day, and pairs whose verification ends on it."""

    sailing: Sailing
    state: VehicleState
    bays: tuple[BaySpares, ...]
    due: tuple["DueOnIt", ...]

    @property
    def endings(self) -> tuple[Finding, ...]:
        """What else ends before it is back: terms of contracts, loans, acceptances, papers of crossings."""
        return tuple(one for one in self.state.findings if one.code in CODES)

    @property
    def bare(self) -> tuple[BaySpares, ...]:
        """Bays without a ready spare at the site of the vehicle."""
        return tuple(one for one in self.bays if not one.ready_aboard)

    def told(self) -> dict[str, Any]:
        """All of it as plain data."""
        due = [
            {"bay": one.letter, "pair": one.due.pair, "due_on": one.due.due_on, "say": one.say(), "told": one.due.say()}
            for one in self.due
        ]
        return {
            "vehicle": self.state.name,
            "site": self.state.site,
            "from": self.sailing.from_at,
            "to": self.sailing.to_at,
            "use": self.sailing.use,
            "severity": self.state.severity,
            "bays": [
                {**one.told(), "ready_aboard": [spare.pair.pair for spare in one.ready_aboard]} for one in self.bays
            ],
            "without_spare": [one.bay.letter for one in self.bare],
            "due": due,
            "endings": [
                {"code": one.code, "fact": one.fact, "told": one.told, "entry": one.seq} for one in self.endings
            ],
        }


def voyage(db: sa.Connection, sailings: Sequence[Sailing], at: str, known: int = EVER) -> list[VehicleSails]:
    """What these vehicles have along. A fixed number of statements for each voyage and use."""
    states: dict[str, VehicleState] = {}
    spares: dict[str, BaySpares] = {}
    for since, until, use in sorted({(one.from_at, one.to_at, one.use or "") for one in sailings}):
        ids = [one.vehicle for one in sailings if (one.from_at, one.to_at, one.use or "") == (since, until, use)]
        listed = vehicles_at(db, at, known, ids, voyage=Voyage(since, until), use=use or None)
        states |= {state.id: state for state in listed}
        mine = [bay.id for state in listed for bay in state.bays]
        spares |= {one.bay.id: one for one in spares_of_bays(db, mine, at, known, until)}
    if missing := [one for one in sailings if one.vehicle not in states]:
        told = f"{len(missing)} of these vehicles {'was' if len(missing) == 1 else 'were'} not known then."
        raise Refused(Reason("not_found", told, "sailing", "Ask for a later instant."))
    seated = {bay.pairing_id: bay.letter for state in states.values() for bay in state.bays if bay.pairing_id}
    due = dues(db, at, known, seated)
    return [
        VehicleSails(
            one,
            states[one.vehicle],
            tuple(spares[bay.id] for bay in states[one.vehicle].bays),
            tuple(
                DueOnIt(bay.letter, due[bay.pairing_id])
                for bay in states[one.vehicle].bays
                if bay.pairing_id in due and due[bay.pairing_id].due_on < one.to_at[:10]
            ),
        )
        for one in sailings
    ]
