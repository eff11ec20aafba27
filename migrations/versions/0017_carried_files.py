"""The spreadsheets that history was carried over from, each once.

Revision 0017.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import forms, ident, instant

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "carried_file",
        sa.Column("id", ident(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("carried_by_id", ident(), nullable=False),
        sa.Column("carried_at", instant(), nullable=False),
        sa.Column("carried_offset_min", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_carried_file"),
        sa.ForeignKeyConstraint(["carried_by_id"], ["person.id"], name="fk_carried_file_carried_by_id"),
        sa.ForeignKeyConstraint(["seq"], ["log_entry.seq"], name="fk_carried_file_seq"),
        sa.UniqueConstraint("sha256", name="carried_file_once"),
        sa.CheckConstraint("size_bytes > 0", name=op.f("carried_file_holds_something")),
        sa.CheckConstraint(
            "length(sha256) = 64 AND ltrim(sha256, '0123456789abcdef') = ''",
            name=op.f("carried_file_named_by_its_hash"),
        ),
        *forms("carried_file", instants=["carried_at"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )


def downgrade() -> None:
    op.drop_table("carried_file")
