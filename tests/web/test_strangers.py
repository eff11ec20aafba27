"""Whoever has not signed in reaches five addresses, and finds the rest shut whatever they send along."""

from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from werkzeug.test import TestResponse

from registry.access import OPEN
from tests.web.addresses import Address, addresses
from tests.web.doors import Doors, Visitor, codes_of

#: Pages of one import, for keepers alone, and the file it came from, for those who may export.
OF_KEEPERS = {"imports.one", "imports.report", "api.an_import", "imports.spreadsheet"}
OPEN_BY_NAME = {"static", "account.sign_in", "account.light", "api.openapi", "calendars.feed"}


def test_what_a_stranger_reaches_is_this_short_list():
    assert OPEN == OPEN_BY_NAME


def test_every_route_but_those_sends_a_stranger_away_and_nothing_is_written(lived: Doors):
    stranger, before = lived.stranger(), lived.counts()
    token = stranger.token()
    walked = [one for one in addresses(lived, "GET", "POST") if one.endpoint not in OPEN]
    for one in walked:
        answer = _asked(stranger, one, headers={"X-CSRFToken": token})
        if one.is_api:
            assert (answer.status_code, codes_of(answer)) == (401, ["not_signed_in"]), one
        else:
            assert answer.status_code == 303, one
            assert urlsplit(answer.headers["Location"]).path == "/sign-in", one
            assert (_kept(answer.headers["Location"]) or "").lower() == (
                one.path.lower() if one.method == "GET" else ""
            ), one
    assert lived.counts() == before
    assert len(walked) > 50


#: Readings that need more than an address: a sailing, or work that is under way.
OF_A_QUESTION = {"api.fewest_openings", "acts.under_way"}


def _asked(visitor: Visitor, one: Address, **more: Any) -> TestResponse:
    """The answer; an address that is only written differently (/i/ and /I/) is followed to the one meant."""
    answer = visitor.client.open(one.path, method=one.method, **more)
    return visitor.client.open(answer.headers["Location"], **more) if answer.status_code == 308 else answer


def _kept(address: str) -> str | None:
    """Where a stranger is sent on to after signing in."""
    kept = parse_qs(urlsplit(address).query).get("next", [None])[0]
    return kept.removesuffix("?") if kept else None


def test_what_is_open_says_nothing_about_the_record(lived: Doors):
    stranger = lived.stranger()
    answers = [stranger.client.open(one.path) for one in addresses(lived, "GET") if one.endpoint in OPEN]
    told = [answer.get_data(as_text=True) for answer in answers]
    for answer in answers:
        answer.close()
    for secret in ("Teasel", lived.code("p1 s"), "Ida", "p1 "):
        assert not any(secret in text for text in told)


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_no_route_takes_another_method(method: str, lived: Doors):
    before = lived.record()
    for one in addresses(lived, "GET"):
        answer = lived.api("maren").client.open(one.path, method=method, headers=lived.api("maren").headers)
        assert answer.status_code == 405, one
    assert lived.record() == before


def test_nothing_there_is_the_same_answer_for_a_stranger_and_for_a_keeper(lived: Doors):
    for path in ("/nowhere", "/api/v1/nowhere"):
        assert lived.stranger().get(path).status == 404
        assert lived.visitor("maren").get(path).status == 404


@pytest.mark.parametrize(
    "who",
    ["ida", *(pytest.param(who, marks=pytest.mark.long) for who in ("maren", "oda", "piet", "rosa", "anselm", "vera"))],
)
def test_every_page_and_every_reading_opens_for_every_role(who: str, lived: Doors):
    readings = [
        one
        for one in addresses(lived, "GET")
        if one.endpoint not in ("static", "account.sign_in", "calendars.feed", *OF_KEEPERS, *OF_A_QUESTION)
    ]
    visitor = lived.visitor(who)
    shut = {one: _asked(visitor, one).status_code for one in readings}
    assert {one: status for one, status in shut.items() if status not in (200, 303)} == {}


def test_an_account_that_has_ended_finds_every_route_shut(lived: Doors):
    gone = lived.visitor("yusuf")
    assert gone.get("/fleet").status == 200
    lived.world.do("record_departure", "20 11:00", by="maren", person="yusuf")
    for one in addresses(lived, "GET"):
        if one.endpoint not in OPEN:
            assert _asked(gone, one).status_code == (401 if one.is_api else 303), one


def test_addresses_are_told_apart_by_their_method(lived: Doors):
    assert Address("acts.do", "GET", "/act/place_hold") in addresses(lived, "GET")
    assert Address("acts.done", "POST", "/act/place_hold") in addresses(lived, "POST")
