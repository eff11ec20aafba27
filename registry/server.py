"""The server: granian, one worker; on SQLite one or two threads, since threads in one process halve a page's rate."""

import logging
import threading
from datetime import datetime
from itertools import count

import click

from registry.domain.times import UTC
from registry.instance import Instance
from registry.models.database import checkpoint_wal

UPKEEP_EVERY_S = 5.0
#: Turns of the upkeep between two looks for files that no entry names: an hour.
SWEEP_EVERY = 720


def run(instance: Instance, host: str | None, port: int | None) -> None:
    """Serve until interrupted. Opens the database first, so that what is wrong with it is told here."""
    from granian import Granian
    from granian.constants import Interfaces

    settings = instance.settings
    _ = instance.database
    host, port = host or settings.host, port or settings.port
    click.echo(f"Serving {instance.home} on http://{host}:{port}/ (stop with Ctrl-C)")
    threads = settings.threads if instance.database.engine_name == "postgresql" else min(settings.threads, 2)
    instance.database.dispose()  # the worker opens its own connections
    Granian(
        "registry.server:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        factory=True,
        workers=1,
        blocking_threads=threads,
        log_access=False,
        log_level="warning",
    ).serve()


def application():  # type: ignore[no-untyped-def]
    """Called by the worker: the app over the instance of this environment."""
    from registry.app import create_app
    from registry.config import Settings

    instance = Instance(Settings.read())
    threading.Thread(target=_keep_up, args=(instance,), name="upkeep", daemon=True).start()
    return create_app(instance)


def _keep_up(instance: Instance) -> None:
    """Off the request path: sign the head of the log, move SQLite's write-ahead log into the database, and now and
    then take away files that no entry names."""
    waiting, turns = threading.Event(), count()
    while not waiting.wait(UPKEEP_EVERY_S):
        try:
            if next(turns) % SWEEP_EVERY == 0:
                instance.files.sweep(instance.database, datetime.now(UTC))
            instance.sign_head()
            if instance.database.engine_name == "sqlite":
                checkpoint_wal(instance.settings.database_url)
        except Exception:
            # What fails here (a busy or absent database) fails for requests too, which tell it; the next turn comes.
            logging.getLogger(__name__).exception("upkeep")
