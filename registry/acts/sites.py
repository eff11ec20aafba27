"""Sites and the ESD stations at them."""

from typing import Annotated

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import Line, SiteRef, one_from
from registry.domain.fleet import SITE_KINDS
from registry.domain.handling import STATION_KINDS
from registry.domain.people import May
from registry.errors import Reason
from registry.models.sites import site, station

_site_named = select(site.c.id).where(site.c.name == bindparam("name"))
_station_named = select(station.c.id).where(station.c.site_id == bindparam("site"), station.c.name == bindparam("name"))


class AddSite(Act, name="add_site", may=May.KEEP, says="Add a site"):
    """A place where units lie and vehicles are worked on, ashore or afloat."""

    site: Line = Field(title="Name")
    kind: one_from(SITE_KINDS) = Field(title="Kind")
    offset_min: Annotated[int, Field(ge=-1439, le=1439)] = Field(
        0, title="Minutes east of UTC", description="For showing local time beside UTC."
    )

    def decide(self, case: Case) -> Decision:
        known = case.db.execute(_site_named, {"name": self.site}).first()
        reasons = (
            [
                Reason(
                    "already_known",
                    f"A site called {self.site} is in the registry.",
                    "site",
                    "Use it, or give this one another name.",
                )
            ]
            if known
            else []
        )
        return Decision(reasons, {"code": case.draw()})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        return [
            Add(
                "site",
                {
                    "id": entry.id,
                    "code": entry.decided["code"],
                    "name": body["site"],
                    "kind": body["kind"],
                    "offset_min": body["offset_min"],
                },
            )
        ]


class AddStation(Act, name="add_station", may=May.EQUIP, says="Add an ESD station"):
    """A protected area at a site, or a field kit that belongs there."""

    site: SiteRef = Field(title="Site")
    station: Line = Field(title="Name")
    kind: one_from(STATION_KINDS) = Field(title="Kind")

    def decide(self, case: Case) -> Decision:
        known = case.db.execute(_station_named, {"site": case.ids["site"], "name": self.station}).first()
        reasons = (
            [
                Reason(
                    "already_known",
                    f"A station called {self.station} is at that site already.",
                    "station",
                    "Use it, or give this one another name.",
                )
            ]
            if known
            else []
        )
        return Decision(reasons, {"code": case.draw()})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        return [
            Add(
                "station",
                {
                    "id": entry.id,
                    "code": entry.decided["code"],
                    "site_id": entry.ids["site"],
                    "name": body["station"],
                    "kind": body["kind"],
                },
            )
        ]
