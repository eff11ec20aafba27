"""JSON under /api/v1. Reads through queries, acts through the door; refusals are RFC 9457 problems, all of one shape."""

# ruff: noqa: F401  each module adds its routes to the blueprint
from flask import Flask

from registry.api import (
    acts,
    alignments,
    attachments,
    audits,
    deliveries,
    exports,
    fit,
    fleet,
    handling,
    impacts,
    imports,
    log,
    missions,
    movement,
    scan,
    settings,
    spares,
    units,
    verifications,
)
from registry.api.asking import bp


def register(app: Flask) -> None:
    app.register_blueprint(bp)
