"""JSON under /api/v1. Reads through queries, acts through the door; refusals are RFC 9457 problems, all of one shape."""

from flask import Flask

from registry.api import views


def register(app: Flask) -> None:
    app.register_blueprint(views.bp)
