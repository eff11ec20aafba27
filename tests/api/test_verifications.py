"""Verifications, certificates and marks over JSON."""

import pytest

from tests.web.doors import Doors, codes_of


def get(doors: Doors, path: str, **query: str) -> dict:
    answer = doors.api("piet").get(path, **query)
    assert answer.status_code == 200, answer.text[:300]
    return answer.json


def test_what_is_due_is_told_worst_first_as_the_page_tells_it(untouched: Doors):
    told = get(untouched, "/verifications")
    assert told["due"][0]["pair"] == "p3"
    p1 = next(one for one in told["due"] if one["pair"] == "p1")
    assert (p1["state"], p1["good_on"], p1["days"], p1["hours_left"]) == ("in_date", "2026-05-07", 300, "490")
    assert p1["in"] == {"vehicle": "Teasel", "bay": "A", "bay_code": untouched.code("teasel A")}
    assert {one["kind"] for one in told["awaiting_review"]} == {"heading_check", "static_test"}


def test_the_past_is_asked_like_anywhere_else(untouched: Doors):
    told = get(untouched, "/verifications", at="2026-05-06T12:00:00Z")
    assert {one["good_on"] for one in told["due"]} == {None}
    assert told["awaiting_review"] == []


def test_one_verification_is_told_with_its_lines_and_what_was_recorded(untouched: Doors):
    told = get(untouched, f"/verifications/{untouched.world.ids['static test']}")
    assert (told["kind"], told["method"]) == ("static_test", "static-test 2026-1")
    assert [line["quantity"] for line in told["lines"]] == ["gravity", "earth_rate", "vertical_rate"]
    assert told["recorded"]["summary"]["samples"] == 720
    assert "worked_out" not in told["recording"]
    failed = get(untouched, f"/verifications/{untouched.world.ids['check p3']}")
    assert (failed["verdict"], [one["vehicle"] for one in failed["affected"]]) == ("fail", ["Teasel", "Burdock"])


def test_a_certificate_is_told_with_its_results_and_file(untouched: Doors):
    told = get(untouched, f"/calibrations/{untouched.world.ids['calibration']}")
    assert (told["certificate"], told["pair"]) == ("CC-1", "p1")
    assert told["results"][0]["expanded"] == "0.04"
    assert told["files"][0]["purpose"] == "certificate"


def test_marks_are_told_with_their_north(untouched: Doors):
    (mark,) = get(untouched, "/marks")["marks"]
    assert (mark["name"], mark["site"], mark["true_deg"], mark["until_at"]) == (
        "East wall",
        "North shed",
        "120.00",
        None,
    )


def test_a_pair_brings_its_verification_along(untouched: Doors):
    told = get(untouched, "/pairs/p1")["verified"]
    assert told["due"]["pair"] == "p1"
    assert told["numbers"][0]["as_found"] == pytest.approx(0.03)


@pytest.mark.parametrize(
    "path", ["/verifications/x", "/calibrations/x", "/verifications/01900000-0000-7000-8000-000000000000"]
)
def test_what_is_not_there_is_not_found(path: str, untouched: Doors):
    answer = untouched.api("piet").get(path)
    assert answer.status_code == 404
    assert codes_of(answer) == ["not_found"]
