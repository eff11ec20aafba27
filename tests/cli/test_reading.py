"""Reading at the command line: scan, sort, where, fleet, history; now and then; in words and in JSON."""

import json

import pytest

from tests.web.doors import Doors


def test_scan_says_what_labels_are(untouched: Doors):
    code = untouched.code("p1 s")
    result = untouched.cli("scan", code, "Teasel", "S-p1")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0] == f"Sensor half {code[:4]}\u202f{code[4:]}: half, {code[:4]}\u202f{code[4:]}"
    assert lines[1].startswith("Teasel: vehicle")
    told = json.loads(untouched.cli("scan", "--json", code).stdout)
    assert (told[0]["kind"], told[0]["code"], told[0]["message"]) == ("half", code, None)


def test_scan_ends_with_one_when_something_is_not_known_and_lists_what_is_near(untouched: Doors):
    result = untouched.cli("scan", "S-pl")
    assert result.exit_code == 1
    assert "Nothing in the registry bears this label. Scan it again; if it is new, receive it." in result.stdout
    assert "near it, and not taken for it: sensor half" in result.stdout


SORTED = [
    (("p1 s", "p1 e"), 0, "Whole: p1 = sensor half"),
    (("p1 s", "p1 e", "p5 e", "p5 s"), 0, "Whole: p5 = sensor half"),
    (("p1 s", "p2 e"), 1, "Mixed. Do not join."),
    (("p1 s", "p2 s"), 1, "Two halves of a kind."),
    (("gone s", "gone e"), 1, "Were a pair once."),
    (("p1 s",), 1, "Alone: sensor half"),
    (("p1 s", "p1 e", "lone s"), 1, "it is in no pair"),
]


@pytest.mark.parametrize(("names", "code", "says"), SORTED)
def test_a_heap_is_sorted(names: tuple[str, ...], code: int, says: str, untouched: Doors):
    labels = [untouched.code(name) for name in names]
    result = untouched.cli("sort", *labels)
    assert (result.exit_code, says in result.stdout) == (code, True), result.stdout
    piped = untouched.cli("sort", stdin="\n".join(labels) + "\n\n")
    assert (piped.exit_code, piped.stdout) == (result.exit_code, result.stdout)


def test_sorting_in_json_names_pairs_orphans_and_strangers(untouched: Doors):
    labels = [untouched.code(name) for name in ("p1 s", "p1 e", "p2 s", "p3 s", "p3 e")] + ["QQ-1"]
    told = json.loads(untouched.cli("sort", "--json", *labels).stdout)
    assert [pair["pair"] for pair in told["pairs"]] == ["p1", "p3"]
    assert [(one["half"], one["partner"], one["partner_where"]) for one in told["apart"]] == [
        (untouched.code("p2 s"), untouched.code("p2 e"), "in Burdock, bay B, since 12 May 2026")
    ]
    assert [one["text"] for one in told["strangers"]] == ["QQ-1"]
    assert set(told["on_hold"]) == {untouched.code(name) for name in ("p2 s", "p3 s")}


def test_a_sealed_half_is_told_when_a_heap_is_sorted(untouched: Doors):
    labels = [untouched.code("p6 s"), untouched.code("odd e")]
    told = json.loads(untouched.cli("sort", "--json", *labels).stdout)
    assert told["not_accepted"] == {labels[0]: "not inspected: it stands sealed in carton 1 of DN-7"}
    assert "Not to be installed: sensor half" in untouched.cli("sort", *labels).stdout


def test_nothing_to_sort_is_a_wrong_call(untouched: Doors):
    assert untouched.cli("sort", stdin="\n \n").exit_code == 2


