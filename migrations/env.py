"""How a revision is run: guards down, revisions, guards up at head, all in one transaction.

Guards are not part of any revision. A SQLite batch rebuild silently drops triggers, so today's guards are made anew at
the end, and only when the schema is at head: an older schema may lack what they speak of.
"""

from alembic import context
from alembic.script import ScriptDirectory

from registry.models import metadata
from registry.models.guards import create_guards, drop_guards


def run() -> None:
    engine = context.config.attributes["engine"]
    with engine.begin() as db:
        context.configure(
            connection=db, target_metadata=metadata, render_as_batch=True, transaction_per_migration=False
        )
        drop_guards(db)
        context.run_migrations()
        head = ScriptDirectory.from_config(context.config).get_current_head()
        if context.get_context().get_current_revision() == head:
            create_guards(db)


run()
