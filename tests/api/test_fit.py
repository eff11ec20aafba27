"""`vehicles/<ref>/fit` and `pairbook fit`: the same question, the same answer."""

import json
from pathlib import Path

import pytest

from tests.web.doors import Doors, codes_of

QUERY = {"from": "2026-05-21", "to": "2026-05-29", "use": "multibeam"}


def test_json_and_the_command_line_say_the_same(untouched: Doors):
    told = untouched.api("piet").get("/vehicles/Burdock/fit", **QUERY, at="2026-05-20T12:00:00Z").get_json()
    result = untouched.cli(
        "fit",
        "Burdock",
        "--from",
        QUERY["from"],
        "--to",
        QUERY["to"],
        "--use",
        "multibeam",
        "--at",
        "2026-05-20T12:00:00Z",
        "--json",
    )
    assert result.exit_code == 1
    said = json.loads(result.stdout)
    (one,) = said.pop("vehicles")
    assert said | one == told
    assert told["verdict"] == "Must not deploy"
    assert {finding["severity"] for finding in told["findings"]} >= {"stops", "care"}
    assert all(finding["evidence"] for finding in told["findings"])
    missing = next(finding for finding in told["findings"] if finding["code"] == "alignment_missing")
    assert missing["accepts"]["act"] == "accept_finding" and missing["accepts"]["to_on"] == "2026-05-29"
    assert told["acceptances"][0]["stands"] == "Over: what it was about still stands."


def test_the_command_line_says_it_in_words_and_on_paper(untouched: Doors, tmp_path: Path):
    result = untouched.cli("fit", "--pdf", str(tmp_path / "sheets.pdf"))
    assert result.exit_code == 1
    lines = result.stdout.splitlines()
    assert [line.split(":")[0] for line in lines if ": must not deploy" in line] == ["Burdock", "Spare hull", "Teasel"]
    ways = [line for line in lines if line.endswith("(close_housing)")]
    assert ways and all(line.startswith("    clears it: ") and len(line.split()) > 4 for line in ways)
    assert (tmp_path / "sheets.pdf").read_bytes().startswith(b"%PDF")


def test_a_voyage_that_is_over_is_judged_as_it_began(untouched: Doors):
    told = untouched.api("piet").get("/vehicles/Teasel/fit", **{"from": "2026-05-09", "to": "2026-05-12"}).get_json()
    assert told["at"] == "2026-05-09T00:00:00.000000Z"


@pytest.mark.parametrize("query", [{"from": "2026-05-21"}, {"use": "fishing"}, {"from": "x", "to": "y"}])
def test_a_question_that_cannot_be_is_refused(query: dict, untouched: Doors):
    assert codes_of(untouched.api("piet").get("/vehicles/Teasel/fit", **query)) == ["wrong_form"]


def test_the_command_line_refuses_what_it_cannot_ask(untouched: Doors):
    assert untouched.cli("fit", "--from", "2026-05-21").exit_code == 2
    assert untouched.cli("fit", "--use", "fishing").exit_code == 2
    gone = untouched.cli("fit", "Nobody")
    assert (gone.exit_code, "No vehicle is called" in gone.stderr) == (1, True)
