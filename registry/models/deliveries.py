"""Receiving: deliveries, their cartons, what was opened and found, a type's scope of delivery, first power-ups."""

import sqlalchemy as sa

from registry.domain.deliveries import BAGS, CONDITIONS, INDICATORS, LINE_STATES, OUTCOMES, POWER_VERDICTS, SEALS
from registry.models.base import Stay, column, folded, instant, maybe, once, one_of, says, to
from registry.models.columns import Figure, Flag

#: One line of what a delivery of this type holds, from when to when.
scope_line = folded(
    "scope_line",
    to("unit_type"),
    column("number", sa.Integer),
    column("item", sa.Text),
    column("quantity", sa.Integer),
    *instant("since"),
    *instant("ended", nullable=True, closing=True),
    says("scope_line_counts", "quantity >= 1", "A line counts one thing or more."),
    sa.Index("ix_scope_line_unit_type_id", "unit_type_id", "since_at"),
    changes="closes",
    stay=Stay("since_at", "ended_at"),
)

delivery = folded(
    "delivery",
    column("sender", sa.Text),
    column("reference", sa.Text),
    to("site"),
    column("cartons", sa.Integer),
    column("words", sa.Text),
    *instant("arrived"),
    says("delivery_of_something", "cartons >= 1", "A delivery is one carton or more."),
    once(
        "delivery_reference_once", "sender", "reference", sentence="That sender’s delivery is already in the registry."
    ),
)

carton = folded(
    "carton",
    to("delivery"),
    column("number", sa.Integer),
    to("half", nullable=True),
    column("condition", sa.Text),
    column("shock", sa.Text),
    column("tilt", sa.Text),
    column("seal", sa.Text),
    column("deep_cold", Flag),
    column("words", sa.Text),
    *instant("taken_in"),
    one_of("condition", *CONDITIONS),
    one_of("shock", *INDICATORS),
    one_of("tilt", *INDICATORS),
    one_of("seal", *SEALS),
    says("carton_counts", "number >= 1", "Cartons are counted from one."),
    once("carton_number_once", "delivery_id", "number", sentence="That carton of the delivery is already entered."),
    sa.Index("ix_carton_half_id", "half_id", "taken_in_at"),
)

carton_opening = folded(
    "carton_opening",
    to("carton"),
    to("station"),
    column("alone", sa.Text),
    *instant("opened"),
    once("carton_opened_once", "carton_id", sentence="That carton is already open.", code="already_so"),
    sa.Index("ix_carton_opening_station_id", "station_id"),
)

bag_opening = folded(
    "bag_opening",
    to("carton"),
    to("esd_signoff", nullable=True),
    maybe("surface_c", Figure),
    maybe("air_c", Figure),
    maybe("humidity_pct", Figure),
    column("warmth", sa.Text),
    *instant("opened"),
    once("bag_opened_once", "carton_id", sentence="Its bag is already open.", code="already_so"),
)

inspection = folded(
    "inspection",
    to("carton"),
    to("half"),
    column("label", sa.Text),
    column("agrees", Flag),
    column("bag", sa.Text),
    column("outcome", sa.Text),
    column("words", sa.Text),
    *instant("inspected"),
    one_of("bag", *BAGS),
    one_of("outcome", *OUTCOMES),
    once("inspected_once", "carton_id", sentence="That carton is already inspected.", code="already_so"),
    sa.Index("ix_inspection_half_id", "half_id", "inspected_at"),
)

inspection_line = folded(
    "inspection_line",
    to("inspection"),
    column("number", sa.Integer),
    column("item", sa.Text),
    column("quantity", sa.Integer),
    column("state", sa.Text),
    column("words", sa.Text),
    one_of("state", *LINE_STATES),
    says("inspection_line_counts", "quantity >= 0", "A line counts nothing or more."),
    sa.Index("ix_inspection_line_inspection_id", "inspection_id"),
)

power_up = folded(
    "power_up",
    to("pairing"),
    column("off_load_v", Figure),
    column("on_load_v", Figure),
    column("current_a", Figure),
    maybe("fault_mohm", Figure),
    maybe("least_v", Figure),
    maybe("most_v", Figure),
    column("verdict", sa.Text),
    column("words", sa.Text),
    *instant("powered"),
    one_of("verdict", *POWER_VERDICTS),
    sa.Index("ix_power_up_pairing_id", "pairing_id", "powered_at"),
)
