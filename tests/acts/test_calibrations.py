"""Factory calibrations as certificates state them, with standards and the certificate itself."""

import pytest

from tests.acts.stage import Stage
from tests.samples import SHEET_GIVEN

SHEET = {"pair": "p1", "certificate": "CC-1", "calibrated_on": "2026-05-01", "place": "Ardlune works"}
LINE = {
    "quantity": "gyro bias x",
    "unit": "deg/h",
    "as_found": "0.031",
    "as_left": "0.004",
    "expanded": "0.006",
    "k": "2",
}


def test_a_certificate_is_kept_line_by_line_with_its_file(stage: Stage):
    standards = [{"name": "rate table 2", "due_on": "2026-12-01"}, {"name": "thermometer 7"}]
    lines = [LINE, {"quantity": "heading", "unit": "deg", "as_left": "0.01"}]
    done = stage.do(
        "record_calibration", by="vera", adjusted=True, results=lines, standards=standards, files=[SHEET_GIVEN], **SHEET
    ).entry
    first, second = sorted(stage.rows("calibration_result"), key=lambda row: row.number)
    assert (first.as_found, first.as_left, first.expanded, first.k) == ("0.031", "0.004", "0.006", "2")
    # "Not stated" is a lawful answer, and it is not a nought.
    assert (second.as_found, second.expanded, second.k) == (None, None, None)
    assert {(row.name, row.due_on) for row in stage.rows("standard_used")} == {
        ("rate table 2", "2026-12-01"),
        ("thermometer 7", None),
    }
    (file,) = stage.rows("attachment")
    assert (file.purpose, file.pairing_id, file.seq) == ("certificate", stage.ids["p1"], done.seq)
    assert stage.row("calibration").adjusted is True
    assert stage.unlike() == []


@pytest.mark.parametrize(
    ("changed", "codes"),
    [
        ({"results": [{"quantity": "heading", "unit": "deg"}]}, {"missing_field"}),
        ({"results": [LINE | {"k": "0"}]}, {"wrong_form"}),
        ({"results": []}, {"wrong_form"}),
        ({"results": [LINE]}, {"wrong_form"}),  # as found and as left differ, and nothing was adjusted
        ({"calibrated_on": "2026-05-11"}, {"overlaps_history"}),
    ],
)
def test_what_a_certificate_cannot_say_is_refused(stage: Stage, changed: dict, codes: set[str]):
    told = SHEET | {"results": [LINE | {"as_left": "0.031"}]} | changed
    assert set(stage.refused("record_calibration", by="vera", **told)) == codes


def test_a_certificate_is_entered_once_for_a_pair(stage: Stage):
    told = SHEET | {"results": [LINE | {"as_left": "0.031"}]}
    stage.do("record_calibration", by="vera", **told)
    assert set(stage.refused("record_calibration", by="vera", **told)) == {"already_known"}
    stage.do("record_calibration", by="vera", **told | {"pair": "p2"})
