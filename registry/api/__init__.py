"""JSON under /api/v1. Reads through queries, acts through the door; refusals are RFC 9457 problems, all of one shape."""

from flask import Flask

from registry.api import (  # noqa: F401  each adds its routes to the blueprint
    acts,
    alignments,
    attachments,
    deliveries,
    fleet,
    handling,
    impacts,
    log,
    missions,
    scan,
    units,
    verifications,
)
from registry.api.asking import bp


def register(app: Flask) -> None:
    app.register_blueprint(bp)
