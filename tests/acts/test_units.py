"""Unit types, halves, their labels, and what is noted about them."""

import pytest

from tests.acts.stage import Stage

TYPE = {
    "maker": "Ardlune",
    "type_name": "Fescue",
    "sensor_part": "FS-1",
    "electronics_part": "FE-1",
    "accepts": ["letter"],
}
HALF = {"kind": "sensor", "unit_type": "reed", "site": "shed", "maker": "Ardlune", "part": "RS-100", "serial": "S-77"}
LIMIT = {"quantity": "gyro_bias", "value": "0.01", "statistic": "1_sigma"}
REFUSED = {
    "a type of that name": ("add_unit_type", "oda", {**TYPE, "type_name": "Reed"}, {"already_known": "type_name"}),
    "one part number for both halves": ("add_unit_type", "oda", {**TYPE, "electronics_part": "FS-1"}, {"wrong_form": "electronics_part"}),
    "a supply that is no range": ("add_unit_type", "oda", {**TYPE, "supply_least_v": "24", "supply_most_v": "24"}, {"wrong_form": "supply_most_v"}),
    "no statement that proves a pair": ("add_unit_type", "oda", {**TYPE, "accepts": []}, {"wrong_form": "accepts"}),
    "a figure without its statistic": ("add_unit_type", "oda", {**TYPE, "class_limits": [{"quantity": "gyro_bias", "value": "1"}]}, {"missing_field": "class_limits.0.statistic"}),
    "a grade that is accepted": ("accept_statement", "oda", {"unit_type": "reed", "grade": "calibration_sheet"}, {"already_so": "grade"}),
    "a label another half bears": ("receive_half", "oda", {**HALF, "serial": "S-p1"}, {"already_known": "label"}),
    "the part of the other half": ("receive_half", "oda", {**HALF, "part": "RE-200"}, {"wrong_form": "kind"}),
    "the part of another type": ("receive_half", "oda", {**HALF, "part": "SS-100"}, {"wrong_form": "unit_type"}),
    "no label and half a tuple": ("receive_half", "oda", {**HALF, "part": None}, {"incomplete_label": "part"}),
    "a label that does not say enough": ("receive_half", "oda", {**HALF, "label": "S-78", "maker": None, "part": None, "serial": None}, {"incomplete_label": "label"}),
    "a second label another half bears": ("add_identity", "oda", {"half": "p1 s", "label": "S-p2", "maker": "Ardlune", "part": "RS-100", "serial": "S-p2"}, {"already_known": "label"}),
    "a half retired that sits in a bay": ("retire_half", "piet", {"half": "p1 s", "why": "worn"}, {"pair_installed": "half"}),
    "a vehicle retired with a pair in it": ("retire_vehicle", "piet", {"vehicle": "teasel", "why": "sold"}, {"pair_installed": "vehicle"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, stage: Stage):
    act, by, fields, told = REFUSED[name]
    if "pair_installed" in told:
        stage.install("p1")
    assert stage.refusal(stage.sent(act, **fields), by) == told


@pytest.mark.parametrize("thing", ["half", "vehicle"])
def test_a_thing_is_retired_once(thing: str, stage: Stage):
    fields = {"half": "p1 s"} if thing == "half" else {"vehicle": "teasel"}
    stage.do(f"retire_{thing}", "10 09:00", by="piet", why="worn", **fields)
    assert stage.refusal(stage.sent(f"retire_{thing}", "11 09:00", why="worn", **fields), "piet") == {
        "already_so": thing
    }


def test_a_half_that_is_retired_ends_its_pair(stages: Stage):
    done = stages.do("retire_half", "10 09:00", by="piet", half="p1 s", why="worn")
    row = stages.row("pairing", id="p1")
    assert (row.ended_at, row.end_reason, row.closed_seq) == (
        "2026-05-10T09:00:00.000000Z",
        "one half retired: worn",
        done.entry.seq,
    )
    assert stages.unlike() == []


def test_a_half_is_not_retired_before_its_pair_was_made(stage: Stage):
    sent = stage.sent("retire_half", "2025-01-20T09:00:00Z", half="p1 s", why="worn")
    assert stage.refusal(sent, "piet") == {"overlaps_history": "happened_at"}


def test_a_half_has_a_code_an_identity_and_a_place(stages: Stage):
    done = stages.do("receive_half", "10 09:00", by="oda", spot="shelf 3", **HALF)
    half, identity, place = (
        stages.row(table, **{key: done.entry.id})
        for table, key in (("half", "id"), ("identity", "half_id"), ("half_place", "half_id"))
    )
    assert (half.kind, half.unit_type_id, half.code) == ("sensor", stages.ids["reed"], done.entry.decided["code"])
    assert (identity.scheme, identity.issuer, identity.part, identity.serial, identity.read_from) == (
        "maker-part-serial",
        "Ardlune",
        "RS-100",
        "S-77",
        "typed",
    )
    assert (place.site_id, place.spot, place.since_at) == (stages.ids["shed"], "shelf 3", "2026-05-10T09:00:00.000000Z")
    assert stages.unlike() == []


def test_a_type_keeps_its_class_with_units(stages: Stage):
    done = stages.do(
        "add_unit_type",
        by="oda",
        class_limits=[LIMIT],
        supply_least_v="18",
        supply_most_v="36.0",
        serial_ports=2,
        **TYPE,
    )
    limit = stages.row("class_limit", unit_type_id=done.entry.id)
    assert (limit.value, limit.unit, limit.statistic, limit.conditions) == (
        "0.01",
        "deg/h",
        "1_sigma",
        "as the sheet states",
    )
    assert stages.row("unit_type", id=done.entry.id).supply_most_v == "36.0"
    assert stages.unlike() == []


def test_a_further_grade_of_statement_proves_pairs_from_then_on(stage: Stage):
    stage.do("accept_statement", by="oda", unit_type="reed", grade="letter")
    assert {row.grade for row in stage.rows("accepted_statement", unit_type_id="reed")} == {
        "calibration_sheet",
        "letter",
    }


def test_firmware_and_faults_are_lines_in_the_diary_of_a_half(stage: Stage):
    firmware = stage.do("record_firmware", "10 09:00", half="p1 e", firmware="2.5.0")
    fault = stage.do("note_fault", "10 09:30", half="p1 e", words="a loose screw")
    assert stage.row("firmware", id=firmware.entry.id).version == "2.5.0"
    assert stage.row("fault", id=fault.entry.id).words == "a loose screw"
    stage.install("p1", when="10 10:00")  # Neither stops anything.


def test_a_grade_named_twice_is_accepted_once(stage: Stage):

    parts = {"maker": "Ardlune", "type_name": "Fescue", "sensor_part": "FS-1", "electronics_part": "FE-1"}
    done = stage.do("add_unit_type", by="oda", accepts=["letter", "letter"], **parts)
    assert len(stage.rows("accepted_statement", unit_type_id=done.entry.id)) == 1


def test_a_half_is_not_retired_before_it_came_out(stage: Stage):

    stage.install("p1")
    stage.remove("p1", when="10 15:00")
    assert stage.refusal(stage.sent("retire_half", "10 12:00", half="p1 s", why="worn"), "piet") == {
        "overlaps_history": "happened_at"
    }
