"""${message}

Revision ${up_revision}, after ${down_revision}.

Imports nothing from the package; names every constraint; goes both ways; is never edited once released. Folded tables
change by DDL, and are then folded again from the log (see DEVELOPERS.md, "Changing a table").
"""

import sqlalchemy as sa
from alembic import op
from column_kinds_1 import day, figure, flag, forms, ident, instant

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = None
depends_on = None


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    ${downgrades if downgrades else "pass"}
