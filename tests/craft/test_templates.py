"""Templates: small, parsed, with nothing inline and nothing trusted."""

import re
from pathlib import Path

from flask import Flask

from registry.paths import TEMPLATES

ALL = sorted(TEMPLATES.rglob("*.html"))


def name(path: Path) -> str:
    return str(path.relative_to(TEMPLATES))


def test_a_template_parses_and_is_short(app: Flask):
    for path in ALL:
        app.jinja_env.get_template(name(path))
        assert len(path.read_text(encoding="utf-8").splitlines()) < 120, name(path)


def test_a_template_has_no_inline_style_script_or_handler():
    for path in ALL:
        text = path.read_text(encoding="utf-8")
        tags = " ".join(re.findall(r"<[a-zA-Z][^>]*>", re.sub(r"\{[{%].*?[%}]\}", "", text, flags=re.DOTALL)))
        assert not re.search(r"<style|\sstyle=|\son[a-z]+\s*=|javascript:", tags), name(path)
        assert not re.search(r"<script(?![^>]*\ssrc=)", text), name(path)
        assert not re.search(r"""(?:src|href)=["'](?:https?:)?//""", text), name(path)


def test_a_template_trusts_nothing():
    for path in ALL:
        text = path.read_text(encoding="utf-8")
        assert "|safe" not in text.replace(" ", ""), name(path)
        assert "autoescape" not in text, name(path)
        assert "Markup" not in text, name(path)


def test_every_form_that_posts_brings_a_token():
    for path in ALL:
        text = path.read_text(encoding="utf-8")
        for form in re.findall(r"<form[^>]*method=\"post\".*?</form>", text, flags=re.DOTALL):
            assert "csrf_token" in form, name(path)


def test_a_template_makes_its_addresses():
    """An address that is written out goes stale when its route moves."""
    for path in ALL:
        text = path.read_text(encoding="utf-8")
        assert re.findall(r"""(?:href|action|src)="(/[a-z][^"{]*)\"""", text) == [], name(path)


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


#: Script -> what it may do that others may not.
SCRIPTS = {"camera.js": {"fetch("}, "scan.js": set(), "tones.js": set()}
RISKY = r"innerHTML|outerHTML|insertAdjacentHTML|eval\(|Function\(|document\.write|fetch\(|XMLHttpRequest|WebSocket|import\("


def test_the_scripts_are_few_and_small_and_only_the_camera_asks_the_server():
    scripts = sorted((TEMPLATES.parent / "registry/web/static").glob("*.js"))
    assert [path.name for path in scripts] == list(SCRIPTS)
    for path in scripts:
        assert path.stat().st_size < 6500, path.name
        assert set(re.findall(RISKY, path.read_text(encoding="utf-8"))) == SCRIPTS[path.name], path.name


def test_the_camera_asks_its_own_server_and_no_other():
    text = (TEMPLATES.parent / "registry/web/static/camera.js").read_text(encoding="utf-8")
    assert re.findall(r"fetch\(([^,]+),", text) == ["`${box.dataset.to}?${query}`"]
    assert not re.search(r"https?://", text)
