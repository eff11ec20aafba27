"""Acts at the command line: words or JSON, by token or by name and PIN, done or refused with every reason."""

import json
from typing import Any

import pytest

from registry.acts.act import ACTS, Act
from registry.domain.times import read_instant, write_rfc3339
from tests.web.doors import PIN, Doors
from tests.web.spelling import EXAMPLES, as_words, example
from tests.web.spoilt import EVERYWHERE, Spoilt, shown, spelt

#: One act that is worked out in a process apart stands for the others.
APART = [name for name in EXAMPLES if ACTS[name].long_work is not Act.long_work]
DAILY = [name for name in EXAMPLES if name not in APART[1:]]


@pytest.mark.parametrize("act", [*DAILY, *(pytest.param(act, marks=pytest.mark.long) for act in APART[1:])])
def test_every_act_can_be_entered_in_words(act: str, lived: Doors):
    size, sent = lived.size(), example(lived.world, act)
    result = lived.cli("act", *as_words(sent), "--json", who=EXAMPLES[act].by)
    assert (result.exit_code, result.stderr) == (0, "")
    told = json.loads(result.stdout)
    assert set(told) == {"entry", "again", "remarks"}
    assert (told["entry"]["act"], told["entry"]["seq"], told["entry"]["via"], told["again"]) == (
        act,
        size + 1,
        "command line",
        False,
    )
    for name, value in sent.items():
        if name in told["entry"]["body"] and name != "changes":
            assert _kept(told["entry"]["body"][name], value), name


def _kept(entered: Any, sent: Any) -> bool:
    """Whether what was entered is what was sent: an instant may be spelt longer, and a row has what was left empty."""
    if isinstance(sent, list):
        return len(entered) == len(sent) and all(map(_kept, entered, sent))
    if isinstance(sent, dict):
        return all(_kept(entered[name], value) for name, value in sent.items())
    return entered == sent or (str(sent).endswith("Z") and write_rfc3339(read_instant(sent)) == entered)


@pytest.mark.parametrize("act", ["note_fault", "add_person", "amend_times", "move_halves", "record_leak_test"])
def test_an_act_can_be_sent_as_json_and_twice_is_once(act: str, lived: Doors):
    sent = json.dumps(example(lived.world, act))
    first = lived.cli("act", "-", who=EXAMPLES[act].by, stdin=sent)
    again = lived.cli("act", "-", who=EXAMPLES[act].by, stdin=sent)
    assert (first.exit_code, again.exit_code) == (0, 0)
    assert again.stdout.startswith(first.stdout.splitlines()[0] + " It was there already.")


def test_go_and_no_go(untouched: Doors):
    words = (
        "install_pair",
        f"bay={untouched.code('burdock A')}",
        f"sensor={untouched.code('p5 s')}",
        f"electronics={untouched.code('p5 e')}",
        "--at",
        "2026-05-18T09:00:00Z",
    )
    go = untouched.cli("check", *words, who="ida")
    assert (go.exit_code, go.stdout, go.stderr) == (0, "Go.\n", "")
    no = untouched.cli("check", *words, who="yusuf")
    assert (no.exit_code, no.stdout) == (1, "")
    assert "(no_esd_signoff [esd_signoff])" in no.stderr
    told = untouched.cli("check", *words, "--json", who="yusuf")
    assert (told.exit_code, told.stderr) == (1, "")
    assert json.loads(told.stdout)["go"] is False
    assert json.loads(untouched.cli("check", *words, "--json", who="ida").stdout) == {
        "go": True,
        "reasons": [],
        "remarks": [],
    }


# who acts


def test_a_name_and_a_pin_sign(doors: Doors):
    words = ("act", "note_fault", f"half={doors.code('p1 s')}", "words=hums", "--as", "Ida")
    asked = doors.cli(*words, stdin=f"{PIN}\n")
    assert (asked.exit_code, asked.stdout) == (
        0,
        f"In the log as entry {doors.size()}: note a fault, 20 May 2026, 12:00 UTC.\n",
    )
    assert "PIN of Ida" in asked.stderr
    assert PIN not in asked.output
    told = doors.cli(*words[:-1], doors.code("ida"), PAIRBOOK_PIN=PIN)
    assert (told.exit_code, told.stderr) == (0, "")


def test_a_wrong_pin_signs_nothing(doors: Doors):
    size = doors.size()
    result = doors.cli(
        "act", "note_fault", f"half={doors.code('p1 s')}", "words=hums", "--as", "Ida", PAIRBOOK_PIN="0000"
    )
    assert (result.exit_code, doors.size()) == (1, size)
    assert "That is not your PIN." in result.stderr


@pytest.mark.parametrize(
    ("more", "env", "code", "says"),
    [
        ((), {}, 2, "Say who acts with --as NAME, or set PAIRBOOK_TOKEN."),
        (("--as", "Nobody"), {"PAIRBOOK_PIN": PIN}, 1, "Nobody is called “Nobody”."),
        ((), {"PAIRBOOK_TOKEN": "pb_nothing"}, 1, "PAIRBOOK_TOKEN opens nothing"),
        (("--as", "Jon"), {"PAIRBOOK_PIN": PIN}, 1, "You have no PIN yet."),
    ],
)
def test_whoever_does_not_show_who_they_are_enters_nothing(
    more: tuple[str, ...], env: dict[str, str], code: int, says: str, untouched: Doors
):
    result = untouched.cli("act", "note_fault", f"half={untouched.code('p1 s')}", "words=hums", *more, **env)
    assert (result.exit_code, result.stdout) == (code, "")
    assert says in result.stderr


