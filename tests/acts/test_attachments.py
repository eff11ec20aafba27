"""Files that acts bring along: there before the act, told as they are, each on one thing, and rows that follow."""

import io
import uuid
from typing import Any

import pytest

from registry.acts.act import ACTS
from registry.acts.effects import effects_of
from registry.domain.attachments import SUBJECTS
from registry.files import Files
from tests.acts.stage import Stage
from tests.lived import CLOSED, LEAK, LOOKED, PROCEDURE, SHEET
from tests.samples import NOTE_GIVEN, PHOTO_GIVEN, SHEET_GIVEN, given, picture

ON = {"half": "p1 s", "pair": "p1", "vehicle": "teasel", "bay": "teasel A", "hold": "hold"}


def told(row: Any) -> dict[str, Any]:
    return {"sha256": row.sha256, "size": row.size_bytes, "media_type": row.media_type, "name": row.name}


@pytest.mark.parametrize("kind", ON)
def test_a_file_goes_with_one_thing_by_its_hash(kind: str, stages: Stage):
    if kind == "hold":
        stages.do("place_hold", name="hold", half="p1 s", reason="it hums")
    done = stages.do(
        "attach_file", "10 13:00", **{kind: ON[kind]}, files=[PHOTO_GIVEN, SHEET_GIVEN], words="both sides"
    )
    column = next(column for column, name in SUBJECTS.items() if name == kind)
    rows = {row.id: row for row in stages.rows("attachment", seq=done.entry.seq)}
    assert {id_: told(row) for id_, row in rows.items()} == {
        done.entry.id: PHOTO_GIVEN,
        done.entry.derived("file:2"): SHEET_GIVEN,
    }
    for row in rows.values():
        assert getattr(row, column) == stages.ids[ON[kind]]
        assert [name for name in SUBJECTS if getattr(row, name)] == [column]
        assert (row.purpose, row.words, row.attached_by_id) == ("attached", "both sides", stages.ids["ida"])
        assert row.attached_at == "2026-05-10T13:00:00.000000Z"
    assert stages.unlike() == []


def test_the_entry_tells_hash_size_kind_and_name_and_no_bytes(stage: Stage):
    entry = stage.do("attach_file", half="p1 s", files=[PHOTO_GIVEN]).entry
    assert entry.body["files"] == [PHOTO_GIVEN]


def test_a_hold_keeps_what_was_seen_and_what_it_was_released_on(stages: Stage):
    held = stages.do("place_hold", name="hold", half="p1 s", reason="it hums", files=[PHOTO_GIVEN]).entry
    freed = stages.do("release_hold", "10 13:00", by="rosa", hold="hold", reason="dry", evidence="bench log", files=[NOTE_GIVEN]).entry  # fmt: skip
    rows = {row.purpose: row for row in stages.rows("attachment", hold_id="hold")}
    assert {purpose: (told(row), row.seq) for purpose, row in rows.items()} == {
        "seen": (PHOTO_GIVEN, held.seq),
        "evidence": (NOTE_GIVEN, freed.seq),
    }
    assert stages.unlike() == []


def test_a_statement_is_kept_with_the_pair_it_proves(stages: Stage):
    for kind, part in (("sensor", "RS-100"), ("electronics", "RE-200")):
        label = {"maker": "Ardlune", "part": part, "serial": f"{part[1]}-new"}
        stages.do("receive_half", "8 09:00", name=kind, kind=kind, unit_type="reed", site="shed", **label)
    fields = {"grade": "calibration_sheet", "statement": "ST-9", "stated_on": "2026-05-01", "files": [SHEET_GIVEN]}
    done = stages.do("record_pairing", "9 09:00", by="oda", pair="new", sensor="sensor", electronics="electronics", **fields)  # fmt: skip
    row = stages.row("attachment", pairing_id=done.entry.id)
    assert (row.purpose, told(row)) == ("statement", SHEET_GIVEN)
    assert stages.unlike() == []


def test_a_housing_that_is_closed_and_tested_keeps_its_photos_with_the_vehicle_and_a_sighting_with_the_bay(
    stages: Stage,
):
    stages.do("open_housing", "10 08:00", housing="teasel forward", reason="a look")
    stages.do("close_housing", "10 09:00", housing="teasel forward", words="new seal", files=[PHOTO_GIVEN])
    stages.do("record_leak_test", "10 10:00", housing="teasel forward", files=[NOTE_GIVEN, PHOTO_GIVEN], **LEAK)
    stages.do("record_sighting", "10 11:00", bay="teasel A", empty=True, files=[PHOTO_GIVEN])
    kept = [(row.purpose, row.vehicle_id, row.bay_id, row.words) for row in stages.rows("attachment")]
    teasel = stages.ids["teasel"]
    assert sorted(kept, key=str) == [
        ("closing", teasel, None, "new seal"),
        ("leak_test", teasel, None, None),
        ("leak_test", teasel, None, None),
        ("sighting", None, stages.ids["teasel A"], None),
    ]
    assert stages.unlike() == []


