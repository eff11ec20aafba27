"""The secret address of a person's calendar of due days.

Revision 0008.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Guards are
made by env.py, after the last revision.
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import forms, ident, instant

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "calendar_key",
        sa.Column("person_id", ident(), nullable=False),
        sa.Column("key_sha", sa.LargeBinary(), nullable=False),
        sa.Column("made_at", instant(), nullable=False),
        sa.Column("ended_at", instant(), nullable=True),
        sa.PrimaryKeyConstraint("person_id", name="pk_calendar_key"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_calendar_key_person_id"),
        sa.UniqueConstraint("key_sha", name="calendar_key_once"),
        *forms("calendar_key", instants=["made_at", "ended_at?"]),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("calendar_key")
