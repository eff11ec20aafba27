"""Values read from a unit, compared with every sheet there is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.readbacks import agree, compare, deciding, differing_values, serials_unlike
from tests.domain.readback_cases import A1, A2, B1, CASES, SHEETS, THREE, sheet


@pytest.mark.parametrize("name", CASES)
def test_whose_the_values_are(name: str):
    read, sheets, wanted, verdict = CASES[name]
    found = compare(read, sheets, "A", wanted)
    assert found is not None and found.verdict == verdict


@pytest.mark.parametrize("name", CASES)
def test_the_sheets_that_decide_say_the_same_as_all_of_them(name: str):
    read, sheets, wanted, _verdict = CASES[name]
    kept, names = deciding(read, sheets, wanted)
    assert compare(read, kept, "A", wanted, names) == compare(read, sheets, "A", wanted)


def test_the_other_bay_s_sheet_is_named_with_what_was_wanted():
    found = compare(THREE | {"Yaw": "0.31"}, SHEETS, "A", "a2")
    assert found is not None and found.sheet is B1
    assert found.told == "This is Teasel, bay B, version 1 (1b1b 1b1b). Wanted: Yaw 0.25 deg, read 0.31."
    assert found.next == "Load Teasel, bay A, version 2 (2a2a 2a2a) and read it back."


def test_values_that_two_sheets_share_say_what_to_read_as_well():
    found = compare({"Time scale": "UTC", "Roll": "-0.098", "Rate": "115200"}, SHEETS, "A", "a2")
    assert found is not None and found.apart == ("Output delay", "Yaw")
    assert found.next == "Read Output delay and Yaw as well: that tells them apart."


def test_values_of_another_version_that_two_sheets_share_name_both():
    b4 = sheet("b4", "B", 4, Output_delay="8", Yaw="0.3")
    found = compare(
        {"Time scale": "UTC", "Roll": "-0.098", "Rate": "115200", "Output delay": "8"}, [A1, A2, b4], "A", "a2"
    )
    assert found is not None and found.verdict == "other_version"
    assert " These values fit Teasel, bay B, version 4 (4b4b 4b4b), too." in found.told


def test_fewer_than_three_values_that_stand_on_a_sheet_say_nothing():
    assert compare({"Yaw": "0.25", "Output delay": "12", "Colour": "grey"}, SHEETS, "A", "a2") is None
    assert compare(THREE, [], "A", None) is None


def test_a_unit_on_a_bench_is_somebody_s_or_nobody_s():
    found = compare(THREE | {"Yaw": "0.31"}, SHEETS, None, None)
    assert found is not None and (found.verdict, found.sheet) == ("other_bay", B1)
    assert found.next == "Look whose unit this is before it goes in."


@given(st.decimals("-1", "1", places=3))
def test_a_figure_agrees_with_itself_however_it_is_shown(figure):
    text = format(figure, "f")
    assert agree(f"{text}00", text, "deg")
    assert agree(text.replace("-", "\u2212") + "°", text, "deg")
    assert agree(format(round(figure, 2), ".2f"), text, "deg")
    assert not agree(format(figure + 1, "f"), text, "deg")


def test_what_another_sheet_has_otherwise():
    told = [(one.name, one.read, one.wanted) for one in differing_values(A1, A2)]
    assert told == [("Output delay", "8 ms", "12 ms")]
    assert differing_values(A2, A2) == []


def test_serials_the_unit_reports_are_compared_with_every_label_of_the_half():
    known = {"sensor": ["S-1", "S-1B"], "electronics": ["E-2"]}
    assert serials_unlike({"sensor": "s-1b", "electronics": None}, known) == []
    assert serials_unlike({"sensor": "S-9", "electronics": "E-2"}, known) == [
        "The unit reports serial S-9 for its sensor half; the record has S-1 or S-1B there."
    ]
