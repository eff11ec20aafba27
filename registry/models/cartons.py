"""A carton as it stands: read alike by the acts that are decided on it and by the pages that show it."""

import sqlalchemy as sa
from sqlalchemy import select

from registry.domain.deliveries import Carton
from registry.models.deliveries import bag_opening, carton, carton_opening, delivery, inspection
from registry.models.sites import station

#: Each carton with its delivery and what was done with it so far; `touched` is the newest entry that did.
cartons = (
    select(
        carton, delivery.c.reference, delivery.c.site_id, station.c.name.label("station"), carton_opening.c.station_id, carton_opening.c.alone,
        carton_opening.c.opened_at, bag_opening.c.opened_at.label("bag_opened_at"), bag_opening.c.warmth, inspection.c.id.label("inspection_id"),
        inspection.c.inspected_at, inspection.c.outcome, inspection.c.agrees, inspection.c.bag, inspection.c.words.label("found"),
        sa.func.coalesce(inspection.c.seq, bag_opening.c.seq, carton_opening.c.seq, carton.c.seq).label("touched"),
    )
    .join(delivery, delivery.c.id == carton.c.delivery_id)
    .outerjoin(carton_opening, carton_opening.c.carton_id == carton.c.id)
    .outerjoin(station, station.c.id == carton_opening.c.station_id)
    .outerjoin(bag_opening, bag_opening.c.carton_id == carton.c.id)
    .outerjoin(inspection, inspection.c.carton_id == carton.c.id)
)  # fmt: skip


def carton_of(row: sa.RowMapping) -> Carton:
    """The carton of a row of `cartons`."""
    return Carton(
        id=row["id"],
        name=f"carton {row['number']} of {row['reference']}",
        half_id=row["half_id"],
        site_id=row["site_id"],
        taken_in_at=row["taken_in_at"],
        deep_cold=bool(row["deep_cold"]),
        station_id=row["station_id"],
        opened_at=row["opened_at"],
        bag_opened_at=row["bag_opened_at"],
        inspected_at=row["inspected_at"],
        seq=row["touched"],
    )