@pytest.mark.parametrize("act", ["close_housing", "record_sighting", "record_leak_test"])
def test_an_entry_from_before_an_act_took_files_leaves_the_rows_it_always_left(act: str, stage: Stage):
    if act != "record_sighting":
        stage.do("open_housing", "10 08:00", housing="teasel forward", reason="a look")
    if act == "record_leak_test":
        stage.do("close_housing", "10 09:00", housing="teasel forward")
    fields = {
        "record_sighting": {"bay": "teasel A", "empty": True},
        "record_leak_test": {"housing": "teasel forward", **LEAK},
    }
    entry = stage.do(act, "10 10:00", **fields.get(act, {"housing": "teasel forward"})).entry
    body = {name: value for name, value in entry.body.items() if name != "files"}
    decided = {name: value for name, value in entry.decided.items() if act != "close_housing" or name != "vehicle"}
    assert effects_of(entry._replace(body=body, decided=decided)) == effects_of(entry)


BRINGING = {
    "attach_file": {"half": "p1 s"},
    "place_hold": {"half": "p1 s", "reason": "it hums"},
    "release_hold": {"hold": "hold", "reason": "dry", "evidence": "a look"},
    "record_meter_calibration": {"meter": "RM-1", "calibrated_on": "2026-05-01", "as_found": "within", "certificate": "C-7"},
    "record_carton": {"delivery": "delivery", "number": 5, "half": "p3 s", "condition": "sound", "shock": "clear", "tilt": "none", "seal": "whole"},
    "inspect_half": {"carton": "bag carton", "label": "lone e", "bag": "closed", "outcome": "accept"},
    "close_housing": {"housing": "teasel forward"},
    "record_leak_test": {"housing": "spare forward", **LEAK},
    "record_sighting": {"bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"},
    "record_pairing": {"pair": "new", "sensor": "lone s", "electronics": "lone e", "grade": "calibration_sheet", "statement": "ST-9", "stated_on": "2026-05-01"},
    "record_calibration": {"pair": "p5", "certificate": "CC-9", "calibrated_on": "2026-04-30", "place": "works", "results": [{"quantity": "heading", "unit": "deg", "as_left": "0.01"}]},
    "record_alignment": {"bay": "teasel A", **SHEET},
    "record_heading_check": {"pair": "p5", "mark": "mark", **PROCEDURE, "tolerance_deg": "0.2", "found_deg": "120.02", "u_deg": "0.02"},
    "record_closing_sheet": {"housing": "spare forward", **CLOSED},
    "check_seating": {"bay": "teasel A", **LOOKED},
    "keep_settings_file": {"bay": "teasel A", "outcome": "saved"},
    "sight_bay": {"audit": "A-1", "bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"},
    "record_ship_check": {"pair": "p5", **PROCEDURE, "unit_heading_deg": "0.1", "ship_heading_deg": "0", "tolerance_deg": "1", "u_deg": "0.2"},
}  # fmt: skip
#: Of their files one is the recording itself: test_verifications.py, test_alignments.py, test_mounting_checks.py.
ASIDE = {"record_static_test", "fit_dvl_run", "record_mounting_check", "record_axis_recording"}
BY = {
    "record_meter_calibration": "oda",
    "release_hold": "rosa",
    "check_seating": "yusuf",
    "record_pairing": "oda",
    "record_calibration": "vera",
    "sight_bay": "anselm",
    "record_heading_check": "vera",
}
STRANGE = given(b"never sent", "photo.jpg", "image/jpeg")
UNLIKE = [
    (STRANGE, "unknown_file"),
    (PHOTO_GIVEN | {"size": PHOTO_GIVEN["size"] + 1}, "wrong_file"),
    (NOTE_GIVEN | {"media_type": "text/csv"}, "wrong_file"),
    (PHOTO_GIVEN | {"name": "photo.pdf", "media_type": "application/pdf"}, "unknown_file"),
]


def test_every_act_that_brings_files_is_tried_here():
    assert {name for name, cls in ACTS.items() if "files" in cls.model_fields} == set(BRINGING) | ASIDE


