"""Movement out of the house: loans with their days of return, halves away, border crossings.

Revision 0010.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, forms, ident, instant

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "crossing",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("from_country", sa.Text(), nullable=False),
        sa.Column("to_country", sa.Text(), nullable=False),
        sa.Column("crosses_on", day(), nullable=False),
        sa.Column("returns_on", day(), nullable=True),
        sa.Column("classification", sa.Text(), nullable=False),
        sa.Column("stated_by", sa.Text(), nullable=False),
        sa.Column("stated_on", day(), nullable=True),
        sa.Column("licence", sa.Text(), nullable=True),
        sa.Column("licence_expires_on", day(), nullable=True),
        sa.Column("carnet", sa.Text(), nullable=True),
        sa.Column("carnet_expires_on", day(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("planned_at", instant(), nullable=False),
        sa.Column("planned_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("outcome", sa.Text(), nullable=True),
        sa.Column("said", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_crossing"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_crossing_closed_seq"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_crossing_half_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_crossing_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_crossing_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_crossing_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_crossing_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (outcome IS NULL) = (closed_seq IS NULL) AND (said IS NULL) = (closed_seq IS NULL)",
            name=op.f("crossing_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("crossing_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > planned_at", name=op.f("crossing_ends_after_it_begins")),
        sa.CheckConstraint(
            "(CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pairing_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN half_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("crossing_of_one_thing"),
        ),
        sa.CheckConstraint("outcome IS NULL OR outcome IN ('crossed', 'dropped')", name=op.f("crossing_outcome_known")),
        *forms(
            "crossing",
            instants=["planned_at", "ended_at?"],
            days=["crosses_on", "returns_on?", "stated_on?", "licence_expires_on?", "carnet_expires_on?"],
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "loan",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("direction", sa.Text(), nullable=False),
        sa.Column("partner", sa.Text(), nullable=False),
        sa.Column("answers_id", ident(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("lent_at", instant(), nullable=False),
        sa.Column("lent_offset_min", sa.Integer(), nullable=False),
        sa.Column("returned_at", instant(), nullable=True),
        sa.Column("returned_offset_min", sa.Integer(), nullable=True),
        sa.Column("said", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_loan"),
        sa.ForeignKeyConstraint(["answers_id"], ["person.id"], name="fk_loan_answers_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_loan_closed_seq"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_loan_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_loan_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_loan_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_loan_voided_seq"),
        sa.CheckConstraint(
            "(returned_at IS NULL) = (closed_seq IS NULL) AND (returned_offset_min IS NULL) = (closed_seq IS NULL) AND (said IS NULL) = (closed_seq IS NULL)",
            name=op.f("loan_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("loan_closed_by_a_later_entry")),
        sa.CheckConstraint("direction IN ('out', 'in')", name=op.f("loan_direction_known")),
        sa.CheckConstraint("returned_at > lent_at", name=op.f("loan_ends_after_it_begins")),
        sa.CheckConstraint("(vehicle_id IS NULL) <> (pairing_id IS NULL)", name=op.f("loan_of_one_thing")),
        *forms("loan", instants=["lent_at", "returned_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "half_away",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("loan_id", ident(), nullable=True),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("keeper", sa.Text(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("due_on", day(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("returned_at", instant(), nullable=True),
        sa.Column("returned_offset_min", sa.Integer(), nullable=True),
        sa.Column("outcome", sa.Text(), nullable=True),
        sa.Column("said", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_half_away"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_half_away_closed_seq"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_half_away_half_id"),
        sa.ForeignKeyConstraint(["loan_id"], ["loan.id"], name="fk_half_away_loan_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_half_away_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_half_away_voided_seq"),
        sa.CheckConstraint("cause IN ('repair', 'loan')", name=op.f("half_away_cause_known")),
        sa.CheckConstraint(
            "(returned_at IS NULL) = (closed_seq IS NULL) AND (returned_offset_min IS NULL) = (closed_seq IS NULL) AND (outcome IS NULL) = (closed_seq IS NULL) AND (said IS NULL) = (closed_seq IS NULL)",
            name=op.f("half_away_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("half_away_closed_by_a_later_entry")),
        sa.CheckConstraint("returned_at > since_at", name=op.f("half_away_ends_after_it_begins")),
        sa.CheckConstraint("(cause = 'loan') = (loan_id IS NOT NULL)", name=op.f("half_away_on_a_loan")),
        sa.CheckConstraint(
            "outcome IS NULL OR outcome IN ('untouched', 'repaired', 'kept')", name=op.f("half_away_outcome_known")
        ),
        *forms("half_away", instants=["since_at", "returned_at?"], days=["due_on?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "loan_due",
        sa.Column("id", ident(), nullable=False),
        sa.Column("loan_id", ident(), nullable=False),
        sa.Column("due_on", day(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("agreed_at", instant(), nullable=False),
        sa.Column("agreed_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_loan_due"),
        sa.ForeignKeyConstraint(["loan_id"], ["loan.id"], name="fk_loan_due_loan_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_loan_due_seq"),
        *forms("loan_due", instants=["agreed_at"], days=["due_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_crossing_half_id", "crossing", ["half_id", "planned_at"])
    op.create_index("ix_crossing_pairing_id", "crossing", ["pairing_id", "planned_at"])
    op.create_index("ix_crossing_vehicle_id", "crossing", ["vehicle_id", "planned_at"])
    op.create_index("ix_loan_pairing_id", "loan", ["pairing_id", "lent_at"])
    op.create_index("ix_loan_vehicle_id", "loan", ["vehicle_id", "lent_at"])
    op.create_index("ix_half_away_half_id", "half_away", ["half_id", "since_at", "seq"])
    op.create_index("ix_half_away_loan_id", "half_away", ["loan_id"])
    op.create_index("ix_loan_due_loan_id", "loan_due", ["loan_id", "agreed_at"])


def downgrade() -> None:
    op.drop_table("loan_due")
    op.drop_table("half_away")
    op.drop_table("loan")
    op.drop_table("crossing")
