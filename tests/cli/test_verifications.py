"""`pairbook due`, and a recording brought along at the shell."""

import json
from pathlib import Path

from tests.samples import RESTING
from tests.web.doors import Doors


def test_what_is_due_is_listed_worst_first_and_ends_with_1_when_something_is_overdue(lived: Doors):
    told = lived.cli("due")
    assert told.exit_code == 1
    lines = told.stdout.splitlines()
    assert lines[0] == "p3: failed. Failed on 8 May 2026. Never verified since its statement."
    assert lines[-1].endswith("pairs, as of 20 May 2026, 12:00 UTC.")


def test_it_is_told_as_json_and_of_the_past(lived: Doors):
    told = json.loads(lived.cli("due", "--json", "--at", "2026-01-01T00:00:00Z").stdout)
    assert told["at"] == "2026-01-01T00:00:00.000000Z"
    assert {one["state"] for one in told["due"]} <= {"in_date", "soon"}
    assert lived.cli("due", "--at", "2026-01-01T00:00:00Z").exit_code == 0


def test_an_instant_that_is_none_is_a_usage_fault(lived: Doors):
    assert lived.cli("due", "--at", "yesterday").exit_code == 2


def test_a_static_test_is_entered_with_its_file(lived: Doors, tmp_path: Path):
    path = tmp_path / "rest.csv"
    path.write_bytes(RESTING)
    told = lived.cli(
        "act",
        "record_static_test",
        "pair=p5",
        "procedure=WP-12",
        "issue=3",
        "lat_deg=59.3",
        "--file",
        str(path),
        "--json",
        who="vera",
    )
    assert told.exit_code == 0, told.output
    entry = json.loads(told.stdout)["entry"]
    assert entry["body"]["files"][0]["name"] == "rest.csv"
    assert entry["decided"]["recorded"]["summary"]["samples"] == 720


def test_an_act_that_takes_no_files_says_so(lived: Doors, tmp_path: Path):
    path = tmp_path / "rest.csv"
    path.write_bytes(RESTING)
    told = lived.cli("act", "record_hours", "pair=p5", "hours_run=150", "--file", str(path), who="ida")
    assert told.exit_code == 2
    assert "record_hours takes no files" in told.stderr
