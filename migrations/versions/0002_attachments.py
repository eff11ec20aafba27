"""Attachments: files by their hash, each on one thing.

Revision 0002, after 0001.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. The table is
folded and begins empty: no entry of an older log names a file.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import forms, ident, instant

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

SUBJECTS = ("half_id", "pairing_id", "vehicle_id", "bay_id", "hold_id", "meter_id")


def upgrade() -> None:
    op.create_table(
        "attachment",
        sa.Column("id", ident(), nullable=False),
        sa.Column("half_id", ident(), nullable=True),
        sa.Column("pairing_id", ident(), nullable=True),
        sa.Column("vehicle_id", ident(), nullable=True),
        sa.Column("bay_id", ident(), nullable=True),
        sa.Column("hold_id", ident(), nullable=True),
        sa.Column("meter_id", ident(), nullable=True),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=True),
        sa.Column("attached_by_id", ident(), nullable=False),
        sa.Column("attached_at", instant(), nullable=False),
        sa.Column("attached_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_attachment"),
        sa.ForeignKeyConstraint(["half_id"], ["half.id"], name="fk_attachment_half_id"),
        sa.ForeignKeyConstraint(["pairing_id"], ["pairing.id"], name="fk_attachment_pairing_id"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name="fk_attachment_vehicle_id"),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name="fk_attachment_bay_id"),
        sa.ForeignKeyConstraint(["hold_id"], ["hold.id"], name="fk_attachment_hold_id"),
        sa.ForeignKeyConstraint(["meter_id"], ["meter.id"], name="fk_attachment_meter_id"),
        sa.ForeignKeyConstraint(["attached_by_id"], ["person.id"], name="fk_attachment_attached_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_attachment_seq"),
        sa.CheckConstraint(
            "purpose IN ('attached', 'seen', 'evidence', 'statement', 'carton', 'certificate', 'inspection', 'closing', 'leak_test', 'sighting', 'verification')",
            name=op.f("attachment_purpose_known"),
        ),
        sa.CheckConstraint(
            "media_type IN ('image/jpeg', 'image/png', 'image/webp', 'application/pdf', 'text/csv', 'text/plain', 'application/zip')",
            name=op.f("attachment_media_type_known"),
        ),
        sa.CheckConstraint(
            " + ".join(f"(CASE WHEN {name} IS NULL THEN 0 ELSE 1 END)" for name in SUBJECTS) + " = 1",
            name=op.f("attachment_to_one_thing"),
        ),
        sa.CheckConstraint(
            "length(sha256) = 64 AND ltrim(sha256, '0123456789abcdef') = ''",
            name=op.f("attachment_named_by_its_hash"),
        ),
        sa.CheckConstraint("size_bytes > 0", name=op.f("attachment_holds_something")),
        *forms("attachment", instants=["attached_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    for name in SUBJECTS:
        op.create_index(f"ix_attachment_{name}", "attachment", [name, "attached_at"])
    op.create_index("ix_attachment_sha256", "attachment", ["sha256"])


def downgrade() -> None:
    op.drop_table("attachment")
