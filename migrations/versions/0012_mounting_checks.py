"""Mounting checks with their poses, motions of recorded axis and sign checks, and terms of contracts.

Revision 0012.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, figure, flag, forms, ident, instant

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "contract_term",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("from_on", day(), nullable=False),
        sa.Column("until_on", day(), nullable=True),
        sa.Column("overdue_stops", flag(), nullable=False),
        sa.Column("verification_months", sa.Integer(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("bound_at", instant(), nullable=False),
        sa.Column("bound_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_contract_term"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_contract_term_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_contract_term_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_contract_term_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_contract_term_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (end_reason IS NULL) = (closed_seq IS NULL)",
            name=op.f("contract_term_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("contract_term_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > bound_at", name=op.f("contract_term_ends_after_it_begins")),
        sa.CheckConstraint("until_on >= from_on", name=op.f("contract_term_not_before_it_begins")),
        sa.CheckConstraint("verification_months BETWEEN 1 AND 120", name=op.f("contract_term_of_whole_months")),
        *forms(
            "contract_term", instants=["bound_at", "ended_at?"], days=["from_on", "until_on?"], flags=["overdue_stops"]
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "mounting_check",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("bay_mounting_id", ident(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("best", sa.Text(), nullable=False),
        sa.Column("residual_m_s2", figure(), nullable=False),
        sa.Column("runner_up", sa.Text(), nullable=False),
        sa.Column("runner_up_residual_m_s2", figure(), nullable=False),
        sa.Column("limit_m_s2", figure(), nullable=False),
        sa.Column("tilt_deg", figure(), nullable=False),
        sa.Column("still_open", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("next", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("checked_at", instant(), nullable=False),
        sa.Column("checked_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mounting_check"),
        sa.ForeignKeyConstraint(["bay_mounting_id"], ["bay_mounting.id"], name="fk_mounting_check_bay_mounting_id"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_mounting_check_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_mounting_check_seq"),
        sa.CheckConstraint(
            "best IN ('forward starboard down', 'forward port up', 'forward down port', 'forward up starboard', 'aft starboard up', 'aft port down', 'aft down starboard', 'aft up port', 'starboard forward up', 'starboard aft down', 'starboard down forward', 'starboard up aft', 'port forward down', 'port aft up', 'port down aft', 'port up forward', 'down forward starboard', 'down aft port', 'down starboard aft', 'down port forward', 'up forward port', 'up aft starboard', 'up starboard forward', 'up port aft')",
            name=op.f("mounting_check_best_known"),
        ),
        sa.CheckConstraint(
            "runner_up IN ('forward starboard down', 'forward port up', 'forward down port', 'forward up starboard', 'aft starboard up', 'aft port down', 'aft down starboard', 'aft up port', 'starboard forward up', 'starboard aft down', 'starboard down forward', 'starboard up aft', 'port forward down', 'port aft up', 'port down aft', 'port up forward', 'down forward starboard', 'down aft port', 'down starboard aft', 'down port forward', 'up forward port', 'up aft starboard', 'up starboard forward', 'up port aft')",
            name=op.f("mounting_check_runner_up_known"),
        ),
        sa.CheckConstraint(
            "verdict IN ('agrees', 'contradicts', 'cannot_decide')", name=op.f("mounting_check_verdict_known")
        ),
        *forms("mounting_check", instants=["checked_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "axis_check_motion",
        sa.Column("id", ident(), nullable=False),
        sa.Column("axis_check_id", ident(), nullable=False),
        sa.Column("motion", sa.Text(), nullable=False),
        sa.Column("seconds", figure(), nullable=False),
        sa.Column("roll_deg", figure(), nullable=False),
        sa.Column("roll_sigma_deg", figure(), nullable=False),
        sa.Column("pitch_deg", figure(), nullable=False),
        sa.Column("pitch_sigma_deg", figure(), nullable=False),
        sa.Column("spread_deg", figure(), nullable=False),
        sa.Column("turned_deg", figure(), nullable=False),
        sa.Column("turned_sigma_deg", figure(), nullable=False),
        sa.Column("back_deg", figure(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_axis_check_motion"),
        sa.ForeignKeyConstraint(["axis_check_id"], ["axis_check.id"], name="fk_axis_check_motion_axis_check_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_axis_check_motion_seq"),
        sa.UniqueConstraint("axis_check_id", "motion", name="axis_check_motion_once"),
        sa.CheckConstraint(
            "motion IN ('level', 'bow_down', 'roll_right', 'turn')", name=op.f("axis_check_motion_motion_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "mounting_pose",
        sa.Column("id", ident(), nullable=False),
        sa.Column("mounting_check_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("pitch_deg", figure(), nullable=False),
        sa.Column("roll_deg", figure(), nullable=False),
        sa.Column("force_x_m_s2", figure(), nullable=False),
        sa.Column("force_y_m_s2", figure(), nullable=False),
        sa.Column("force_z_m_s2", figure(), nullable=False),
        sa.Column("spread_m_s2", figure(), nullable=False),
        sa.Column("seconds", figure(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mounting_pose"),
        sa.ForeignKeyConstraint(
            ["mounting_check_id"], ["mounting_check.id"], name="fk_mounting_pose_mounting_check_id"
        ),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_mounting_pose_seq"),
        sa.UniqueConstraint("mounting_check_id", "number", name="mounting_pose_once"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_contract_term_vehicle_id", "contract_term", ["vehicle_id", "from_on"])
    op.create_index("ix_mounting_check_installation_id", "mounting_check", ["installation_id", "checked_at", "seq"])


def downgrade() -> None:
    op.drop_table("mounting_pose")
    op.drop_table("axis_check_motion")
    op.drop_table("mounting_check")
    op.drop_table("contract_term")