@pytest.mark.parametrize(
    ("turn", "where"),
    [
        ((), "in Burdock, bay B, since 12 May 2026"),
        (("--at", "2026-05-09T10:00:00Z"), "in Teasel, bay B, since 9 May 2026"),
        (("--at", "2026-05-09T11:00:00Z"), "at North shed"),
    ],
)
def test_where_a_pair_is_and_was(turn: tuple[str, ...], where: str, untouched: Doors):
    result = untouched.cli("where", "p2", *turn)
    assert (result.exit_code, result.stdout.count(where)) == (0, 2)
    told = json.loads(untouched.cli("where", "p2", "--json", *turn).stdout)
    assert [half["where"] for half in told["halves"]] == [where, where]


def test_where_it_was_said_to_be_on_a_day(doors: Doors):
    doors.world.later(days=2)
    doors.world.sign("ida", "21 08:00")
    doors.world.install("p1", "teasel A", "21 09:00")
    assert "at North shed" in doors.cli("where", "p1", "--as-known-on", "2026-05-20").stdout
    assert "in Teasel, bay A" in doors.cli("where", "p1", "--as-known-on", "2026-05-22").stdout


def test_the_fleet_says_who_carries_what_and_what_stops_it(untouched: Doors):
    result = untouched.cli("fleet")
    assert result.exit_code == 1
    assert result.stdout.startswith("As of 20 May 2026, 12:00 UTC.\n")
    assert (
        "Teasel: must not deploy (Halcyon Tern)\n  A  p1. Last scanned there 10 May 2026, 10 days ago; 1 mission day rests on it.\n  B  empty\n"
    ) in result.stdout
    told = json.loads(untouched.cli("fleet", "--json").stdout)
    assert [bay["pair"] for bay in next(one for one in told["vehicles"] if one["name"] == "Teasel")["bays"]] == [
        "p1",
        None,
    ]


def test_the_fleet_as_it_stood(untouched: Doors):
    told = json.loads(untouched.cli("fleet", "--json", "--at", "2026-05-09T10:00:00Z").stdout)
    assert [bay["pair"] for bay in next(one for one in told["vehicles"] if one["name"] == "Teasel")["bays"]] == [
        None,
        "p2",
    ]


def test_a_fleet_that_nothing_stops_ends_with_zero(doors: Doors):
    assert doors.cli("fleet", "--at", "2024-01-01T00:00:00Z").exit_code == 0


@pytest.mark.parametrize("thing", ["p1", "teasel", "Teasel, bay A", "S-p1"])
def test_history_is_told_newest_first(thing: str, untouched: Doors):
    told = json.loads(untouched.cli("history", thing, "--json").stdout)
    instants = [event["at"] for event in told]
    assert instants == sorted(instants, reverse=True)
    assert any(event["kind"] == "installed" and event["amended"] for event in told)
    words = untouched.cli("history", thing).stdout
    assert "Amended: entered as 10 May 2026, 09:00 UTC" in words
    assert words.count("\n") == len(told)


@pytest.mark.parametrize("command", ["where", "history"])
def test_something_that_is_not_there_is_refused(command: str, untouched: Doors):
    result = untouched.cli(command, "nothing at all")
    assert (result.exit_code, result.stdout) == (1, "")
    assert "(unknown_label" in result.stderr


@pytest.mark.parametrize(
    "turn",
    [
        ("--at", "yesterday"),
        ("--at", "2026-05-10"),
        ("--at", "1969-01-01T00:00:00Z"),
        ("--at", "2026-05-10T12:00:00-00:00"),
        ("--as-known-on", "never"),
        ("--as-known-on", "2026-02-30"),
    ],
)
@pytest.mark.parametrize("words", [("where", "p1"), ("fleet",), ("history", "p1")])
def test_a_time_that_cannot_be_is_a_wrong_call(words: tuple[str, ...], turn: tuple[str, str], untouched: Doors):
    result = untouched.cli(*words, *turn)
    assert (result.exit_code, result.stdout) == (2, "")
    assert turn[0] in result.stderr


def test_a_code_is_written_in_two_groups_of_four(untouched: Doors):
    code = untouched.code("p1 s")
    assert f"{code[:4]}\u202f{code[4:]}" in untouched.cli("where", "p1").stdout
