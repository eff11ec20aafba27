"""Install, remove and swap at the command line, in the words of the deed."""

import json

import pytest

from tests.web.doors import Doors

AT = ("--at", "2026-05-20T10:00:00Z")


def words(doors: Doors, *names: str) -> list[str]:
    return [doors.code(name) for name in names]


def test_install_swap_remove(doors: Doors):
    placed = doors.cli("install", *words(doors, "teasel A", "p1 s", "p1 e"), "--at", "2026-05-20T09:00:00Z", who="ida")
    assert (placed.exit_code, placed.stdout) == (
        0,
        f"In the log as entry {doors.size()}: install a pair, 20 May 2026, 09:00 UTC.\n",
    )
    swapped = doors.cli(
        "swap",
        *words(doors, "teasel A", "p1 s", "p1 e", "p2 s", "p2 e"),
        "--reason",
        "suspect",
        "--condition",
        "wet",
        *AT,
        "--json",
        who="ida",
    )
    assert swapped.exit_code == 0
    assert json.loads(swapped.stdout)["entry"]["body"]["condition"] == "wet"
    removed = doors.cli(
        "remove", *words(doors, "teasel A", "p2 s", "p2 e"), "--seat-follows", "--at", "2026-05-20T11:00:00Z", who="ida"
    )
    assert removed.exit_code == 0
    assert "lifted, none seated" in doors.cli("fleet").stdout


def test_things_may_be_named_as_people_name_them(doors: Doors):
    result = doors.cli("install", "Teasel, bay A", "S-p1", "E-p1", *AT, who="ida")
    assert result.exit_code == 0, result.stderr


def test_a_late_stay_is_entered_whole(doors: Doors):
    result = doors.cli(
        "install",
        *words(doors, "teasel A", "p1 s", "p1 e"),
        "--at",
        "2026-05-10T09:00:00Z",
        "--removed-at",
        "2026-05-10T15:00:00Z",
        who="ida",
    )
    assert result.exit_code == 0
    assert "in Teasel, bay A" in doors.cli("where", "p1", "--at", "2026-05-10T12:00:00Z").stdout
    assert "at North shed" in doors.cli("where", "p1", "--at", "2026-05-10T16:00:00Z").stdout


def test_out_and_in_may_be_two_people(doors: Doors):
    doors.world.install("p1", "teasel A", "20 09:00")
    told = ("--removed-at", "2026-05-20T09:30:00Z", "--removed-by", "Yusuf", "--done-by", "Ida")
    result = doors.cli(
        "swap", *words(doors, "teasel A", "p1 s", "p1 e", "p2 s", "p2 e"), *told, *AT, "--json", who="oda"
    )
    assert result.exit_code == 0, result.stderr
    entry = json.loads(result.stdout)["entry"]
    assert (entry["by"], entry["done_by"], entry["ids"]["removed_by"]) == tuple(
        doors.world.ids[who] for who in ("oda", "ida", "yusuf")
    )


@pytest.mark.parametrize("already", [(), ("--already-done", "it is in there")])
def test_a_mixed_pair_is_refused_whatever_anyone_says(already: tuple[str, ...], doors: Doors):
    size = doors.size()
    for command in (
        ("install", "teasel A", "p1 s", "p2 e"),
        ("install", "teasel A", "p1 s", "p2 s"),
        ("install", "teasel A", "p1 e", "p2 e"),
    ):
        result = doors.cli(command[0], *words(doors, *command[1:]), *already, *AT, who="ida")
        assert (result.exit_code, result.stdout) == (1, "")
        assert "(mixed_pair [electronics])" in result.stderr or "(same_kind" in result.stderr
    assert doors.size() == size


def test_a_mixed_pair_names_both_right_partners_and_where_they_are(doors: Doors):
    doors.world.install("p2", "burdock A", "20 09:00")
    told = doors.cli("install", *words(doors, "teasel A", "p1 s", "p2 e"), *AT, who="ida").stderr
    spoken = {name: f"{doors.code(name)[:4]}\u202f{doors.code(name)[4:]}" for name in ("p1 e", "p2 s")}
    assert f"its partner is electronics half {spoken['p1 e']}, at North shed, shelf 2." in told
    assert f"its partner is sensor half {spoken['p2 s']}, in Burdock, bay A, since 20 May 2026." in told


def test_what_was_done_out_of_order_is_refused_then_entered_with_its_reason(doors: Doors):
    told = ("install", *words(doors, "teasel A", "p1 s", "p1 e"), *AT)
    refused = doors.cli(*told, who="oda")
    assert (refused.exit_code, "(no_esd_signoff [esd_signoff])" in refused.stderr) == (1, True)
    taken = doors.cli(*told, "--already-done", "nobody else aboard", who="oda")
    assert taken.exit_code == 0
    fleet = doors.cli("fleet")
    assert fleet.exit_code == 1
    assert "stops: Pair p1 is on hold since 20 May 2026. Done out of order:" in fleet.stdout


def test_a_bay_that_is_taken_says_by_what(doors: Doors):
    doors.world.install("p1", "teasel A", "20 09:00")
    result = doors.cli("install", *words(doors, "teasel A", "p2 s", "p2 e"), *AT, who="ida")
    assert (result.exit_code, "Teasel, bay A holds p1 since 20 May 2026, 09:00 UTC." in result.stderr) == (1, True)


@pytest.mark.parametrize("command", ["install", "remove", "swap"])
def test_too_few_words_are_a_wrong_call(command: str, untouched: Doors):
    result = untouched.cli(command, "Teasel, bay A", who="ida")
    assert (result.exit_code, "Missing argument" in result.stderr) == (2, True)


def test_a_reason_that_is_not_one_is_a_wrong_call(untouched: Doors):
    result = untouched.cli("remove", "a", "b", "c", "--reason", "boredom", who="ida")
    assert (result.exit_code, "'boredom' is not one of" in result.stderr) == (2, True)
