"""Where templates and migrations lie: beside the package in a clone, inside it in an installed wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def _find(name: str) -> Path:
    inside = _PACKAGE / f"_{name}"
    return inside if inside.is_dir() else _PACKAGE.parent / name


TEMPLATES = _find("templates")
MIGRATIONS = _find("migrations")
