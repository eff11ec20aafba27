"""Receiving: deliveries, cartons, unboxing, inspections, scopes of delivery and first power-ups.

Revision 0003.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import figure, flag, forms, ident, instant

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "delivery",
        sa.Column("id", ident(), nullable=False),
        sa.Column("sender", sa.Text(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("cartons", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("arrived_at", instant(), nullable=False),
        sa.Column("arrived_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_delivery"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_delivery_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_delivery_site_id"),
        sa.UniqueConstraint("sender", "reference", name="delivery_reference_once"),
        sa.CheckConstraint("cartons >= 1", name=op.f("delivery_of_something")),
        *forms("delivery", instants=["arrived_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "scope_line",
        sa.Column("id", ident(), nullable=False),
        sa.Column("unit_type_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_scope_line"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_scope_line_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_scope_line_seq"),
        sa.ForeignKeyConstraint(["unit_type_id"], ["unit_type.id"], name="fk_scope_line_unit_type_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_scope_line_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("scope_line_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("scope_line_closed_by_a_later_entry")),
        sa.CheckConstraint("quantity >= 1", name=op.f("scope_line_counts")),
        sa.CheckConstraint("ended_at > since_at", name=op.f("scope_line_ends_after_it_begins")),
        *forms("scope_line", instants=["since_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "carton",
        sa.Column("id", ident(), nullable=False),
        sa.Column("delivery_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.Column("shock", sa.Text(), nullable=False),
        sa.Column("tilt", sa.Text(), nullable=False),
        sa.Column("seal", sa.Text(), nullable=False),
        sa.Column("deep_cold", flag(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("taken_in_at", instant(), nullable=False),
        sa.Column("taken_in_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_carton"),
        sa.ForeignKeyConstraint(["delivery_id"], ["delivery.id"], name="fk_carton_delivery_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_carton_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_carton_seq"),
        sa.UniqueConstraint("delivery_id", "number", name="carton_number_once"),
        sa.CheckConstraint("condition IN ('sound', 'dented', 'torn', 'wet')", name=op.f("carton_condition_known")),
        sa.CheckConstraint("number >= 1", name=op.f("carton_counts")),
        sa.CheckConstraint("seal IN ('whole', 'broken', 'none')", name=op.f("carton_seal_known")),
        sa.CheckConstraint("shock IN ('clear', 'tripped', 'none')", name=op.f("carton_shock_known")),
        sa.CheckConstraint("tilt IN ('clear', 'tripped', 'none')", name=op.f("carton_tilt_known")),
        *forms("carton", instants=["taken_in_at"], flags=["deep_cold"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "bag_opening",
        sa.Column("id", ident(), nullable=False),
        sa.Column("carton_id", ident(), nullable=False),
        sa.Column("esd_signoff_id", ident(), nullable=True),
        sa.Column("surface_c", figure(), nullable=True),
        sa.Column("air_c", figure(), nullable=True),
        sa.Column("humidity_pct", figure(), nullable=True),
        sa.Column("warmth", sa.Text(), nullable=False),
        sa.Column("opened_at", instant(), nullable=False),
        sa.Column("opened_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_bag_opening"),
        sa.ForeignKeyConstraint(["carton_id"], ["carton.id"], name="fk_bag_opening_carton_id"),
        sa.ForeignKeyConstraint(["esd_signoff_id"], ["esd_signoff.id"], name="fk_bag_opening_esd_signoff_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bag_opening_seq"),
        sa.UniqueConstraint("carton_id", name="bag_opened_once"),
        *forms("bag_opening", instants=["opened_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "carton_opening",
        sa.Column("id", ident(), nullable=False),
        sa.Column("carton_id", ident(), nullable=False),
        sa.Column("station_id", ident(), nullable=False),
        sa.Column("alone", sa.Text(), nullable=False),
        sa.Column("opened_at", instant(), nullable=False),
        sa.Column("opened_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_carton_opening"),
        sa.ForeignKeyConstraint(["carton_id"], ["carton.id"], name="fk_carton_opening_carton_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_carton_opening_seq"),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name="fk_carton_opening_station_id"),
        sa.UniqueConstraint("carton_id", name="carton_opened_once"),
        *forms("carton_opening", instants=["opened_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "inspection",
        sa.Column("id", ident(), nullable=False),
        sa.Column("carton_id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("agrees", flag(), nullable=False),
        sa.Column("bag", sa.Text(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("inspected_at", instant(), nullable=False),
        sa.Column("inspected_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_inspection"),
        sa.ForeignKeyConstraint(["carton_id"], ["carton.id"], name="fk_inspection_carton_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_inspection_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_inspection_seq"),
        sa.UniqueConstraint("carton_id", name="inspected_once"),
        sa.CheckConstraint("bag IN ('closed', 'damaged', 'open', 'none')", name=op.f("inspection_bag_known")),
        sa.CheckConstraint(
            "outcome IN ('accept', 'accept_noted', 'hold', 'reject')", name=op.f("inspection_outcome_known")
        ),
        *forms("inspection", instants=["inspected_at"], flags=["agrees"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "power_up",
        sa.Column("id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("off_load_v", figure(), nullable=False),
        sa.Column("on_load_v", figure(), nullable=False),
        sa.Column("current_a", figure(), nullable=False),
        sa.Column("fault_mohm", figure(), nullable=True),
        sa.Column("least_v", figure(), nullable=True),
        sa.Column("most_v", figure(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("powered_at", instant(), nullable=False),
        sa.Column("powered_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_power_up"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_power_up_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_power_up_seq"),
        sa.CheckConstraint("verdict IN ('pass', 'fail', 'incomplete')", name=op.f("power_up_verdict_known")),
        *forms("power_up", instants=["powered_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "inspection_line",
        sa.Column("id", ident(), nullable=False),
        sa.Column("inspection_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_inspection_line"),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspection.id"], name="fk_inspection_line_inspection_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_inspection_line_seq"),
        sa.CheckConstraint("quantity >= 0", name=op.f("inspection_line_counts")),
        sa.CheckConstraint(
            "state IN ('done', 'missing', 'damaged', 'not_applicable')", name=op.f("inspection_line_state_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_scope_line_unit_type_id", "scope_line", ["unit_type_id", "since_at"])
    op.create_index("ix_carton_half_id", "carton", ["half_id", "taken_in_at"])
    op.create_index("ix_carton_opening_station_id", "carton_opening", ["station_id"])
    op.create_index("ix_inspection_half_id", "inspection", ["half_id", "inspected_at"])
    op.create_index("ix_power_up_pairing_id", "power_up", ["pairing_id", "powered_at"])
    op.create_index("ix_inspection_line_inspection_id", "inspection_line", ["inspection_id"])


def downgrade() -> None:
    op.drop_table("inspection_line")
    op.drop_table("power_up")
    op.drop_table("inspection")
    op.drop_table("carton_opening")
    op.drop_table("bag_opening")
    op.drop_table("carton")
    op.drop_table("scope_line")
    op.drop_table("delivery")
