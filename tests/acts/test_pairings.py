"""Pairings: entered from a statement, ended for a reason, replaced only by a statement that says so."""

import pytest

from tests.acts.stage import Stage

GRADE = {"grade": "calibration_sheet", "statement": "ST-9", "stated_on": "2026-05-01"}


def statement(stage: Stage, sensor: str, electronics: str, when: str = "12 09:00", **more) -> dict:
    return stage.sent(
        "record_pairing", when, **{"pair": "new", "sensor": sensor, "electronics": electronics, **GRADE, **more}
    )


def _loose(stage: Stage, name: str = "lone", kind: str = "electronics", unit_type: str = "reed") -> str:
    part = f"{unit_type[0].upper()}{kind[0].upper()}-{'100' if kind == 'sensor' else '200'}"
    stage.do(
        "receive_half",
        "2025-03-01T09:00:00Z",
        by="oda",
        name=name,
        kind=kind,
        unit_type=unit_type,
        site="shed",
        maker="Ardlune",
        part=part,
        serial=name,
    )
    return name


REFUSED = {
    "a name that is taken": (lambda s: statement(s, "p1 s", _loose(s), replaces=True) | {"pair": "p2"}, {"already_known": "pair"}),
    "a grade that proves nothing": (lambda s: statement(s, "p1 s", _loose(s), grade="letter", replaces=True), {"statement_not_accepted": "grade"}),
    "a statement of tomorrow": (lambda s: statement(s, "p1 s", _loose(s), stated_on="2026-05-21", replaces=True), {"in_the_future": "stated_on"}),
    "two sensor halves": (lambda s: statement(s, _loose(s, "a", "sensor"), _loose(s, "b", "sensor")), {"same_kind": "electronics"}),
    "each in the other's place": (lambda s: statement(s, _loose(s, "a"), _loose(s, "b", "sensor")), {"same_kind": "electronics"}),
    "halves of two types": (lambda s: statement(s, _loose(s, "a", "sensor"), _loose(s, "b", unit_type="sedge")), {"mixed_pair": "electronics"}),
    "a pair that is one already": (lambda s: statement(s, "p1 s", "p1 e"), {"already_paired": "sensor"}),
    "a sensor half that stands in a pair": (lambda s: statement(s, "p1 s", _loose(s)), {"already_paired": "sensor"}),
    "an electronics half that stands in a pair": (lambda s: statement(s, _loose(s, "a", "sensor"), "p1 e"), {"already_paired": "electronics"}),
    "both halves of two pairs": (lambda s: statement(s, "p1 s", "p2 e"), {"already_paired": "electronics"}),
    "a pair since before the earlier": (lambda s: statement(s, "p1 s", _loose(s), paired_at="2025-01-31T23:59:59Z", replaces=True), {"overlaps_history": "paired_at"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_a_statement_is_refused(name: str, stage: Stage):
    case, told = REFUSED[name]
    assert stage.refusal(case(stage), "oda") == told


def test_a_pair_since_a_time_when_a_half_was_in_another_that_has_ended(stage: Stage):
    stage.do("end_pairing", "12 09:00", by="oda", pair="p1", why="lost")
    sent = statement(stage, "p1 s", _loose(stage), paired_at="2026-05-11T09:00:00Z")
    assert stage.refusal(sent, "oda") == {"overlaps_history": "paired_at"}
    stage.send(sent | {"paired_at": "2026-05-12T09:00:00Z"}, "oda")


@pytest.mark.parametrize("when", ["10 08:59", "10 09:30"])
def test_a_pair_that_sits_in_a_bay_cannot_be_replaced(when: str, stage: Stage):
    stage.install("p1")
    sent = statement(stage, "p1 s", _loose(stage), paired_at="2026-05-12T09:00:00Z", replaces=True)
    assert stage.refusal(sent, "oda") == {"pair_installed": "pair"}
    assert stage.refusal(stage.sent("end_pairing", when, pair="p1", why="lost"), "oda") == {"pair_installed": "pair"}


def test_a_pair_does_not_end_before_it_came_out(stage: Stage):
    stage.install("p1")
    stage.remove("p1", when="10 15:00")
    assert stage.refusal(stage.sent("end_pairing", "10 14:59", pair="p1", why="lost"), "oda") == {
        "overlaps_history": "happened_at"
    }
    stage.send(stage.sent("end_pairing", "10 15:00", pair="p1", why="lost"), "oda")


def test_a_pair_does_not_end_before_it_was_made_and_ends_once(stage: Stage):
    assert stage.refusal(stage.sent("end_pairing", "2025-01-31T09:00:00Z", pair="p1", why="lost"), "oda") == {
        "overlaps_history": "happened_at"
    }
    stage.do("end_pairing", "10 09:00", by="oda", pair="p1", why="lost")
    assert stage.refusal(stage.sent("end_pairing", "11 09:00", pair="p1", why="lost"), "oda") == {"already_so": "pair"}


def test_a_new_statement_ends_the_earlier_pair_and_begins_the_new(stages: Stage):
    done = stages.send(
        statement(stages, "p1 s", _loose(stages), paired_at="2026-05-11T02:00:00+02:00", replaces=True), "oda"
    )
    old, new = stages.row("pairing", id="p1"), stages.row("pairing", id=done.entry.id)
    assert (old.ended_at, old.end_reason, old.closed_seq) == (
        "2026-05-11T00:00:00.000000Z",
        "replaced by new",
        done.entry.seq,
    )
    assert (new.paired_at, new.paired_offset_min, new.ended_at) == ("2026-05-11T00:00:00.000000Z", 120, None)
    assert stages.unlike() == []


def test_a_statement_may_end_two_pairs(stages: Stage):
    done = stages.send(statement(stages, "p1 s", "p2 e", replaces=True), "oda")
    assert {stages.row("pairing", id=name).closed_seq for name in ("p1", "p2")} == {done.entry.seq}
    assert stages.unlike() == []


def test_a_pair_holds_from_the_start_of_its_statements_day(stage: Stage):
    done = stage.send(statement(stage, _loose(stage, "a", "sensor"), _loose(stage, "b")), "oda")
    assert stage.row("pairing", id=done.entry.id).paired_at == "2026-05-01T00:00:00.000000Z"


@pytest.mark.parametrize("by_what", ["p1", "p1 s", "p1 e"])
def test_a_pair_is_found_by_its_name_or_by_either_half(by_what: str, stage: Stage):
    text = "p1" if by_what == "p1" else stage.row("half", id=by_what).code
    sent = stage.sent("end_pairing", "10 09:00", why="lost") | {"pair": text}
    assert stage.send(sent, "oda").entry.ids["pair"] == stage.ids["p1"]
