"""init, demo, and settings that cannot be."""

import json
import shutil
import sqlite3
import stat
from contextlib import closing
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from registry.demo.fill import ACTS
from tests.cli.fixtures import ANCHOR, Shell, table_contents

ANSWERS = "Test Shed\nMaren\nthree unrelated words\nthree unrelated words\n2846\n2846\n"
FOUND = ("init", "--outfit", "Test Shed", "--keeper", "Maren")
SECRETS = "three unrelated words\nthree unrelated words\n2846\n2846\n"


@pytest.fixture
def laid(shell: Shell, migrated: Path) -> Shell:
    """An instance folder with a database in which nothing was founded: what `init` makes first, made once a run."""
    shell.home.mkdir(mode=0o700)
    shutil.copy(migrated, shell.database)
    return shell


def test_init_asks_for_what_it_was_not_told(shell: Shell):
    result = shell("init", stdin=ANSWERS)
    assert result.exit_code == 0
    assert f"The registry of Test Shed is in {shell.home}. Start it with `pairbook serve`." in result.stdout
    assert "three unrelated words" not in result.output
    assert shell("verify").stdout.startswith("Everything holds: 1 entries")


def test_what_was_told_is_not_asked_for(laid: Shell):
    result = laid(*FOUND, "--origin", "Q", "--label-host", "pairs.example", stdin=SECRETS)
    assert "Outfit" not in result.stdout.replace("The registry of", "")
    entry = json.loads(next(iter(_entries(laid))))
    assert (entry["body"]["origin"], entry["body"]["label_host"]) == ("Q", "pairs.example")
    assert entry["decided"]["code"].startswith("Q")
    assert "Maren" not in json.dumps(entry)


def _entries(shell: Shell) -> list[str]:
    db = sqlite3.connect(shell.database)
    try:
        return [bytes(row[0]).decode() for row in db.execute("SELECT entry FROM log_entry ORDER BY seq")]
    finally:
        db.close()


def test_the_keeper_may_sign_at_once(laid: Shell):
    laid(*FOUND, stdin=SECRETS)
    result = laid("act", "add_site", "site=North shed", "kind=shore", "--as", "Maren", PAIRBOOK_PIN="2846")
    assert (result.exit_code, result.stdout) == (0, "In the log as entry 2: add a site, 20 May 2026, 12:00 UTC.\n")


def test_init_again_changes_nothing(laid: Shell):
    laid(*FOUND, stdin=SECRETS)
    before, keys = table_contents(laid.database), (laid.home / "log.key").read_bytes()
    again = laid("init", "--outfit", "Another", "--keeper", "Zoe")
    assert (again.exit_code, again.stdout) == (
        0,
        f"The registry of Test Shed in {laid.home} is at this release’s schema.\n",
    )
    assert table_contents(laid.database) == before
    assert (laid.home / "log.key").read_bytes() == keys


def test_the_folder_and_its_keys_are_its_keepers_own(shell: Shell):
    shell(*FOUND, stdin=SECRETS)
    assert stat.S_IMODE(shell.home.stat().st_mode) == 0o700
    for name in ("log.key", "session.key"):
        assert stat.S_IMODE((shell.home / name).stat().st_mode) == 0o600
        assert len((shell.home / name).read_bytes()) == 32


def test_passwords_that_differ_are_asked_for_again(laid: Shell):
    result = laid(*FOUND, stdin=f"three unrelated words\nthree unrelated wards\n{SECRETS}")
    assert result.exit_code == 0
    assert "do not match" in result.output


@pytest.mark.parametrize("origin", ["I", "O", "", "ä"])
def test_a_character_that_cannot_begin_a_code_is_refused_and_nothing_is_founded(origin: str, laid: Shell):
    result = laid(*FOUND, f"--origin={origin}", stdin=SECRETS)
    assert result.exit_code == 1
    assert table_contents(laid.database)["log_entry"] == []


def test_a_command_without_a_registry_says_how_to_make_one(shell: Shell):
    result = shell("fleet")
    assert result.exit_code == 1
    assert (
        f"There is no registry in {shell.home}. Make one with `pairbook init`, or try `pairbook demo`. (not_found)"
        in result.stderr
    )


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("PAIRBOOK_PORT", "many"),
        ("PAIRBOOK_PORT", "0"),
        ("PAIRBOOK_PORT", "65536"),
        ("PAIRBOOK_PORT", "²"),
        ("PAIRBOOK_THREADS", "-1"),
        ("PAIRBOOK_HTTPS", "perhaps"),
    ],
)
def test_a_setting_that_cannot_be_is_told_by_its_name(name: str, value: str, shell: Shell):
    result = shell("fleet", **{name: value})
    assert result.exit_code == 2
    assert f"{name} is {value!r}" in result.stderr


