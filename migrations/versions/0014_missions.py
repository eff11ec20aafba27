"""Missions, impacts and outcomes: what sailed on what, what a bad unit was used for, and what became of removals.

Revision 0014.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, figure, forms, ident, instant

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "mission",
        sa.Column("id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("area", sa.Text(), nullable=False),
        sa.Column("use", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("planned_from_at", instant(), nullable=True),
        sa.Column("planned_from_offset_min", sa.Integer(), nullable=True),
        sa.Column("planned_to_at", instant(), nullable=True),
        sa.Column("planned_to_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mission"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_mission_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_mission_vehicle_id"),
        sa.UniqueConstraint("reference", name="mission_reference_once"),
        sa.CheckConstraint("planned_to_at > planned_from_at", name=op.f("mission_planned_forwards")),
        sa.CheckConstraint("(planned_from_at IS NULL) = (planned_to_at IS NULL)", name=op.f("mission_planned_whole")),
        sa.CheckConstraint(
            "use IN ('transit', 'camera', 'sidescan', 'multibeam', 'other')", name=op.f("mission_use_known")
        ),
        *forms("mission", instants=["planned_from_at?", "planned_to_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "mission_distance",
        sa.Column("id", ident(), nullable=False),
        sa.Column("mission_id", ident(), nullable=False),
        sa.Column("distance_km", figure(), nullable=False),
        sa.Column("aided_by", sa.Text(), nullable=False),
        sa.Column("stretch_km", figure(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("data_until_at", instant(), nullable=True),
        sa.Column("data_until_offset_min", sa.Integer(), nullable=True),
        sa.Column("told_at", instant(), nullable=False),
        sa.Column("told_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mission_distance"),
        sa.ForeignKeyConstraint(["mission_id"], ["mission.id"], name="fk_mission_distance_mission_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_mission_distance_seq"),
        sa.CheckConstraint(
            "aided_by IN ('dvl', 'dvl_and_fixes', 'gnss', 'inertial')", name=op.f("mission_distance_aided_by_known")
        ),
        *forms("mission_distance", instants=["data_until_at?", "told_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "mission_run",
        sa.Column("id", ident(), nullable=False),
        sa.Column("mission_id", ident(), nullable=False),
        sa.Column("vehicle_id", ident(), nullable=False),
        sa.Column("started_at", instant(), nullable=False),
        sa.Column("started_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_mission_run"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_mission_run_closed_seq"),
        sa.ForeignKeyConstraint(["mission_id"], ["mission.id"], name="fk_mission_run_mission_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_mission_run_seq"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_mission_run_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_mission_run_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("mission_run_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("mission_run_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > started_at", name=op.f("mission_run_ends_after_it_begins")),
        *forms("mission_run", instants=["started_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "impact",
        sa.Column("id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("verification_id", ident(), nullable=True),
        sa.Column("calibration_id", ident(), nullable=True),
        sa.Column("meter_id", ident(), nullable=True),
        sa.Column("person_id", ident(), nullable=True),
        sa.Column("shown_by_id", ident(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("good_on", day(), nullable=True),
        sa.Column("heading_deg", figure(), nullable=True),
        sa.Column("opened_by_id", ident(), nullable=False),
        sa.Column("found_at", instant(), nullable=False),
        sa.Column("found_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_impact"),
        sa.ForeignKeyConstraint(["calibration_id"], ["calibration.id"], name="fk_impact_calibration_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_impact_half_id"),
        sa.ForeignKeyConstraint(["meter_id"], ["meter.id"], name="fk_impact_meter_id"),
        sa.ForeignKeyConstraint(["opened_by_id"], ["person.id"], name="fk_impact_opened_by_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_impact_pairing_id"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_impact_person_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_impact_seq"),
        sa.ForeignKeyConstraint(["shown_by_id"], ["verification.id"], name="fk_impact_shown_by_id"),
        sa.ForeignKeyConstraint(["verification_id"], ["verification.id"], name="fk_impact_verification_id"),
        sa.CheckConstraint(
            "(CASE WHEN pairing_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN half_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN verification_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN calibration_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN meter_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN person_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("impact_of_one_thing"),
        ),
        *forms("impact", instants=["found_at"], days=["good_on?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "batch_answer",
        sa.Column("id", ident(), nullable=False),
        sa.Column("hold_id", ident(), nullable=True),
        sa.Column("impact_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=False),
        sa.Column("kinship", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("placed_id", ident(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("answered_by_id", ident(), nullable=False),
        sa.Column("answered_at", instant(), nullable=False),
        sa.Column("answered_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_batch_answer"),
        sa.ForeignKeyConstraint(["answered_by_id"], ["person.id"], name="fk_batch_answer_answered_by_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_batch_answer_half_id"),
        sa.ForeignKeyConstraint(["hold_id"], ["hold.id"], name="fk_batch_answer_hold_id"),
        sa.ForeignKeyConstraint(["impact_id"], ["impact.id"], name="fk_batch_answer_impact_id"),
        sa.ForeignKeyConstraint(["placed_id"], ["hold.id"], name="fk_batch_answer_placed_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_batch_answer_seq"),
        sa.CheckConstraint("answer IN ('held', 'refused')", name=op.f("batch_answer_answer_known")),
        sa.CheckConstraint("(hold_id IS NULL) <> (impact_id IS NULL)", name=op.f("batch_answer_from_one_thing")),
        sa.CheckConstraint("(answer = 'held') = (placed_id IS NOT NULL)", name=op.f("batch_answer_held_by_a_hold")),
        sa.CheckConstraint(
            "kinship IN ('delivery', 'certificate', 'firmware', 'station', 'tester', 'knock', 'voyage')",
            name=op.f("batch_answer_kinship_known"),
        ),
        *forms("batch_answer", instants=["answered_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "impact_hold",
        sa.Column("id", ident(), nullable=False),
        sa.Column("impact_id", ident(), nullable=False),
        sa.Column("hold_id", ident(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_impact_hold"),
        sa.ForeignKeyConstraint(["hold_id"], ["hold.id"], name="fk_impact_hold_hold_id"),
        sa.ForeignKeyConstraint(["impact_id"], ["impact.id"], name="fk_impact_hold_impact_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_impact_hold_seq"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "impact_line",
        sa.Column("id", ident(), nullable=False),
        sa.Column("impact_id", ident(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("mission_id", ident(), nullable=True),
        sa.Column("alignment_id", ident(), nullable=True),
        sa.Column("calibration_id", ident(), nullable=True),
        sa.Column("verification_id", ident(), nullable=True),
        sa.Column("esd_signoff_id", ident(), nullable=True),
        sa.Column("station_check_id", ident(), nullable=True),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("starts_on", day(), nullable=False),
        sa.Column("ends_on", day(), nullable=True),
        sa.Column("listed_at", instant(), nullable=False),
        sa.Column("listed_offset_min", sa.Integer(), nullable=False),
        sa.Column("dropped_at", instant(), nullable=True),
        sa.Column("dropped_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_impact_line"),
        sa.ForeignKeyConstraint(["alignment_id"], ["alignment.id"], name="fk_impact_line_alignment_id"),
        sa.ForeignKeyConstraint(["calibration_id"], ["calibration.id"], name="fk_impact_line_calibration_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_impact_line_closed_seq"),
        sa.ForeignKeyConstraint(["esd_signoff_id"], ["esd_signoff.id"], name="fk_impact_line_esd_signoff_id"),
        sa.ForeignKeyConstraint(["impact_id"], ["impact.id"], name="fk_impact_line_impact_id"),
        sa.ForeignKeyConstraint(["mission_id"], ["mission.id"], name="fk_impact_line_mission_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_impact_line_seq"),
        sa.ForeignKeyConstraint(["station_check_id"], ["station_check.id"], name="fk_impact_line_station_check_id"),
        sa.ForeignKeyConstraint(["verification_id"], ["verification.id"], name="fk_impact_line_verification_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_impact_line_voided_seq"),
        sa.CheckConstraint(
            "(dropped_at IS NULL) = (closed_seq IS NULL) AND (dropped_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("impact_line_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("impact_line_closed_by_a_later_entry")),
        sa.CheckConstraint("dropped_at > listed_at", name=op.f("impact_line_ends_after_it_begins")),
        sa.CheckConstraint(
            "kind IN ('mission', 'alignment', 'calibration', 'verification', 'esd_signoff', 'station_check')",
            name=op.f("impact_line_kind_known"),
        ),
        sa.CheckConstraint(
            "(CASE WHEN mission_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN alignment_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN calibration_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN verification_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN esd_signoff_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN station_check_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("impact_line_of_one_thing"),
        ),
        *forms("impact_line", instants=["listed_at", "dropped_at?"], days=["starts_on", "ends_on?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "impact_window",
        sa.Column("id", ident(), nullable=False),
        sa.Column("impact_id", ident(), nullable=False),
        sa.Column("since_on", day(), nullable=True),
        sa.Column("until_on", day(), nullable=False),
        sa.Column("good_deg", figure(), nullable=True),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("counted_at", instant(), nullable=False),
        sa.Column("counted_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_impact_window"),
        sa.ForeignKeyConstraint(["impact_id"], ["impact.id"], name="fk_impact_window_impact_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_impact_window_seq"),
        *forms("impact_window", instants=["counted_at"], days=["since_on?", "until_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "removal_outcome",
        sa.Column("id", ident(), nullable=False),
        sa.Column("removal_id", ident(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("fault_in", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("stated_at", instant(), nullable=False),
        sa.Column("stated_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_removal_outcome"),
        sa.ForeignKeyConstraint(["removal_id"], ["removal.id"], name="fk_removal_outcome_removal_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_removal_outcome_seq"),
        sa.CheckConstraint(
            "fault_in IN ('sensor', 'electronics', 'both', 'neither')", name=op.f("removal_outcome_fault_in_known")
        ),
        sa.CheckConstraint(
            "outcome IN ('no_fault_found', 'fault_found', 'fault_elsewhere', 'no_fault_looked_for')",
            name=op.f("removal_outcome_outcome_known"),
        ),
        sa.CheckConstraint(
            "(outcome = 'fault_found') = (fault_in <> 'neither')", name=op.f("removal_outcome_says_where")
        ),
        *forms("removal_outcome", instants=["stated_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "impact_answer",
        sa.Column("id", ident(), nullable=False),
        sa.Column("impact_line_id", ident(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("heading_deg", figure(), nullable=True),
        sa.Column("distance_km", figure(), nullable=True),
        sa.Column("error_m", figure(), nullable=True),
        sa.Column("error_m_per_km", figure(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("answered_by_id", ident(), nullable=False),
        sa.Column("answered_at", instant(), nullable=False),
        sa.Column("answered_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_impact_answer"),
        sa.ForeignKeyConstraint(["answered_by_id"], ["person.id"], name="fk_impact_answer_answered_by_id"),
        sa.ForeignKeyConstraint(["impact_line_id"], ["impact_line.id"], name="fk_impact_answer_impact_line_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_impact_answer_seq"),
        sa.CheckConstraint(
            "answer IN ('not_affected', 'usable', 'withdrawn')", name=op.f("impact_answer_answer_known")
        ),
        *forms("impact_answer", instants=["answered_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_mission_vehicle_id", "mission", ["vehicle_id"])
    op.create_index("ix_mission_distance_mission_id", "mission_distance", ["mission_id", "told_at", "seq"])
    op.create_index("ix_mission_run_mission_id", "mission_run", ["mission_id"])
    op.create_index("ix_mission_run_vehicle_id", "mission_run", ["vehicle_id", "started_at", "seq"])
    op.create_index("ix_impact_calibration_id", "impact", ["calibration_id"])
    op.create_index("ix_impact_half_id", "impact", ["half_id"])
    op.create_index("ix_impact_meter_id", "impact", ["meter_id"])
    op.create_index("ix_impact_pairing_id", "impact", ["pairing_id"])
    op.create_index("ix_impact_person_id", "impact", ["person_id"])
    op.create_index("ix_impact_shown_by_id", "impact", ["shown_by_id"])
    op.create_index("ix_impact_verification_id", "impact", ["verification_id"])
    op.create_index("ix_batch_answer_hold_id", "batch_answer", ["hold_id"])
    op.create_index("ix_batch_answer_impact_id", "batch_answer", ["impact_id"])
    op.create_index("ix_impact_hold_hold_id", "impact_hold", ["hold_id"])
    op.create_index("ix_impact_hold_impact_id", "impact_hold", ["impact_id"])
    op.create_index("ix_impact_line_impact_id", "impact_line", ["impact_id"])
    op.create_index("ix_impact_window_impact_id", "impact_window", ["impact_id", "counted_at", "seq"])
    op.create_index("ix_removal_outcome_removal_id", "removal_outcome", ["removal_id", "stated_at", "seq"])
    op.create_index("ix_impact_answer_impact_line_id", "impact_answer", ["impact_line_id", "answered_at", "seq"])


def downgrade() -> None:
    op.drop_table("impact_answer")
    op.drop_table("removal_outcome")
    op.drop_table("impact_window")
    op.drop_table("impact_line")
    op.drop_table("impact_hold")
    op.drop_table("batch_answer")
    op.drop_table("impact")
    op.drop_table("mission_run")
    op.drop_table("mission_distance")
    op.drop_table("mission")
