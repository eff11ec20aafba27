"""Mountings of bays, lever arms, axis and sign checks, alignments with their parts, residuals and answers.

Revision 0005.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, figure, forms, ident, instant

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bay_mounting",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("orientation", sa.Text(), nullable=False),
        sa.Column("roll_deg", figure(), nullable=False),
        sa.Column("pitch_deg", figure(), nullable=False),
        sa.Column("yaw_deg", figure(), nullable=False),
        sa.Column("roll_sigma_deg", figure(), nullable=False),
        sa.Column("pitch_sigma_deg", figure(), nullable=False),
        sa.Column("yaw_sigma_deg", figure(), nullable=False),
        sa.Column("dowels", sa.Text(), nullable=False),
        sa.Column("dowel_play_mm", figure(), nullable=True),
        sa.Column("dowel_spacing_mm", figure(), nullable=True),
        sa.Column("measured_by_id", ident(), nullable=True),
        sa.Column("measured_how", sa.Text(), nullable=False),
        sa.Column("measured_on", day(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_bay_mounting"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_bay_mounting_bay_id"),
        sa.ForeignKeyConstraint(["measured_by_id"], ["person.id"], name="fk_bay_mounting_measured_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bay_mounting_seq"),
        sa.CheckConstraint(
            "(dowels = 'two') = (dowel_play_mm IS NOT NULL AND dowel_spacing_mm IS NOT NULL)",
            name=op.f("bay_mounting_dowels_as_a_whole"),
        ),
        sa.CheckConstraint("dowels IN ('two', 'none')", name=op.f("bay_mounting_dowels_known")),
        sa.CheckConstraint(
            "orientation IN ('forward starboard down', 'forward port up', 'forward down port', 'forward up starboard', 'aft starboard up', 'aft port down', 'aft down starboard', 'aft up port', 'starboard forward up', 'starboard aft down', 'starboard down forward', 'starboard up aft', 'port forward down', 'port aft up', 'port down aft', 'port up forward', 'down forward starboard', 'down aft port', 'down starboard aft', 'down port forward', 'up forward port', 'up aft starboard', 'up starboard forward', 'up port aft')",
            name=op.f("bay_mounting_orientation_known"),
        ),
        *forms("bay_mounting", instants=["since_at"], days=["measured_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "lever_arm",
        sa.Column("id", ident(), nullable=False),
        sa.Column("bay_id", ident(), nullable=False),
        sa.Column("leads_to", sa.Text(), nullable=False),
        sa.Column("forward_m", figure(), nullable=False),
        sa.Column("starboard_m", figure(), nullable=False),
        sa.Column("down_m", figure(), nullable=False),
        sa.Column("sigma_m", figure(), nullable=False),
        sa.Column("measured_by_id", ident(), nullable=True),
        sa.Column("measured_how", sa.Text(), nullable=False),
        sa.Column("measured_on", day(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_lever_arm"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_lever_arm_bay_id"),
        sa.ForeignKeyConstraint(["measured_by_id"], ["person.id"], name="fk_lever_arm_measured_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_lever_arm_seq"),
        sa.CheckConstraint("leads_to IN ('dvl', 'gnss', 'reference')", name=op.f("lever_arm_leads_to_known")),
        *forms("lever_arm", instants=["since_at"], days=["measured_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "alignment",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("bay_mounting_id", ident(), nullable=True),
        sa.Column("before_id", ident(), nullable=True),
        sa.Column("found_by", sa.Text(), nullable=False),
        sa.Column("roll_deg", figure(), nullable=True),
        sa.Column("pitch_deg", figure(), nullable=True),
        sa.Column("yaw_deg", figure(), nullable=True),
        sa.Column("roll_sigma_deg", figure(), nullable=True),
        sa.Column("pitch_sigma_deg", figure(), nullable=True),
        sa.Column("yaw_sigma_deg", figure(), nullable=True),
        sa.Column("judged", sa.Text(), nullable=False),
        sa.Column("left_deg", figure(), nullable=True),
        sa.Column("left_sigma_deg", figure(), nullable=False),
        sa.Column("tolerance_deg", figure(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("next", sa.Text(), nullable=False),
        sa.Column("cost_percent", figure(), nullable=True),
        sa.Column("cost_m_per_km", figure(), nullable=True),
        sa.Column("cost_told", sa.Text(), nullable=False),
        sa.Column("north", sa.Text(), nullable=False),
        sa.Column("north_told", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("aligned_at", instant(), nullable=False),
        sa.Column("aligned_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_alignment"),
        sa.ForeignKeyConstraint(["bay_mounting_id"], ["bay_mounting.id"], name="fk_alignment_bay_mounting_id"),
        sa.ForeignKeyConstraint(["before_id"], ["alignment.id"], name="fk_alignment_before_id"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_alignment_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_alignment_seq"),
        sa.CheckConstraint(
            "found_by IN ('certificate', 'directions', 'dvl_run', 'carried')", name=op.f("alignment_found_by_known")
        ),
        sa.CheckConstraint("judged IN ('yaw', 'roll', 'dvl')", name=op.f("alignment_judged_known")),
        sa.CheckConstraint("north IN ('true', 'grid', 'magnetic', 'none')", name=op.f("alignment_north_known")),
        sa.CheckConstraint("verdict IN ('within', 'outside', 'cannot_decide')", name=op.f("alignment_verdict_known")),
        *forms("alignment", instants=["aligned_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "axis_check",
        sa.Column("id", ident(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("bay_mounting_id", ident(), nullable=True),
        sa.Column("level", sa.Text(), nullable=False),
        sa.Column("bow_down", sa.Text(), nullable=False),
        sa.Column("roll_right", sa.Text(), nullable=False),
        sa.Column("turn", sa.Text(), nullable=False),
        sa.Column("tilt_deg", figure(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("explained_by", sa.Text(), nullable=True),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("next", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("checked_at", instant(), nullable=False),
        sa.Column("checked_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_axis_check"),
        sa.ForeignKeyConstraint(["bay_mounting_id"], ["bay_mounting.id"], name="fk_axis_check_bay_mounting_id"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_axis_check_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_axis_check_seq"),
        sa.CheckConstraint(
            "bow_down IN ('pitch_down', 'pitch_up', 'roll_right', 'roll_left', 'nothing', 'not_done')",
            name=op.f("axis_check_bow_down_known"),
        ),
        sa.CheckConstraint(
            "explained_by IN ('forward starboard down', 'forward port up', 'forward down port', 'forward up starboard', 'aft starboard up', 'aft port down', 'aft down starboard', 'aft up port', 'starboard forward up', 'starboard aft down', 'starboard down forward', 'starboard up aft', 'port forward down', 'port aft up', 'port down aft', 'port up forward', 'down forward starboard', 'down aft port', 'down starboard aft', 'down port forward', 'up forward port', 'up aft starboard', 'up starboard forward', 'up port aft')",
            name=op.f("axis_check_explained_by_known"),
        ),
        sa.CheckConstraint("explained_by IS NULL OR verdict = 'wrong'", name=op.f("axis_check_explains_what_is_wrong")),
        sa.CheckConstraint(
            "level IN ('level', 'upside_down', 'roll_right', 'roll_left', 'pitch_up', 'pitch_down')",
            name=op.f("axis_check_level_known"),
        ),
        sa.CheckConstraint(
            "roll_right IN ('pitch_down', 'pitch_up', 'roll_right', 'roll_left', 'nothing', 'not_done')",
            name=op.f("axis_check_roll_right_known"),
        ),
        sa.CheckConstraint("turn IN ('rises', 'falls', 'nothing', 'not_done')", name=op.f("axis_check_turn_known")),
        sa.CheckConstraint("verdict IN ('right', 'wrong', 'cannot_tell')", name=op.f("axis_check_verdict_known")),
        *forms("axis_check", instants=["checked_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "alignment_answer",
        sa.Column("id", ident(), nullable=False),
        sa.Column("alignment_id", ident(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("residual_deg", figure(), nullable=True),
        sa.Column("sigma_deg", figure(), nullable=True),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("answered_at", instant(), nullable=False),
        sa.Column("answered_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_alignment_answer"),
        sa.ForeignKeyConstraint(["alignment_id"], ["alignment.id"], name="fk_alignment_answer_alignment_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_alignment_answer_seq"),
        sa.CheckConstraint("answer IN ('confirmed', 'withdrawn')", name=op.f("alignment_answer_answer_known")),
        *forms("alignment_answer", instants=["answered_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "alignment_left",
        sa.Column("id", ident(), nullable=False),
        sa.Column("alignment_id", ident(), nullable=False),
        sa.Column("judged", sa.Text(), nullable=False),
        sa.Column("left_deg", figure(), nullable=True),
        sa.Column("left_sigma_deg", figure(), nullable=False),
        sa.Column("tolerance_deg", figure(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("next", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_alignment_left"),
        sa.ForeignKeyConstraint(["alignment_id"], ["alignment.id"], name="fk_alignment_left_alignment_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_alignment_left_seq"),
        sa.UniqueConstraint("alignment_id", "judged", name="alignment_left_once"),
        sa.CheckConstraint("judged IN ('yaw', 'roll', 'dvl')", name=op.f("alignment_left_judged_known")),
        sa.CheckConstraint(
            "verdict IN ('within', 'outside', 'cannot_decide')", name=op.f("alignment_left_verdict_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "alignment_part",
        sa.Column("id", ident(), nullable=False),
        sa.Column("alignment_id", ident(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("found_by", sa.Text(), nullable=False),
        sa.Column("roll_deg", figure(), nullable=True),
        sa.Column("pitch_deg", figure(), nullable=True),
        sa.Column("yaw_deg", figure(), nullable=True),
        sa.Column("roll_sigma_deg", figure(), nullable=True),
        sa.Column("pitch_sigma_deg", figure(), nullable=True),
        sa.Column("yaw_sigma_deg", figure(), nullable=True),
        sa.Column("scale", figure(), nullable=True),
        sa.Column("scale_sigma", figure(), nullable=True),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_alignment_part"),
        sa.ForeignKeyConstraint(["alignment_id"], ["alignment.id"], name="fk_alignment_part_alignment_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_alignment_part_seq"),
        sa.UniqueConstraint("alignment_id", "part", name="alignment_part_once"),
        sa.CheckConstraint(
            "found_by IN ('certificate', 'directions', 'dvl_run', 'carried', 'measured', 'derived')",
            name=op.f("alignment_part_found_by_known"),
        ),
        sa.CheckConstraint(
            "part IN ('plate_vehicle', 'unit_plate', 'dvl_unit')", name=op.f("alignment_part_part_known")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "alignment_residual",
        sa.Column("id", ident(), nullable=False),
        sa.Column("alignment_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("left_deg", figure(), nullable=False),
        sa.Column("sigma_deg", figure(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_alignment_residual"),
        sa.ForeignKeyConstraint(["alignment_id"], ["alignment.id"], name="fk_alignment_residual_alignment_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_alignment_residual_seq"),
        sa.UniqueConstraint("alignment_id", "number", name="alignment_residual_once"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_bay_mounting_bay_id", "bay_mounting", ["bay_id", "since_at", "seq"])
    op.create_index("ix_lever_arm_bay_id", "lever_arm", ["bay_id", "leads_to", "since_at", "seq"])
    op.create_index("ix_alignment_installation_id", "alignment", ["installation_id", "aligned_at", "seq"])
    op.create_index("ix_axis_check_installation_id", "axis_check", ["installation_id", "checked_at", "seq"])
    op.create_index("ix_alignment_answer_alignment_id", "alignment_answer", ["alignment_id", "answered_at", "seq"])


def downgrade() -> None:
    op.drop_table("alignment_residual")
    op.drop_table("alignment_part")
    op.drop_table("alignment_left")
    op.drop_table("alignment_answer")
    op.drop_table("axis_check")
    op.drop_table("alignment")
    op.drop_table("lever_arm")
    op.drop_table("bay_mounting")
