"""The server: granian, one worker; on SQLite one or two threads, since threads in one process halve a page's rate."""

import threading

import click

from registry.instance import Instance
from registry.models.database import checkpoint_wal

WAL_EVERY_S = 30.0


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
    if instance.database.engine_name == "sqlite":
        _keep_log_short(instance)
    return create_app(instance)


def _keep_log_short(instance: Instance) -> None:
    """Move SQLite's write-ahead log into the database off the request path."""

    def often() -> None:
        waiting = threading.Event()
        while not waiting.wait(WAL_EVERY_S):
            checkpoint_wal(instance.settings.database_url)

    threading.Thread(target=often, name="wal", daemon=True).start()
