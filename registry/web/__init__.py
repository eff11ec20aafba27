"""Pages. Each module is one feature's views; a view reads through queries, acts through the door, renders a template."""

from flask import Flask

from registry.web import (
    account,
    acts,
    alignments,
    attachments,
    audits,
    bench_marks,
    calendars,
    calibrations,
    deliveries,
    exports,
    fleet,
    handling,
    holds,
    impacts,
    imports,
    labels,
    log,
    meters,
    missions,
    mounting_checks,
    movement,
    people,
    plans,
    scan,
    settings,
    spares,
    swap,
    units,
    verifications,
)
from registry.web import page as pages

VIEWS = (
    account, acts, alignments, attachments, audits, bench_marks, calendars, calibrations, deliveries, exports, fleet, handling, holds, impacts, imports, labels, log, meters,
    missions, mounting_checks, movement, people, plans, scan, settings, spares, swap, units, verifications,
)  # fmt: skip


def register(app: Flask) -> None:
    for module in VIEWS:
        app.register_blueprint(module.bp)
    pages.register(app)