# the invented outfit


def test_the_demo_says_who_may_sign_in_and_how(demo: Shell):
    told = (demo.home / "said.txt").read_text(encoding="utf-8")
    assert f"{ACTS} new entries." in told
    for name in ("Maren Holt", "Ida Brekke", "Tomas Oyelaran", "Anselm Quay"):
        assert name in told
    assert "Password of all: invented harbour lamp    PIN of all: 2846" in told


def test_the_demo_twice_changes_not_a_byte_of_any_table(demo: Shell):
    before = table_contents(demo.database)
    result = demo("demo")
    assert (result.exit_code, "nothing was changed" in result.stdout) == (0, True)
    assert table_contents(demo.database) == before


def test_the_demo_after_work_was_done_in_it_leaves_the_work_alone(demo: Shell):
    done = demo("act", "note_fault", "half=S-20350", "words=hums", "--as", "Ida Brekke", PAIRBOOK_PIN="2846")
    assert done.exit_code == 0, done.stderr
    before = table_contents(demo.database)
    assert demo("demo").exit_code == 0
    assert table_contents(demo.database) == before


def test_the_demo_refuses_another_anchor(demo: Shell):
    before = table_contents(demo.database)
    result = demo("demo", "--anchor", "2026-05-16")
    assert result.exit_code == 1
    assert f"This demo was filled with the anchor {ANCHOR}." in result.stderr
    assert table_contents(demo.database) == before


@pytest.mark.parametrize("anchor", ["yesterday", "2026-02-30", "1969-01-01"])
def test_an_anchor_that_is_no_day_is_refused(anchor: str, laid: Shell):
    result = laid("demo", "--anchor", anchor)
    assert result.exit_code == 1
    assert "Give a day like 2026-05-15. (wrong_form [anchor])" in result.stderr


def test_the_demo_is_never_mixed_into_an_outfit_of_ones_own(laid: Shell):
    laid(*FOUND, stdin=SECRETS)
    before = table_contents(laid.database)
    result = laid("demo")
    assert result.exit_code == 1
    assert "invented data is never mixed into it" in result.stderr
    assert table_contents(laid.database) == before


def test_the_demo_was_entered_as_the_months_went_by(demo: Shell):
    """What is known on a day is what had been entered by then: only work at sea came in days later, and what was
    carried over from before."""
    with closing(sqlite3.connect(demo.database)) as db:
        rows = db.execute("SELECT happened_at, recorded_at FROM log_entry WHERE via != 'import'").fetchall()
    waits = [datetime.fromisoformat(recorded) - datetime.fromisoformat(happened) for happened, recorded in rows]
    late = [wait for wait in waits if wait > timedelta(minutes=2)]
    assert 0 < len(late) < len(rows) / 10 and max(late) <= timedelta(days=5, minutes=2)
    known = demo("fleet", "--as-known-on", f"{date.fromisoformat(ANCHOR) - timedelta(days=300)}", "--json")
    held = [bay["pair"] for vehicle in json.loads(known.stdout)["vehicles"] for bay in vehicle["bays"]]
    assert any(held), "ten months ago somebody could already say what sat where"


def test_the_demo_verifies_strictly(demo: Shell):
    result = demo("verify", "--strict")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith(f"Everything holds: {ACTS} entries")


@pytest.mark.parametrize("origin", ["AB", "0123"])
def test_two_characters_cannot_begin_a_code(origin: str, laid: Shell):
    result = laid(*FOUND, "--origin", origin, stdin=SECRETS)
    assert (result.exit_code, "(wrong_form [origin])" in result.stderr) == (1, True)


@pytest.mark.parametrize(
    "answers", ["short\nshort\n2846\n2846\n", "three unrelated words\nthree unrelated words\n1111\n1111\n"]
)
def test_a_keeper_with_a_weak_secret_is_refused_before_anything_is_founded(answers: str, laid: Shell):
    """It says `Refused. Nothing was written.`: then nothing may have been, and it does not end with 0."""
    result = laid(*FOUND, stdin=answers)
    assert "Refused. Nothing was written." in result.stderr
    assert table_contents(laid.database)["log_entry"] == []
    assert result.exit_code == 1


@pytest.mark.parametrize("url", ["mysql://localhost/x", "nonsense", "postgresql://nobody@127.0.0.1:1/nothing"])
def test_a_database_that_cannot_be_opened_is_told_without_a_trace(url: str, shell: Shell):
    for words in (("fleet",), ("init", "--outfit", "X", "--keeper", "Y")):
        result = shell(*words, stdin=SECRETS, PAIRBOOK_DATABASE_URL=url)
        assert result.exit_code in (1, 2)
