"""Pages. Each module is one feature's views; a view reads through queries, acts through the door, renders a template."""

from flask import Flask

from registry.web import (
    account,
    acts,
    alignments,
    attachments,
    deliveries,
    fleet,
    handling,
    holds,
    labels,
    log,
    people,
    scan,
    swap,
    units,
)
from registry.web import page as pages

VIEWS = (
    account,
    acts,
    alignments,
    attachments,
    deliveries,
    fleet,
    handling,
    holds,
    labels,
    log,
    people,
    scan,
    swap,
    units,
)


def register(app: Flask) -> None:
    for module in VIEWS:
        app.register_blueprint(module.bp)
    pages.register(app)
