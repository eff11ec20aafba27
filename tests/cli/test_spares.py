"""`pairbook spare` and `pairbook openings`."""

import json

import pytest

from tests.web.doors import Doors

VOYAGE = ("--from", "2026-06-01T06:00:00Z", "--to", "2026-06-08T18:00:00Z", "--at", "2026-05-20T12:00:00Z")


def test_spares_of_a_bay_are_listed_best_first_and_end_with_1_when_none_is_ready(lived: Doors):
    told = lived.cli("spare", "Burdock A")
    assert told.exit_code == 1, told.output
    lines = told.stdout.splitlines()
    assert not any(": ready" in line for line in lines)
    assert lines[0] == "Burdock, bay A: nobody entered what a swap takes."
    assert any(line.startswith("  p3: kept out, ") for line in lines)
    lived.world.do(
        "review_verification", "20 11:00", by="oda", verification=lived.world.ids["check p5"], outcome="agreed"
    )
    ready = lived.cli("spare", "Burdock A")
    assert (ready.exit_code, ready.stdout.splitlines()[1]) == (
        0,
        "  p5: ready, at North shed, shelf 2, with the vehicle.",
    )
    as_json = json.loads(lived.cli("spare", "Burdock A", "--json").stdout)
    assert [one["pair"] for one in as_json["spares"]] == [
        line.split(":")[0].strip() for line in lines if line.startswith("  p")
    ]


def test_a_voyage_says_which_bays_have_no_ready_spare_aboard(lived: Doors):
    told = lived.cli("spare", "--vehicle", "Burdock", *VOYAGE)
    assert told.exit_code in (0, 1), told.output
    assert told.stdout.splitlines()[0] == "Burdock, 1 June 2026, 06:00 UTC to 8 June 2026, 18:00 UTC:"
    (one,) = json.loads(lived.cli("spare", "--vehicle", "Burdock", *VOYAGE, "--json").stdout)["vehicles"]
    assert (told.exit_code == 1) == bool(one["without_spare"])
    assert "no ready spare aboard" in told.stdout or not one["without_spare"]


def test_the_plan_ends_with_1_when_a_vehicle_is_not_made_fit(lived: Doors):
    told = lived.cli("openings", "--vehicle", "Teasel", *VOYAGE)
    assert told.exit_code == 1, told.output
    assert "not made fit" in told.stdout
    assert "Assumed: One crew works on each vehicle" in told.stdout
    as_json = json.loads(lived.cli("openings", "--vehicle", "Teasel", *VOYAGE, "--json").stdout)
    assert (as_json["fit"], as_json["lines"][0]["fit"]) == (0, False)


@pytest.mark.parametrize(
    "words",
    [
        ("spare",),
        ("spare", "Burdock A", "--vehicle", "Burdock", *VOYAGE),
        ("spare", "--vehicle", "Burdock"),
        ("openings",),
        ("openings", "--sailing", "Teasel tomorrow"),
    ],
)
def test_what_is_asked_wrongly_is_a_usage_fault(lived: Doors, words: tuple[str, ...]):
    assert lived.cli(*words).exit_code == 2


def test_a_vehicle_nobody_knows_is_refused(lived: Doors):
    told = lived.cli("openings", "--sailing", "Nettle 2026-06-01T06:00:00Z/2026-06-08T18:00:00Z")
    assert told.exit_code == 1
    assert "Nettle" in told.stderr
