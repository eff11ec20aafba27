"""Looks at seated pairs by a second person, or again by who seated them.

Revision 0015.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import figure, forms, ident, instant

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "second_check",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("done_by_id", ident(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("looked_at", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("photos", sa.Integer(), nullable=False),
        sa.Column("rest_min", figure(), nullable=False),
        sa.Column("checked_at", instant(), nullable=False),
        sa.Column("checked_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_second_check"),
        sa.ForeignKeyConstraint(["done_by_id"], ["person.id"], name="fk_second_check_done_by_id"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_second_check_installation_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_second_check_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_second_check_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_second_check_voided_seq"),
        sa.CheckConstraint("how IN ('present', 'ashore', 'alone')", name=op.f("second_check_how_known")),
        sa.CheckConstraint("looked_at <> '' OR told <> ''", name=op.f("second_check_looked_or_told")),
        sa.CheckConstraint(
            "photos >= 0 AND (how = 'present' OR told <> '' OR photos > 0)", name=op.f("second_check_shown_by_photos")
        ),
        *forms("second_check", instants=["checked_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_second_check_installation_id", "second_check", ["installation_id", "checked_at", "seq"])


def downgrade() -> None:
    op.drop_table("second_check")
