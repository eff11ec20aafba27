"""Moves: halves and vehicles from one site to another."""

from typing import Annotated

from pydantic import Field

from registry.acts import seats
from registry.acts.act import Case, Decision, Deed
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import HalfRef, Line, SiteRef, VehicleRef
from registry.domain.loans import reasons_away
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.away import away
from registry.models.whereabouts import whereabouts


class MoveHalves(Deed, name="move_halves", may=May.MOVE, says="Move halves"):
    """Halves that lie loose go to another site, shelf or bench. What sits in a bay moves with its vehicle."""

    halves: Annotated[list[HalfRef], Field(min_length=1, max_length=200)] = Field(
        title="Halves", description="Scan each, one a line."
    )
    site: SiteRef = Field(title="To")
    spot: Line | None = Field(None, title="Shelf or bench")

    def decide(self, case: Case) -> Decision:
        ids = list(dict.fromkeys(case.ids["halves"]))
        known = seats.halves(case.db, ids)
        places = whereabouts(case.db, ids, case.at)
        reasons = [
            Reason(
                "pair_installed",
                f"{known[id_]} sits {places[id_].say()}; it moves with the vehicle.",
                "halves",
                "Remove the pair first, or move the vehicle.",
            )
            for id_ in ids
            if places[id_].bay_id
        ]
        gone = away(case.db, ids, case.at)
        reasons += [one for id_ in ids for one in reasons_away(gone.get(id_), str(known[id_]), "halves")]
        return Decision(reasons, hold_on=[("half_id", id_) for id_ in ids])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        ids = list(dict.fromkeys(entry.ids["halves"]))
        told = {
            "site_id": entry.ids["site"],
            "spot": entry.body["spot"] or "",
            **entry.moment("since"),
            "by_act": entry.id,
        }
        return [Add("half_place", {"id": entry.derived(f"place:{id_}"), "half_id": id_, **told}) for id_ in ids]


class MoveVehicle(Deed, name="move_vehicle", may=May.MOVE, says="Move a vehicle"):
    """A vehicle goes to another site or aboard a vessel, with everything in its bays."""

    vehicle: VehicleRef = Field(title="Vehicle")
    site: SiteRef = Field(title="To")

    def decide(self, case: Case) -> Decision:
        place = seats.vehicle_site(case.db, case.ids["vehicle"], case.at)
        if retired := seats.retired_words(case.db, case.at, {}, case.ids["vehicle"], "That vehicle"):
            return Decision([Reason("retired", f"{retired[0]}.", "vehicle", "Look at the vehicle and at the time.")])
        if place and place.site_id == case.ids["site"]:
            return Decision(
                [
                    Reason(
                        "already_so",
                        f"It is at {place.site} since {say(place.since_at)}.",
                        "site",
                        "There is nothing to enter.",
                    )
                ],
                touched=place.seq,
            )
        return Decision(touched=place.seq if place else 0, hold_on=[("vehicle_id", case.ids["vehicle"])])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {
            "vehicle_id": entry.ids["vehicle"],
            "site_id": entry.ids["site"],
            **entry.moment("since"),
            "by_act": entry.id,
        }
        return [Add("vehicle_place", {"id": entry.id, **told})]
