"""Requests that somebody's browser was made to send: refused at every route that takes a POST, and nothing is written."""

from typing import Any

import pytest

from registry.access import csrf
from tests.web.addresses import Address, addresses
from tests.web.doors import Doors, Visitor, codes_of
from tests.web.test_account import sign_in

HOST = "http://localhost"


def posts(doors: Doors) -> list[Address]:
    return addresses(doors, "POST")


def lure(
    doors: Doors, visitor: Visitor, told: dict[str, str] | None = None, **headers: str
) -> dict[str, tuple[int, str]]:
    """Send a POST to every route with this form data and these headers: endpoint -> (status, code or heading)."""
    found = {}
    for one in posts(doors):
        answer = visitor.client.post(
            one.path, data=told, headers={name.replace("_", "-"): value for name, value in headers.items()}
        )
        found[one.endpoint] = (answer.status_code, codes_of(answer)[0] if one.is_api else "page")
    return found


def test_the_check_is_on_in_these_tests_as_it_is_at_sea(untouched: Doors):
    assert untouched.app.config["WTF_CSRF_ENABLED"] is True
    assert "csrf" in untouched.app.extensions
    assert not csrf._exempt_views
    assert not csrf._exempt_blueprints
    assert len(posts(untouched)) >= 10


@pytest.mark.parametrize(
    "told",
    [None, {"csrf_token": ""}, {"csrf_token": "x"}, {"csrf_token": "IjEi.Zz.x"}, {"other": "field"}],
    ids=["none", "empty", "made up", "forged", "missing"],
)
def test_without_a_form_token_of_this_session_every_post_is_refused(told: dict[str, str] | None, untouched: Doors):
    visitor, before = untouched.visitor("ida"), untouched.counts()
    for endpoint, (status, _code) in lure(untouched, visitor, told).items():
        assert status in (400, 403), endpoint
    assert untouched.counts() == before


def test_the_form_token_of_another_session_is_refused(untouched: Doors):
    theirs, visitor = untouched.visitor("oda").token(), untouched.visitor("ida")
    before = untouched.counts()
    found = lure(untouched, visitor, {"csrf_token": theirs})
    assert {status for status, _code in found.values()} <= {400, 403}
    assert untouched.counts() == before


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost.elsewhere.example"},
        {"Origin": "http://localhost:8080"},
        {"Origin": "file://"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
        {"Sec_Fetch_Site": "anything else"},
        {"Sec_Fetch_Site": "cross-site", "Origin": HOST},
    ],
    ids=lambda headers: " ".join(f"{name} {value}" for name, value in headers.items()),
)
def test_a_page_of_somebody_else_is_refused_even_with_a_stolen_token(headers: dict[str, str], untouched: Doors):
    visitor = untouched.visitor("ida")
    told, before = {"csrf_token": visitor.token()}, untouched.counts()
    for endpoint, (status, code) in lure(untouched, visitor, told, **headers).items():
        assert (status, code) in ((403, "page"), (403, "foreign_page")), endpoint
    assert untouched.counts() == before


@pytest.mark.parametrize(
    "headers", [{}, {"Origin": HOST}, {"Sec-Fetch-Site": "same-origin", "Origin": HOST}, {"Sec-Fetch-Site": "none"}]
)
def test_our_own_page_with_its_token_is_let_through(headers: dict[str, str], untouched: Doors):
    visitor = untouched.visitor("ida")
    answer = visitor.post("/light", {"csrf_token": visitor.token(), "light": "day"}, headers=headers)
    assert answer.status == 303


def test_a_refused_page_says_what_why_and_what_to_do(untouched: Doors):
    visitor = untouched.visitor("ida")
    missing = visitor.post("/act/note_fault", {"words": "hums"})
    foreign = visitor.post(
        "/act/note_fault", {"csrf_token": visitor.token()}, headers={"Origin": "https://elsewhere.example"}
    )
    assert (
        missing.heading
        == "The form’s token is missing or old: it was opened before you signed in, or by somebody else."
    )
    assert foreign.heading == "This was sent from a page that is not ours. Nothing was done."
    for page in (missing, foreign):
        assert page.root.one("p", cls="why").words.startswith("Open the page")


def test_a_program_with_a_token_needs_no_form_token_and_has_no_origin(untouched: Doors):
    api = untouched.api("ida")
    body: dict[str, Any] = {"labels": [untouched.code("p1 s")]}
    assert api.client.post("/api/v1/match", json=body, headers=api.headers).status_code == 200
    assert (
        api.client.post(
            "/api/v1/match", json=body, headers=api.headers | {"Origin": "https://elsewhere.example"}
        ).status_code
        == 200
    )


def test_json_by_session_needs_the_form_token_in_its_header(untouched: Doors):
    visitor = untouched.visitor("ida")
    body = {"labels": [untouched.code("p1 s")]}
    assert visitor.client.post("/api/v1/match", json=body).status_code in (400, 403)
    assert visitor.client.post("/api/v1/match", json=body, headers={"X-CSRFToken": visitor.token()}).status_code == 200
    assert (
        visitor.client.post(
            "/api/v1/match",
            data='{"labels": ["x"]}',
            content_type="text/plain",
            headers={"X-CSRFToken": visitor.token()},
        ).status_code
        == 400
    )


def test_reading_never_needs_a_token(untouched: Doors):
    visitor = untouched.visitor("ida")
    assert (
        visitor.client.get(
            "/fleet", headers={"Origin": "https://elsewhere.example", "Sec-Fetch-Site": "cross-site"}
        ).status_code
        == 200
    )


@pytest.mark.parametrize("path", ["/\t/elsewhere.example", "/\t\t/elsewhere.example", "/\r/elsewhere.example"])
def test_blanks_in_the_way_on_do_not_lead_to_another_host(path: str, doors: Doors):
    """Browsers and urlsplit drop tabs and line breaks: what is left of `/<tab>/host` is another host's address."""
    assert sign_in(doors.stranger(), next_=path).response.headers.get("Location") == "/"
    ida = doors.visitor("ida")
    answer = ida.post("/light", {"csrf_token": ida.token(), "light": "day", "back": path})
    assert answer.response.headers.get("Location") == "/"
