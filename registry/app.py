"""The application: pages and JSON in one Flask app over one instance. Strangers are refused everywhere but here."""

import secrets
from datetime import datetime
from typing import Any

from flask import Flask

from registry import access
from registry.domain.times import UTC
from registry.instance import Instance
from registry.paths import TEMPLATES


def create_app(instance: Instance, *, testing_clock: Any = None) -> Flask:
    """The app for one instance. `testing_clock()` replaces the wall clock in tests and demos."""
    app = Flask("registry", template_folder=str(TEMPLATES), static_folder="web/static", static_url_path="/static")
    app.extensions["pairbook"] = instance
    app.extensions["pairbook_clock"] = testing_clock or (lambda: datetime.now(UTC))
    app.extensions["pairbook_dice"] = secrets.SystemRandom()
    app.config.update(
        SECRET_KEY=instance.session_secret,
        SESSION_COOKIE_NAME="pairbook",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=instance.settings.https,
        PERMANENT_SESSION_LIFETIME=access.SESSION_S,
        MAX_CONTENT_LENGTH=2 * 1024 * 1024,
        MAX_FORM_MEMORY_SIZE=1024 * 1024,
        WTF_CSRF_TIME_LIMIT=None,  # nothing expires while a form is open
        WTF_CSRF_CHECK_DEFAULT=False,  # access.py checks every unsafe request itself
    )
    app.json.ensure_ascii = False  # type: ignore[attr-defined]
    app.json.sort_keys = False  # type: ignore[attr-defined]
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    access.install(app)
    from registry import api, web

    web.register(app)
    api.register(app)
    return app
