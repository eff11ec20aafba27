"""Every sentence that the program says to people, as it stands in the code and in the templates."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from registry.paths import TEMPLATES

PACKAGE = TEMPLATES.parent / "registry"


class Said(NamedTuple):
    where: str
    text: str


def of_templates() -> Iterator[Said]:
    """Visible text of each template: tags and what is worked out are taken away, words in quotes within them are kept."""
    for path in sorted(TEMPLATES.rglob("*.html")):
        text = path.read_text(encoding="utf-8")
        text = re.sub(r"\{#.*?#\}", " ", text, flags=re.DOTALL)
        name = str(path.relative_to(TEMPLATES))
        for worked_out in re.findall(r"\{[{%](.*?)[%}]\}", text, flags=re.DOTALL):
            for quoted in re.findall(r'"([^"]*)"', worked_out):
                if " " in quoted.strip():
                    yield Said(name, quoted)
        visible = re.sub(r"\{[{%].*?[%}]\}", " ", text, flags=re.DOTALL)
        for attribute in re.findall(r'(?:placeholder|aria-label|title|alt)="([^"]*)"', visible):
            yield Said(name, attribute)
        yield Said(name, re.sub(r"<[^>]*>", " ", visible))


def of_code() -> Iterator[Said]:
    """Texts of the package that read like sentences or labels, and the docstrings that people read: those of acts, of
    commands and of the routes of the JSON interface."""
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        where = str(path.relative_to(PACKAGE.parent))
        docstrings = set(_docstrings(tree))
        for node in ast.walk(tree):
            is_text = isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings
            if is_text and re.search(r"[A-Za-z]+ [A-Za-z]+", node.value) and not _is_code(node.value):
                yield Said(f"{where}:{node.lineno}", node.value)
        for node in ast.walk(tree):
            if isinstance(node, (ast.ClassDef, ast.FunctionDef)) and _read_by_people(path, node):
                yield Said(f"{where}:{node.lineno}", ast.get_docstring(node) or "")


def _docstrings(tree: ast.Module) -> Iterator[int]:
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                yield id(first.value)


def _read_by_people(path: Path, node: ast.ClassDef | ast.FunctionDef) -> bool:
    if isinstance(node, ast.ClassDef):
        return path.parent.name == "acts" and any(
            isinstance(base, ast.Name) and base.id in ("Act", "Deed") for base in node.bases
        )
    decorated = [ast.unparse(one) for one in node.decorator_list]
    return (path.parent.name == "cli" and any("command" in one for one in decorated)) or (
        path.parent.name == "api" and any(one.startswith("bp.") for one in decorated)
    )


def _is_code(text: str) -> bool:
    """SQL, patterns, drawings and headers are no sentences."""
    return bool(
        re.search(
            r"\b(SELECT|INSERT|UPDATE|CREATE|GRANT|REVOKE|EXISTS|PRAGMA|BEGIN|DELETE|WHERE)\b|default-src|<svg|<path|<text|M\d|viewBox|max-age=|\(\?|\\b",
            text,
        )
    )
