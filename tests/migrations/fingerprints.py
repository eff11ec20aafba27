"""Writes registry/models/fingerprints.json anew from what the migrations make: `python -m tests.migrations.fingerprints`."""

import json
import tempfile

from registry.models.database import owner_engine
from registry.models.schema import FINGERPRINTS, migrate, schema_print
from tests import postgres


def made() -> dict[str, dict[str, str]]:
    """Engine -> the fingerprint of a database at head."""
    found = {}
    with tempfile.TemporaryDirectory() as folder, postgres.server(postgres.wheel_binaries()) as server:
        urls = {
            "sqlite": f"sqlite:///{folder}/registry.sqlite3",
            "postgresql": server.url(server.new_database(), postgres.OWNER),
        }
        for name, url in urls.items():
            engine = owner_engine(url)
            migrate(engine, application=postgres.APPLICATION if name == "postgresql" else None)
            with engine.connect() as db:
                found[name] = schema_print(db)
            engine.dispose()
    return found


if __name__ == "__main__":
    FINGERPRINTS.write_text(json.dumps(made(), indent=1, sort_keys=True) + "\n", encoding="utf-8")
    print(f"written: {FINGERPRINTS}")
