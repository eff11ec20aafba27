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
    impacts,
    labels,
    log,
    meters,
    missions,
    people,
    plans,
    scan,
    swap,
    units,
    verifications,
)
from registry.web import page as pages

VIEWS = (
    account, acts, alignments, attachments, bench_marks, calibrations, deliveries, fleet, handling, holds, impacts, labels, log, meters, missions, people, plans, scan,
    swap, units, verifications,
)  # fmt: skip


def register(app: Flask) -> None:
    for module in VIEWS:
        app.register_blueprint(module.bp)
    pages.register(app)
