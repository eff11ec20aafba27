"""Physical audits: their lines and what answered each.

Revision 0009.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import forms, ident, instant

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "audit",
        sa.Column("id", ident(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("scope", sa.Text(), nullable=False),
        sa.Column("site_id", ident(), nullable=True),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("against", sa.Text(), nullable=False),
        sa.Column("auditor_id", ident(), nullable=False),
        sa.Column("opened_at", instant(), nullable=False),
        sa.Column("opened_offset_min", sa.Integer(), nullable=False),
        sa.Column("closed_at", instant(), nullable=True),
        sa.Column("closed_offset_min", sa.Integer(), nullable=True),
        sa.Column("closed_by_id", ident(), nullable=True),
        sa.Column("words", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("closed_seq", sa.Integer(), nullable=True),
        sa.Column("voided_seq", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_audit"),
        sa.ForeignKeyConstraint(["auditor_id"], ["person.id"], name="fk_audit_auditor_id"),
        sa.ForeignKeyConstraint(["closed_by_id"], ["person.id"], name="fk_audit_closed_by_id"),
        sa.ForeignKeyConstraint(["closed_seq"], ["log_entry.seq"], name="fk_audit_closed_seq"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_audit_seq"),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name="fk_audit_site_id"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_audit_vehicle_id"),
        sa.ForeignKeyConstraint(["voided_seq"], ["log_entry.seq"], name="fk_audit_voided_seq"),
        sa.UniqueConstraint("reference", name="audit_reference_once"),
        sa.CheckConstraint(
            "(closed_at IS NULL) = (closed_seq IS NULL) AND (closed_offset_min IS NULL) = (closed_seq IS NULL) AND (closed_by_id IS NULL) = (closed_seq IS NULL) AND (words IS NULL) = (closed_seq IS NULL)",
            name=op.f("audit_closed_as_a_whole"),
        ),
        sa.CheckConstraint("closed_seq >= seq", name=op.f("audit_closed_by_a_later_entry")),
        sa.CheckConstraint("closed_at > opened_at", name=op.f("audit_ends_after_it_begins")),
        sa.CheckConstraint(
            "(scope = 'site') = (site_id IS NOT NULL) AND (scope = 'vehicle') = (vehicle_id IS NOT NULL)",
            name=op.f("audit_of_its_scope"),
        ),
        sa.CheckConstraint("scope IN ('fleet', 'site', 'vehicle')", name=op.f("audit_scope_known")),
        *forms("audit", instants=["opened_at", "closed_at?"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "audit_line",
        sa.Column("id", ident(), nullable=False),
        sa.Column("audit_id", ident(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("bay_id", ident(), nullable=True),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("label", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_audit_line"),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name="fk_audit_line_audit_id"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_audit_line_bay_id"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_audit_line_half_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_audit_line_seq"),
        sa.UniqueConstraint("audit_id", "bay_id", name="audit_line_bay_once"),
        sa.UniqueConstraint("audit_id", "half_id", name="audit_line_half_once"),
        sa.UniqueConstraint("audit_id", "number", name="audit_line_number_once"),
        sa.CheckConstraint(
            "(CASE WHEN bay_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN half_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN label IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("audit_line_of_one_place"),
        ),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "audit_answer",
        sa.Column("id", ident(), nullable=False),
        sa.Column("audit_id", ident(), nullable=False),
        sa.Column("audit_line_id", ident(), nullable=False),
        sa.Column("sighting_id", ident(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("expected", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("by_id", ident(), nullable=False),
        sa.Column("answered_at", instant(), nullable=False),
        sa.Column("answered_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_audit_answer"),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name="fk_audit_answer_audit_id"),
        sa.ForeignKeyConstraint(["audit_line_id"], ["audit_line.id"], name="fk_audit_answer_audit_line_id"),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_audit_answer_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_audit_answer_seq"),
        sa.ForeignKeyConstraint(["sighting_id"], ["sighting.id"], name="fk_audit_answer_sighting_id"),
        sa.CheckConstraint(
            "verdict IN ('sighted', 'missing', 'elsewhere', 'stranger', 'halves_apart', 'not_opened', 'explained')",
            name=op.f("audit_answer_verdict_known"),
        ),
        *forms("audit_answer", instants=["answered_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_audit_line_bay_id", "audit_line", ["bay_id"])
    op.create_index("ix_audit_line_half_id", "audit_line", ["half_id"])
    op.create_index("ix_audit_answer_audit_id", "audit_answer", ["audit_id"])
    op.create_index("ix_audit_answer_audit_line_id", "audit_answer", ["audit_line_id", "answered_at"])
    op.create_index("ix_audit_answer_sighting_id", "audit_answer", ["sighting_id"])
    op.create_index("ix_sighting_outcome", "sighting", ["outcome", "sighted_at"])


def downgrade() -> None:
    op.drop_index("ix_sighting_outcome", "sighting")
    op.drop_table("audit_answer")
    op.drop_table("audit_line")
    op.drop_table("audit")
