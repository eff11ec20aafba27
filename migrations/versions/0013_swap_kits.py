"""Swap kits: what a swap in a housing takes, and how many kits were counted where.

Revision 0013.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import forms, ident, instant

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "swap_kit_count",
        sa.Column("id", ident(), nullable=False),
        sa.Column("housing_id", ident(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("kits", sa.Integer(), nullable=False),
        sa.Column("counted_at", instant(), nullable=False),
        sa.Column("counted_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_swap_kit_count"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_swap_kit_count_housing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_swap_kit_count_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_swap_kit_count_site_id"),
        sa.CheckConstraint("kits >= 0", name=op.f("swap_kit_count_none_or_more")),
        *forms("swap_kit_count", instants=["counted_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "swap_kit_line",
        sa.Column("id", ident(), nullable=False),
        sa.Column("housing_id", ident(), nullable=False),
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
        sa.PrimaryKeyConstraint("id", name="pk_swap_kit_line"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_swap_kit_line_closed_seq"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_swap_kit_line_housing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_swap_kit_line_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_swap_kit_line_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("swap_kit_line_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("swap_kit_line_closed_by_a_later_entry")),
        sa.CheckConstraint("quantity >= 1", name=op.f("swap_kit_line_counts")),
        sa.CheckConstraint("ended_at > since_at", name=op.f("swap_kit_line_ends_after_it_begins")),
        *forms("swap_kit_line", instants=["since_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_swap_kit_count_housing_id", "swap_kit_count", ["housing_id", "site_id", "counted_at"])
    op.create_index("ix_swap_kit_line_housing_id", "swap_kit_line", ["housing_id", "since_at"])


def downgrade() -> None:
    op.drop_table("swap_kit_line")
    op.drop_table("swap_kit_count")
