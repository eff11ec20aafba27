"""Amended bays and people, and entries that were taken back.

Revision 0007.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import ident

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "withdrawal",
        sa.Column("id", ident(), nullable=False),
        sa.Column("withdrawn_act_id", ident(), nullable=False),
        sa.Column("instead_act_id", ident(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_withdrawal"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_withdrawal_seq"),
        sa.UniqueConstraint("withdrawn_act_id", name="withdrawn_once"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "amended_person",
        sa.Column("id", ident(), nullable=False),
        sa.Column("amended_act_id", ident(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("was_person_id", ident(), nullable=False),
        sa.Column("now_person_id", ident(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_amended_person"),
        sa.ForeignKeyConstraint(["now_person_id"], ["person.id"], name="fk_amended_person_now_person_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_amended_person_seq"),
        sa.ForeignKeyConstraint(["was_person_id"], ["person.id"], name="fk_amended_person_was_person_id"),
        sa.CheckConstraint("was_person_id <> now_person_id", name=op.f("amended_person_is_another")),
        sa.CheckConstraint("part IN ('done', 'lifted')", name=op.f("amended_person_part_known")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "amended_bay",
        sa.Column("id", ident(), nullable=False),
        sa.Column("amended_act_id", ident(), nullable=False),
        sa.Column("was_bay_id", ident(), nullable=False),
        sa.Column("now_bay_id", ident(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_amended_bay"),
        sa.ForeignKeyConstraint(["now_bay_id"], ["bay.id"], name="fk_amended_bay_now_bay_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_amended_bay_seq"),
        sa.ForeignKeyConstraint(["was_bay_id"], ["bay.id"], name="fk_amended_bay_was_bay_id"),
        sa.CheckConstraint("was_bay_id <> now_bay_id", name=op.f("amended_bay_is_another")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "withdrawn_of",
        sa.Column("id", ident(), nullable=False),
        sa.Column("withdrawal_id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("bay_id", ident(), nullable=True),
        sa.Column("housing_id", ident(), nullable=True),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_withdrawn_of"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_withdrawn_of_bay_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_withdrawn_of_half_id"),
        sa.ForeignKeyConstraint(["housing_id"], ["housing.id"], name="fk_withdrawn_of_housing_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_withdrawn_of_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_withdrawn_of_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_withdrawn_of_vehicle_id"),
        sa.ForeignKeyConstraint(["withdrawal_id"], ["withdrawal.id"], name="fk_withdrawn_of_withdrawal_id"),
        sa.CheckConstraint(
            "(CASE WHEN half_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pairing_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN bay_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN housing_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("withdrawn_of_one_thing"),
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_amended_person_amended_act_id", "amended_person", ["amended_act_id", "seq"])
    op.create_index("ix_amended_bay_amended_act_id", "amended_bay", ["amended_act_id"])
    op.create_index("ix_withdrawn_of_bay_id", "withdrawn_of", ["bay_id"])
    op.create_index("ix_withdrawn_of_half_id", "withdrawn_of", ["half_id"])
    op.create_index("ix_withdrawn_of_housing_id", "withdrawn_of", ["housing_id"])
    op.create_index("ix_withdrawn_of_pairing_id", "withdrawn_of", ["pairing_id"])
    op.create_index("ix_withdrawn_of_vehicle_id", "withdrawn_of", ["vehicle_id"])


def downgrade() -> None:
    op.drop_table("withdrawn_of")
    op.drop_table("amended_bay")
    op.drop_table("amended_person")
    op.drop_table("withdrawal")