@pytest.mark.parametrize("act", BRINGING)
@pytest.mark.parametrize(("file", "code"), UNLIKE, ids=["not there", "size", "kind", "name"])
def test_a_file_that_is_not_there_or_not_as_told_is_refused_at_its_place(
    act: str, file: dict, code: str, lived_stage: Stage
):
    sent = lived_stage.sent(act, "18 09:00", **BRINGING[act]) | {"files": [PHOTO_GIVEN, file]}
    assert lived_stage.refusal(sent, BY.get(act, "ida")) == {code: "files.1"}


def test_what_is_not_there_is_told_beside_everything_else(lived_stage: Stage):
    sent = lived_stage.sent("release_hold", "18 09:00", **BRINGING["release_hold"], files=[STRANGE])
    assert lived_stage.refusal(sent, "ida") == {"not_allowed": None, "own_work": "hold", "unknown_file": "files.0"}


def test_a_door_that_is_told_of_no_folder_finds_no_file(stage: Stage, tmp_path):
    stage.files = Files(tmp_path, 1000)
    assert stage.refusal(stage.sent("attach_file", half="p1 s", files=[PHOTO_GIVEN])) == {"unknown_file": "files.0"}


SHAPES = [
    ({"files": []}, "files", "Files: give at least 1."),
    ({"files": [PHOTO_GIVEN] * 5}, "files", "Files: at most 4 can be given at once."),
    ({"files": [PHOTO_GIVEN | {"sha256": "A" * 64}]}, "files.0.sha256", "64 hexadecimal digits in lower case"),
    ({"files": [PHOTO_GIVEN | {"sha256": "../" * 20}]}, "files.0.sha256", "64 hexadecimal digits"),
    ({"files": [PHOTO_GIVEN | {"size": 0}]}, "files.0.size", "greater than or equal to 1"),
    ({"files": [PHOTO_GIVEN | {"media_type": "text/html"}]}, "files.0.media_type", "choose one of"),
    ({"files": [PHOTO_GIVEN | {"name": "../photo.jpg"}]}, "files.0.name", "no name of a file"),
    ({"files": [PHOTO_GIVEN | {"name": "a\x00.jpg"}]}, "files.0.name", "no name of a file"),
    ({"files": [PHOTO_GIVEN | {"place": "48 N"}]}, "files.0.place", "is not a field here"),
    ({"bay": "teasel A"}, None, "A file goes with one thing"),
    ({"half": None}, None, "A file goes with one thing"),
]  # fmt: skip


@pytest.mark.parametrize(("changed", "field", "words"), SHAPES)
def test_a_file_of_another_form_is_refused_at_its_field(changed: dict, field: str | None, words: str, stage: Stage):
    answer = stage.sent("attach_file", half="p1 s", files=[PHOTO_GIVEN]) | changed
    if changed.get("half", "") is None:
        del answer["half"]
    assert stage.refusal(answer).popitem()[1] == field
    with pytest.raises(Exception, match=words):
        stage.send(answer)


def test_an_entry_from_before_there_were_files_is_still_folded(stage: Stage):
    """Its bytes name no files: nothing is lifted, and it leaves the rows it always left."""
    entry = stage.do("place_hold", half="p1 s", reason="it hums").entry
    old = entry._replace(body={name: value for name, value in entry.body.items() if name != "files"})
    assert effects_of(old) == effects_of(entry)
    assert [effect.table for effect in effects_of(old)] == ["hold"]


def test_the_same_file_may_go_with_many_things_and_lies_there_once(stage: Stage, tmp_path):
    stage.files = Files(tmp_path, 1_000_000)
    content = picture("PNG", colour="red")
    for name in ("one.png", "two.png"):
        stage.files.keep(io.BytesIO(content), name)
        stage.do("attach_file", half="p1 s", files=[given(content, name, "image/png")])
    assert [row.name for row in sorted(stage.rows("attachment", half_id="p1 s"), key=lambda row: row.seq)] == ["one.png", "two.png"]  # fmt: skip
    assert len([path for path in (tmp_path / "files").rglob("*") if path.is_file()]) == 1


def test_the_hand_that_did_it_is_the_hand_that_is_named(stage: Stage):
    entry = stage.do("attach_file", by="vera", half="p1 s", files=[PHOTO_GIVEN]).entry
    assert stage.row("attachment", id=entry.id).attached_by_id == stage.ids["vera"]
    assert uuid.UUID(entry.id).version == 7