# what is wrong


@pytest.mark.parametrize(
    "case", [case for case in EVERYWHERE if "\x00" not in case.text and len(case.text) < 100_000], ids=shown
)
def test_a_fault_is_told_on_the_error_output_with_its_code_and_field(case: Spoilt, untouched: Doors):
    sent = example(untouched.world, case.act) | {case.field: spelt(untouched, case.text)}
    result = untouched.cli("act", *as_words(sent), who=EXAMPLES[case.act].by)
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr.startswith("Refused. Nothing was written.\n- ")
    assert f"({case.code} [{case.field}])" in result.stderr
    assert case.says in result.stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("nothing",), "nothing is not an act. The acts are: accept_finding, accept_statement, accept_type"),
        (("note_fault", "half"), "'half' is not FIELD=VALUE."),
        (("note_fault", "--colour", "red"), "No such option"),
        ((), "Missing argument 'NAME'"),
    ],
)
def test_a_command_that_is_called_wrongly_ends_with_two(words: tuple[str, ...], says: str, untouched: Doors):
    for command in ("act", "check"):
        result = untouched.cli(command, *words, who="ida")
        assert result.exit_code == 2
        assert says in result.stderr


@pytest.mark.parametrize("text", ["", "{", "x", '{"act":', "\x00"])
def test_input_that_is_not_json_is_refused(text: str, untouched: Doors):
    result = untouched.cli("act", "-", who="ida", stdin=text)
    assert (result.exit_code, result.stdout) == (1, "")
    assert "(not_json)" in result.stderr


def test_an_unknown_field_is_told_with_those_there_are(untouched: Doors):
    result = untouched.cli("act", "note_fault", f"half={untouched.code('p1 s')}", "words=hums", "colour=red", who="ida")
    assert result.exit_code == 1
    assert (
        "“colour” is not a field here. The fields are: half, happened_at, id, seen, words. Take it out, or spell it as listed. (unknown_field [colour])"
        in result.stderr
    )


def test_refusals_in_json_keep_their_offers(untouched: Doors):
    words = (
        "install_pair",
        f"bay={untouched.code('burdock A')}",
        f"sensor={untouched.code('p5 s')}",
        f"electronics={untouched.code('p1 e')}",
    )
    result = untouched.cli("act", *words, "--json", who="ida")
    assert (result.exit_code, result.stdout) == (1, "")
    mixed = next(reason for reason in json.loads(result.stderr)["reasons"] if reason["code"] == "mixed_pair")
    assert mixed["offer"]["act"] == "record_sighting"


def test_a_number_stays_a_number_and_a_serial_keeps_its_zeros(lived: Doors):
    site = lived.cli("act", "add_site", "site=South quay", "kind=shore", "offset_min=60", "--json", who="maren")
    assert json.loads(site.stdout)["entry"]["body"]["offset_min"] == 60
    half = lived.cli(
        "act",
        "receive_half",
        "kind=sensor",
        f"unit_type={lived.world.ids['reed']}",
        "maker=Ardlune",
        "part=RS-100",
        "serial=000123",
        f"site={lived.world.ids['shed']}",
        "--json",
        who="ida",
    )
    assert json.loads(half.stdout)["entry"]["body"]["serial"] == "000123"


def test_a_field_given_twice_is_a_list(lived: Doors):
    result = lived.cli(
        "act",
        "move_halves",
        f"halves={lived.code('lone s')}",
        f"halves={lived.code('lone e')}",
        "site=Halcyon Tern",
        "--json",
        who="piet",
    )
    assert len(json.loads(result.stdout)["entry"]["body"]["halves"]) == 2


@pytest.mark.parametrize("text", ["[]", '"x"', "7", "null", '{"act": {}}', '{"act": ["note_fault"]}', "[" * 200_000])
def test_json_that_is_no_act_is_refused(text: str, untouched: Doors):
    for command in ("act", "check"):
        result = untouched.cli(command, "-", who="ida", stdin=text)
        assert (result.exit_code, result.stdout) == (1, "")
        assert (
            "(not_json)" in result.stderr or "(unknown_act [act])" in result.stderr or "(wrong_form)" in result.stderr
        )


@pytest.mark.parametrize("word", ["offset_min=²", "offset_min=--5"])
def test_digits_that_are_none_are_refused(word: str, untouched: Doors):
    result = untouched.cli("act", "add_site", "site=X", "kind=shore", word, who="maren")
    assert (result.exit_code, "(wrong_form [offset_min])" in result.stderr) == (1, True)


def test_a_field_that_is_told_in_two_ways_is_a_wrong_call_or_refused(untouched: Doors):
    assert untouched.cli("act", "note_fault", "half=x", "half.y=z", who="ida").exit_code in (1, 2)


def test_true_is_a_tick_only_where_a_field_is_one(lived: Doors):
    """A heading is surveyed against true north: `north=true` is that word, and `faces_clean=true` is a yes."""
    mark = (
        "site=North shed",
        "mark=Post",
        "heading_deg=12.5",
        "north=true",
        "sigma_deg=0.1",
        "how=sun shots",
        "surveyed_on=2026-05-02",
    )
    told = json.loads(lived.cli("act", "survey_mark", *mark, "--json", who="vera").stdout)
    assert told["entry"]["body"]["north"] == "true"
    words = as_words(example(lived.world, "close_housing") | {"already_done": True, "why_out_of_order": "the tide"})
    told = json.loads(lived.cli("act", *words, "--json", who="ida").stdout)
    assert told["entry"]["body"]["already_done"] is True
