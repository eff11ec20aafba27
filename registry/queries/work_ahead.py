"""What is recorded of vehicles that are to sail, for the plan of fewest openings."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.fewest_openings import assumptions
from registry.domain.plans import GROUPS, Plan, say_value
from registry.domain.sailings import Sailing
from registry.domain.voyages import Voyage
from registry.domain.work_ahead import SailingBay, SailingFacts, VehicleWork, work_ahead
from registry.errors import Reason, Refused
from registry.models import fit_rows
from registry.models.columns import Id
from registry.models.holds import hold
from registry.models.openings import recheck
from registry.models.pairings import pairing
from registry.models.plans import plans_at
from registry.models.seeks import EVER
from registry.models.spare_settings import sheets_of_bays
from registry.models.standings import Standing, standings
from registry.queries.fleet import BayState, VehicleState, vehicles_at
from registry.queries.spares import BaySpares, spares_of_bays

FIGURES = tuple(GROUPS["Time that work takes, for planning"])
_holds = select(hold.c.id).where(
    hold.c.id.in_(bindparam("ids", expanding=True)), sa.or_(hold.c.bay_id.is_not(None), hold.c.vehicle_id.is_not(None))
)
_rechecks = select(recheck.c.id, recheck.c.what, recheck.c.housing_id).where(
    recheck.c.id.in_(bindparam("ids", expanding=True))
)
_types = select(pairing.c.id, pairing.c.unit_type_id).where(
    pairing.c.id.in_(bindparam("pairings", type_=Id, expanding=True))
)


def work_of_sailings(
    db: sa.Connection, sailings: Sequence[Sailing], at: str, known: int = EVER, *, accept_care: bool = False
) -> tuple[list[VehicleWork], list[str]]:
    """The work ahead of each sailing, and what is assumed: a fixed number of statements for each voyage and use. A vehicle
    is judged as the page that asks about that voyage and use judges it."""
    plans, done, own = plans_at(db, at, known), {}, {}
    for since, until, use in sorted({(one.from_at, one.to_at, one.use or "") for one in sailings}):
        mine = [one for one in sailings if (one.from_at, one.to_at, one.use or "") == (since, until, use)]
        ids = [one.vehicle for one in mine]
        states = {
            state.id: state for state in vehicles_at(db, at, known, ids, voyage=Voyage(since, until), use=use or None)
        }
        if missing := [id_ for id_ in ids if id_ not in states]:
            told = f"{len(missing)} of these vehicles {'was' if len(missing) == 1 else 'were'} not known then."
            raise Refused(Reason("not_found", told, "sailing", "Ask for a later instant."))
        found = _Found(db, list(states.values()), at, known, until)
        for one in mine:
            plan = plans(states[one.vehicle].site_id)
            own[states[one.vehicle].site or "Where no site is recorded"] = _own_figures(plan)
            done[one.vehicle] = work_ahead(found.facts(one, states[one.vehicle], plans, at, accept_care))
    told = assumptions(at, accept_care, any(one.use for one in sailings), own)
    return [done[one.vehicle] for one in sailings], told


def _own_figures(plan: Plan) -> dict[str, str]:
    """Figures that were set, each with its value and whose it is."""
    return {
        name: f"{say_value(name, plan.value(name))}; {plan.source(name)}" for name in FIGURES if name in plan.figures
    }


class _Found:
    """Everything about these vehicles that is read once for all of them."""

    def __init__(self, db: sa.Connection, states: Sequence[VehicleState], at: str, known: int, last_day: str):
        offers = [finding.offer.fields for state in states for finding in state.findings if finding.offer]
        held, asked = ([fields[name] for fields in offers if name in fields] for name in ("hold", "recheck"))
        self.staying = frozenset(db.execute(_holds, {"ids": held}).scalars())
        self.asked = {row.id: (row.what, row.housing_id) for row in db.execute(_rechecks, {"ids": asked})}
        keys: dict[str, Any] = {"at": at, "known": known, "all_vehicles": 0, "vehicles": [state.id for state in states]}
        last = {row["id"]: row for row in db.execute(fit_rows.bays, keys).mappings() if row["span_id"]}
        self._stands = standings(db, [row["installation_id"] for row in last.values()], at, known)
        pairs = sorted({row["pairing_id"] for row in last.values()})
        types = {row.id: row.unit_type_id for row in db.execute(_types, {"pairings": pairs})}
        self._last = {
            id_: (self._stands[row["installation_id"]], types[row["pairing_id"]]) for id_, row in last.items()
        }
        bays = [bay.id for state in states for bay in state.bays]
        self._sheets = sheets_of_bays(db, bays, at, known)
        self._spares = {one.bay.id: one for one in spares_of_bays(db, bays, at, known, last_day)}

    def facts(
        self, sailing: Sailing, state: VehicleState, plans: Callable[[str | None], Plan], at: str, accept_care: bool
    ) -> SailingFacts:
        plan = plans(state.site_id)
        minutes = {name: int(value) if (value := plan.value(name)) else None for name in FIGURES}
        mine = {finding.offer.fields.get("recheck") for finding in state.findings if finding.offer}
        return SailingFacts(
            sailing, state.name, state.code, state.findings, tuple(self._bay(one) for one in state.bays), state.housings,
            self.staying, {id_: told for id_, told in self.asked.items() if id_ in mine}, minutes,
            _minutes_between(at, sailing.from_at), self._carriage(plans), accept_care,
        )  # fmt: skip

    def _carriage(self, plans: Callable[[str | None], Plan]) -> dict[str, int]:
        """Site -> minutes that carriage takes from there, of the sites that say so and where spares lie."""
        sites = {spare.pair.site_id for one in self._spares.values() for spare in one.spares}
        told = {id_: plans(id_).value("carriage_min") for id_ in sites if id_}
        return {id_: int(value) for id_, value in told.items() if value}

    def _bay(self, one: BayState) -> SailingBay:
        spares: BaySpares = self._spares[one.id]
        standing, type_id = self._last.get(one.id, (Standing(), None))
        aligned = (
            standing.alignment is not None
            and standing.alignment.state != "withdrawn"
            and not standing.alignment.outdated
        )
        carries = type_id if standing.dowels and aligned else None
        return SailingBay(spares.bay, one.pair, carries, one.id in self._sheets, spares.spares)


def _minutes_between(since: str, until: str) -> int:
    """Whole minutes from one instant to another; none when it is over."""
    ends = [datetime.fromisoformat(text) for text in (since, until)]
    return max(0, int((ends[1] - ends[0]).total_seconds() // 60))
