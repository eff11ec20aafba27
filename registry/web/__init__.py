"""Pages. Each module is one feature's views; a view reads through queries, acts through the door, renders a template."""

from flask import Flask

from registry.web import (
    account,
    acts,
    alignments,
    attachments,
    bench_marks,
    calibrations,
    deliveries,
    fleet,
    handling,
    holds,
    labels,
    log,
    meters,
    people,
    plans,
    scan,
    spares,
    swap,
    units,
    verifications,
)
from registry.web import page as pages

VIEWS = (
    account, acts, alignments, attachments, bench_marks, calibrations, deliveries, fleet, handling, holds, labels, log, meters, people, plans, scan,
    spares, swap, units, verifications,
)  # fmt: skip


def register(app: Flask) -> None:
    for module in VIEWS:
        app.register_blueprint(module.bp)
    pages.register(app)
