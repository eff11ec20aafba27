"""Reason codes: every one that is declared is used, every one that is used is declared, and each has a sentence."""

import ast
from collections import defaultdict

import pytest

from registry.errors import CODES, Offer, Reason, Refused
from registry.models.refusals import sentences
from registry.paths import TEMPLATES

PACKAGE = TEMPLATES.parent / "registry"


def used() -> dict[str, list[str]]:
    """Code -> where it stands as a text of its own in the package, errors.py left out."""
    found: dict[str, list[str]] = defaultdict(list)
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.name == "errors.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in CODES:
                found[node.value].append(f"{path.name}:{node.lineno}")
    return found


def given() -> list[tuple[str, str]]:
    """(code, where) of every `Reason("code", …)` in the package."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and ast.unparse(node.func) == "Reason"
                and node.args
                and isinstance(node.args[0], ast.Constant)
            ):
                found.append((node.args[0].value, f"{path.name}:{node.lineno}"))
    return found


def test_every_declared_code_is_used_somewhere():
    assert set(CODES) - set(used()) == set()


def test_every_code_that_is_given_is_declared():
    assert [(code, where) for code, where in given() if code not in CODES] == []
    assert len(given()) > 100


def test_an_undeclared_code_cannot_be_given():
    with pytest.raises(LookupError, match="is not a reason code"):
        Reason("made_up", "Something is so.")


def test_every_constraint_s_code_is_declared():
    assert {code for code, _sentence in sentences().values()} <= set(CODES)


def test_every_status_has_its_place_in_the_order_of_mending():
    for code, kind in CODES.items():
        assert Refused(Reason(code, "It is so.")).status == kind.status


def test_what_gives_way_is_what_the_design_lets_give_way():
    """Never an installation of mixed halves, whatever anyone says; these alone give way to what has happened."""
    assert {code for code, kind in CODES.items() if kind.overridable} == {
        "not_allowed",
        "found_other",
        "type_not_accepted",
        "on_hold",
        "not_accepted",
        "not_looked_at",
        "no_esd_signoff",
        "esd_failed",
        "not_trained",
        "too_cold",
        "not_matched",
        "mat_in_use",
    }


def test_a_refusal_needs_a_reason():
    with pytest.raises(ValueError):
        Refused()


def test_a_reason_as_json_has_no_empty_parts_but_its_field():
    told = Reason("on_hold", "It is on hold.", None, None, Offer("release_hold", "Release it", {"hold": "x"})).as_json()
    assert told == {
        "code": "on_hold",
        "message": "It is on hold.",
        "field": None,
        "offer": {"act": "release_hold", "label": "Release it", "fields": {"hold": "x"}},
    }
