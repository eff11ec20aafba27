"""Vehicles, their housings and bays, and what each bay accepts and is used for, by date."""

import sqlalchemy as sa

from registry.domain.fleet import CLOSING_METHODS, HULLS, USES
from registry.models.base import Stay, column, folded, instant, key, maybe, once, one_of, refers, to
from registry.models.columns import Figure, Id

vehicle = folded(
    "vehicle",
    column("code", sa.Text),
    column("name", sa.Text),
    column("hull_number", sa.Text),
    column("hull", sa.Text),
    column("length_m", Figure),
    one_of("hull", *HULLS),
    once("vehicle_code_once", "code", sentence="Another vehicle bears that code."),
    once("vehicle_name_once", "name", sentence="Another vehicle has that name."),
)

vehicle_place = folded(
    "vehicle_place",
    to("vehicle"),
    to("site"),
    *instant("since"),
    column("by_act", Id),
    sa.Index("ix_vehicle_place_vehicle_id", "vehicle_id", "since_at", "seq"),
    sa.Index("ix_vehicle_place_by_act", "by_act"),
    changes="voids",
)

housing = folded(
    "housing",
    to("vehicle"),
    column("name", sa.Text),
    column("closing_method", sa.Text),
    maybe("free_volume_l", Figure),
    maybe("vacuum_limit_mbar", Figure),
    one_of("closing_method", *CLOSING_METHODS),
    once("housing_name_once", "vehicle_id", "name", sentence="Another housing of this vehicle has that name."),
    key("housing_by_vehicle", "id", "vehicle_id"),
)

bay = folded(
    "bay",
    column("code", sa.Text),
    to("vehicle"),
    to("housing"),
    column("letter", sa.Text),
    column("from_bow_m", Figure),
    once("bay_code_once", "code", sentence="Another bay bears that code."),
    once("bay_letter_once", "vehicle_id", "letter", sentence="Another bay of this vehicle has that letter."),
    refers("bay_in_a_housing_of_its_vehicle", ["housing_id", "vehicle_id"], "housing", ["id", "vehicle_id"]),
)

bay_type = folded(
    "bay_type",
    to("bay"),
    to("unit_type"),
    *instant("accepted"),
    *instant("ended", nullable=True, closing=True),
    sa.Index("ix_bay_type_bay_id", "bay_id", "accepted_at"),
    changes="closes",
    stay=Stay("accepted_at", "ended_at", apart=("bay_id unit_type_id",)),
)

bay_use = folded(
    "bay_use",
    to("bay"),
    column("use", sa.Text),
    maybe("heading_tolerance_deg", Figure),
    *instant("since"),
    one_of("use", *USES),
    sa.Index("ix_bay_use_bay_id", "bay_id", "since_at", "seq"),
    changes="voids",
)
