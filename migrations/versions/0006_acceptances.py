"""Named acceptances of findings.

Revision 0006.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, forms, ident, instant

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "acceptance",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("bay", sa.Text(), nullable=True),
        sa.Column("finding", sa.Text(), nullable=False),
        sa.Column("use", sa.Text(), nullable=True),
        sa.Column("evidence_seq", sa.Integer(), nullable=False),
        sa.Column("fact", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("from_on", day(), nullable=True),
        sa.Column("to_on", day(), nullable=False),
        sa.Column("accepted_by_id", ident(), nullable=False),
        sa.Column("accepted_at", instant(), nullable=False),
        sa.Column("accepted_offset_min", sa.Integer(), nullable=False),
        sa.Column("withdrawn_at", instant(), nullable=True),
        sa.Column("withdrawn_offset_min", sa.Integer(), nullable=True),
        sa.Column("withdrawn_by_id", ident(), nullable=True),
        sa.Column("why_withdrawn", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_acceptance"),
        sa.ForeignKeyConstraint(["accepted_by_id"], ["person.id"], name="fk_acceptance_accepted_by_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_acceptance_closed_seq"),
        sa.ForeignKeyConstraint(["evidence_seq"], ["log_entry.seq"], name="fk_acceptance_evidence_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_acceptance_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_acceptance_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_acceptance_voided_seq"),
        sa.ForeignKeyConstraint(["withdrawn_by_id"], ["person.id"], name="fk_acceptance_withdrawn_by_id"),
        sa.CheckConstraint("from_on IS NULL OR from_on <= to_on", name=op.f("acceptance_begins_before_it_ends")),
        sa.CheckConstraint(
            "(withdrawn_at IS NULL) = (closed_seq IS NULL) AND (withdrawn_offset_min IS NULL) = (closed_seq IS NULL) AND (withdrawn_by_id IS NULL) = (closed_seq IS NULL) AND (why_withdrawn IS NULL) = (closed_seq IS NULL)",
            name=op.f("acceptance_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("acceptance_closed_by_a_later_entry")),
        sa.CheckConstraint("withdrawn_at > accepted_at", name=op.f("acceptance_ends_after_it_begins")),
        sa.CheckConstraint("evidence_seq < seq", name=op.f("acceptance_rests_on_an_earlier_entry")),
        sa.CheckConstraint("use IN ('transit', 'camera', 'sidescan', 'multibeam')", name=op.f("acceptance_use_known")),
        *forms("acceptance", instants=["accepted_at", "withdrawn_at?"], days=["from_on?", "to_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_acceptance_vehicle_id", "acceptance", ["vehicle_id", "accepted_at"])


def downgrade() -> None:
    op.drop_table("acceptance")
