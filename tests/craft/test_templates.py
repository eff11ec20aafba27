"""Templates: small, parsed, with nothing inline and nothing trusted."""

import re
from pathlib import Path

import pytest
from flask import Flask

from registry.paths import TEMPLATES

ALL = sorted(TEMPLATES.rglob("*.html"))


def name(path: Path) -> str:
    return str(path.relative_to(TEMPLATES))


@pytest.mark.parametrize("path", ALL, ids=name)
def test_a_template_parses_and_is_short(path: Path, app: Flask):
    app.jinja_env.get_template(name(path))
    assert len(path.read_text(encoding="utf-8").splitlines()) < 120


@pytest.mark.parametrize("path", ALL, ids=name)
def test_a_template_has_no_inline_style_script_or_handler(path: Path, app: Flask):
    text = path.read_text(encoding="utf-8")
    tags = " ".join(re.findall(r"<[a-zA-Z][^>]*>", re.sub(r"\{[{%].*?[%}]\}", "", text, flags=re.DOTALL)))
    assert not re.search(r"<style|\sstyle=|\son[a-z]+\s*=|javascript:", tags)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)
    assert not re.search(r"""(?:src|href)=["'](?:https?:)?//""", text)


@pytest.mark.parametrize("path", ALL, ids=name)
def test_a_template_trusts_nothing(path: Path, app: Flask):
    text = path.read_text(encoding="utf-8")
    assert "|safe" not in text.replace(" ", "")
    assert "autoescape" not in text
    assert "Markup" not in text


@pytest.mark.parametrize("path", ALL, ids=name)
def test_every_form_that_posts_brings_a_token(path: Path, app: Flask):
    text = path.read_text(encoding="utf-8")
    for form in re.findall(r"<form[^>]*method=\"post\".*?</form>", text, flags=re.DOTALL):
        assert "csrf_token" in form


@pytest.mark.parametrize("path", ALL, ids=name)
def test_a_template_makes_its_addresses(path: Path, app: Flask):
    """An address that is written out goes stale when its route moves."""
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"""(?:href|action|src)="(/[a-z][^"{]*)\"""", text) == []


def test_every_template_is_a_page_a_layout_or_a_part_of_one(app: Flask):
    text = "".join(path.read_text(encoding="utf-8") for path in ALL)
    code = "".join(path.read_text(encoding="utf-8") for path in (TEMPLATES.parent / "registry").rglob("*.py"))
    assert [name(path) for path in ALL if f'"{name(path)}"' not in text and f'"{name(path)}"' not in code] == []


def test_no_template_asks_for_what_is_not_there(app: Flask):
    """Filters, tests and imported macros exist: undefined ones would only show when that line is reached."""
    from jinja2 import meta

    for path in ALL:
        tree = app.jinja_env.parse(path.read_text(encoding="utf-8"))
        for part in meta.find_referenced_templates(tree):
            assert part is not None and (TEMPLATES / part).is_file(), name(path)


def test_the_only_script_is_the_scan_line_s_and_is_small():
    scripts = sorted((TEMPLATES.parent / "registry/web/static").glob("*.js"))
    assert [path.name for path in scripts] == ["scan.js"]
    assert scripts[0].stat().st_size < 4000
    assert not re.search(
        r"innerHTML|eval\(|Function\(|document\.write|fetch\(|XMLHttpRequest", scripts[0].read_text(encoding="utf-8")
    )
