"""Missions put right: what was entered of them, and what holds instead.

Revision 0016.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import forms, ident, instant

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "amended_mission",
        sa.Column("id", ident(), nullable=False),
        sa.Column("mission_id", ident(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("was_vehicle_id", ident(), nullable=True),
        sa.Column("now_vehicle_id", ident(), nullable=True),
        sa.Column("was_at", instant(), nullable=True),
        sa.Column("was_offset_min", sa.Integer(), nullable=True),
        sa.Column("now_at", instant(), nullable=True),
        sa.Column("now_offset_min", sa.Integer(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_amended_mission"),
        sa.ForeignKeyConstraint(["mission_id"], ["mission.id"], name="fk_amended_mission_mission_id"),
        sa.ForeignKeyConstraint(["now_vehicle_id"], ["vehicle.id"], name="fk_amended_mission_now_vehicle_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_amended_mission_seq"),
        sa.ForeignKeyConstraint(["was_vehicle_id"], ["vehicle.id"], name="fk_amended_mission_was_vehicle_id"),
        sa.CheckConstraint("was_vehicle_id <> now_vehicle_id", name=op.f("amended_mission_is_another")),
        sa.CheckConstraint(
            "part IN ('vehicle', 'planned_from', 'planned_to', 'started', 'ended')",
            name=op.f("amended_mission_part_known"),
        ),
        sa.CheckConstraint(
            "(part = 'vehicle') = (was_vehicle_id IS NOT NULL) AND (part = 'vehicle') = (now_vehicle_id IS NOT NULL) AND (part = 'vehicle') = (was_at IS NULL) AND (part = 'vehicle') = (now_at IS NULL)",
            name=op.f("amended_mission_says_both"),
        ),
        *forms("amended_mission", instants=["was_at?", "now_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_amended_mission_mission_id", "amended_mission", ["mission_id", "part", "seq"])
    op.create_index("ix_amended_mission_was_vehicle_id", "amended_mission", ["was_vehicle_id"])


def downgrade() -> None:
    op.drop_table("amended_mission")
