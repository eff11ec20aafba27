"""Verifications: bench marks, factory calibrations, verifications with their lines, recordings, hours and intervals.

Revision 0004.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, figure, flag, forms, ident, instant

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bench_mark",
        sa.Column("id", ident(), nullable=False),
        sa.Column("site_id", ident(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("heading_deg", figure(), nullable=False),
        sa.Column("north", sa.Text(), nullable=False),
        sa.Column("to_true_deg", figure(), nullable=True),
        sa.Column("north_source", sa.Text(), nullable=False),
        sa.Column("true_deg", figure(), nullable=False),
        sa.Column("sigma_deg", figure(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("surveyed_on", day(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_bench_mark"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_bench_mark_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bench_mark_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_bench_mark_site_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_bench_mark_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL) AND (end_reason IS NULL) = (closed_seq IS NULL)",
            name=op.f("bench_mark_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("bench_mark_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > since_at", name=op.f("bench_mark_ends_after_it_begins")),
        sa.CheckConstraint("north IN ('true', 'grid', 'magnetic')", name=op.f("bench_mark_north_known")),
        *forms("bench_mark", instants=["since_at", "ended_at?"], days=["surveyed_on"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "calibration",
        sa.Column("id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("certificate", sa.Text(), nullable=False),
        sa.Column("calibrated_on", day(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("conditions", sa.Text(), nullable=False),
        sa.Column("adjusted", flag(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("entered_at", instant(), nullable=False),
        sa.Column("entered_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_calibration"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_calibration_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_calibration_seq"),
        sa.UniqueConstraint("pairing_id", "certificate", name="calibration_certificate_once"),
        *forms("calibration", instants=["entered_at"], days=["calibrated_on"], flags=["adjusted"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "hours_reading",
        sa.Column("id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("hours_run", figure(), nullable=False),
        sa.Column("read_at", instant(), nullable=False),
        sa.Column("read_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_hours_reading"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_hours_reading_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_hours_reading_seq"),
        *forms("hours_reading", instants=["read_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "verification",
        sa.Column("id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("procedure", sa.Text(), nullable=False),
        sa.Column("issue", sa.Text(), nullable=False),
        sa.Column("bench_mark_id", ident(), nullable=True),
        sa.Column("conditions", sa.Text(), nullable=False),
        sa.Column("adjusted", flag(), nullable=False),
        sa.Column("hours_run", figure(), nullable=True),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("jumped", flag(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("entered_by_id", ident(), nullable=False),
        sa.Column("done_by_id", ident(), nullable=False),
        sa.Column("verified_at", instant(), nullable=False),
        sa.Column("verified_offset_min", sa.Integer(), nullable=False),
        sa.Column("reviewed_at", instant(), nullable=True),
        sa.Column("reviewed_offset_min", sa.Integer(), nullable=True),
        sa.Column("reviewed_by_id", ident(), nullable=True),
        sa.Column("review", sa.Text(), nullable=True),
        sa.Column("review_words", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_verification"),
        sa.ForeignKeyConstraint(["bench_mark_id"], ["bench_mark.id"], name="fk_verification_bench_mark_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_verification_closed_seq"),
        sa.ForeignKeyConstraint(["done_by_id"], ["person.id"], name="fk_verification_done_by_id"),
        sa.ForeignKeyConstraint(["entered_by_id"], ["person.id"], name="fk_verification_entered_by_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_verification_pairing_id"),
        sa.ForeignKeyConstraint(["reviewed_by_id"], ["person.id"], name="fk_verification_reviewed_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_verification_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_verification_voided_seq"),
        sa.CheckConstraint(
            "(reviewed_at IS NULL) = (closed_seq IS NULL) AND (reviewed_offset_min IS NULL) = (closed_seq IS NULL) AND (reviewed_by_id IS NULL) = (closed_seq IS NULL) AND (review IS NULL) = (closed_seq IS NULL) AND (review_words IS NULL) = (closed_seq IS NULL)",
            name=op.f("verification_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("verification_closed_by_a_later_entry")),
        sa.CheckConstraint("reviewed_at > verified_at", name=op.f("verification_ends_after_it_begins")),
        sa.CheckConstraint(
            "kind IN ('heading_check', 'static_test', 'ship_check')", name=op.f("verification_kind_known")
        ),
        sa.CheckConstraint("review IN ('agreed', 'accepted', 'rejected')", name=op.f("verification_review_known")),
        sa.CheckConstraint(
            "reviewed_by_id IS NULL OR (reviewed_by_id <> done_by_id AND reviewed_by_id <> entered_by_id)",
            name=op.f("verification_reviewed_by_another"),
        ),
        sa.CheckConstraint("rule IN ('guarded', 'four-way', 'simple')", name=op.f("verification_rule_known")),
        sa.CheckConstraint(
            "verdict IN ('fail', 'conditional_fail', 'cannot_decide', 'conditional_pass', 'pass')",
            name=op.f("verification_verdict_known"),
        ),
        *forms("verification", instants=["verified_at", "reviewed_at?"], flags=["adjusted", "jumped"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "verification_interval",
        sa.Column("id", ident(), nullable=False),
        sa.Column("pairing_id", ident(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("most_hours", figure(), nullable=True),
        sa.Column("proposed_days", sa.Integer(), nullable=True),
        sa.Column("proposal", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("approved_by_id", ident(), nullable=False),
        sa.Column("since_at", instant(), nullable=False),
        sa.Column("since_offset_min", sa.Integer(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.Column("ended_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_verification_interval"),
        sa.ForeignKeyConstraint(["approved_by_id"], ["person.id"], name="fk_verification_interval_approved_by_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_verification_interval_closed_seq"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_verification_interval_pairing_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_verification_interval_seq"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_verification_interval_voided_seq"),
        sa.CheckConstraint(
            "(ended_at IS NULL) = (closed_seq IS NULL) AND (ended_offset_min IS NULL) = (closed_seq IS NULL)",
            name=op.f("verification_interval_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("verification_interval_closed_by_a_later_entry")),
        sa.CheckConstraint("ended_at > since_at", name=op.f("verification_interval_ends_after_it_begins")),
        sa.CheckConstraint("days >= 1", name=op.f("verification_interval_of_days")),
        *forms("verification_interval", instants=["since_at", "ended_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "affected_stay",
        sa.Column("id", ident(), nullable=False),
        sa.Column("verification_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("installation_id", ident(), nullable=False),
        sa.Column("installed_at", instant(), nullable=False),
        sa.Column("installed_offset_min", sa.Integer(), nullable=False),
        sa.Column("removed_at", instant(), nullable=True),
        sa.Column("removed_offset_min", sa.Integer(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_affected_stay"),
        sa.ForeignKeyConstraint(["installation_id"], ["installation.id"], name="fk_affected_stay_installation_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_affected_stay_seq"),
        sa.ForeignKeyConstraint(["verification_id"], ["verification.id"], name="fk_affected_stay_verification_id"),
        *forms("affected_stay", instants=["installed_at", "removed_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "bench_recording",
        sa.Column("id", ident(), nullable=False),
        sa.Column("verification_id", ident(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("seconds", figure(), nullable=False),
        sa.Column("rate_hz", figure(), nullable=False),
        sa.Column("lat_deg", figure(), nullable=False),
        sa.Column("height_m", figure(), nullable=False),
        sa.Column("warm_up_min", figure(), nullable=True),
        sa.Column("worked_out", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_bench_recording"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_bench_recording_seq"),
        sa.ForeignKeyConstraint(["verification_id"], ["verification.id"], name="fk_bench_recording_verification_id"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "calibration_result",
        sa.Column("id", ident(), nullable=False),
        sa.Column("calibration_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("as_found", figure(), nullable=True),
        sa.Column("as_left", figure(), nullable=True),
        sa.Column("expanded", figure(), nullable=True),
        sa.Column("k", figure(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_calibration_result"),
        sa.ForeignKeyConstraint(["calibration_id"], ["calibration.id"], name="fk_calibration_result_calibration_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_calibration_result_seq"),
        sa.CheckConstraint(
            "as_found IS NOT NULL OR as_left IS NOT NULL", name=op.f("calibration_result_says_something")
        ),
        sa.CheckConstraint("(expanded IS NULL) = (k IS NULL)", name=op.f("calibration_result_with_its_k")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "standard_used",
        sa.Column("id", ident(), nullable=False),
        sa.Column("calibration_id", ident(), nullable=True),
        sa.Column("verification_id", ident(), nullable=True),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("due_on", day(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_standard_used"),
        sa.ForeignKeyConstraint(["calibration_id"], ["calibration.id"], name="fk_standard_used_calibration_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_standard_used_seq"),
        sa.ForeignKeyConstraint(["verification_id"], ["verification.id"], name="fk_standard_used_verification_id"),
        sa.CheckConstraint(
            "(calibration_id IS NULL) <> (verification_id IS NULL)", name=op.f("standard_used_for_one_thing")
        ),
        *forms("standard_used", days=["due_on?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "verification_line",
        sa.Column("id", ident(), nullable=False),
        sa.Column("verification_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("measured", figure(), nullable=False),
        sa.Column("expected", figure(), nullable=False),
        sa.Column("as_found", figure(), nullable=True),
        sa.Column("as_left", figure(), nullable=True),
        sa.Column("u", figure(), nullable=True),
        sa.Column("tolerance", figure(), nullable=True),
        sa.Column("p_conform", figure(), nullable=True),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_verification_line"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_verification_line_seq"),
        sa.ForeignKeyConstraint(["verification_id"], ["verification.id"], name="fk_verification_line_verification_id"),
        sa.CheckConstraint(
            "outcome IN ('fail', 'conditional_fail', 'cannot_decide', 'conditional_pass', 'pass')",
            name=op.f("verification_line_outcome_known"),
        ),
        sa.CheckConstraint(
            "quantity IN ('heading', 'pitch', 'roll', 'gravity', 'earth_rate', 'vertical_rate', 'walk_x', 'walk_y', 'walk_z')",
            name=op.f("verification_line_quantity_known"),
        ),
        sa.CheckConstraint(
            "as_found IS NOT NULL OR as_left IS NOT NULL", name=op.f("verification_line_says_something")
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_bench_mark_site_id", "bench_mark", ["site_id", "name", "since_at"])
    op.create_index("ix_calibration_pairing_id", "calibration", ["pairing_id", "calibrated_on"])
    op.create_index("ix_hours_reading_pairing_id", "hours_reading", ["pairing_id", "read_at", "seq"])
    op.create_index("ix_verification_pairing_id", "verification", ["pairing_id", "verified_at", "seq"])
    op.create_index("ix_verification_interval_pairing_id", "verification_interval", ["pairing_id", "since_at", "seq"])
    op.create_index("ix_affected_stay_verification_id", "affected_stay", ["verification_id"])
    op.create_index("ix_bench_recording_verification_id", "bench_recording", ["verification_id"])
    op.create_index("ix_calibration_result_calibration_id", "calibration_result", ["calibration_id"])
    op.create_index("ix_standard_used_calibration_id", "standard_used", ["calibration_id"])
    op.create_index("ix_standard_used_verification_id", "standard_used", ["verification_id"])
    op.create_index("ix_verification_line_verification_id", "verification_line", ["verification_id"])


def downgrade() -> None:
    op.drop_table("verification_line")
    op.drop_table("standard_used")
    op.drop_table("calibration_result")
    op.drop_table("bench_recording")
    op.drop_table("affected_stay")
    op.drop_table("verification_interval")
    op.drop_table("verification")
    op.drop_table("hours_reading")
    op.drop_table("calibration")
    op.drop_table("bench_mark")
