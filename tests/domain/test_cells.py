"""Cells of a spreadsheet. Days counted from 1900: ECMA-376 part 1, 18.17.4.1 (its day 45,321 is 30 January 2024)."""

from datetime import datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.cells import Unread, as_choice, as_day, as_figure, as_flag, as_instant, as_list, as_text
from registry.domain.imports import Column, guessed, letter_of
from registry.domain.rows import Reading, acts_of, read
from registry.domain.units import GRADES, KINDS


@pytest.mark.parametrize(
    ("cell", "order", "day"),
    [
        ("2024-02-05", "", "2024-02-05"), ("13/02/2024", "", "2024-02-13"), ("02/13/2024", "", "2024-02-13"), ("5.2.2024", "day", "2024-02-05"),
        ("5/2/2024", "month", "2024-05-02"), ("04/04/2024", "", "2024-04-04"), (datetime(2024, 2, 5), "", "2024-02-05"),
    ],
)  # fmt: skip
def test_days_are_read(cell: Any, order: str, day: str):
    assert as_day(cell, order) == day


@pytest.mark.parametrize(
    ("cell", "order", "told"),
    [
        ("03/04/2024", "", "may be read two ways"),
        ("13/02/2024", "month", "does not fit the order you said (month first)"),
        ("45321", "", "how a spreadsheet counts days (30 January 2024, if it counts from 1900)"),
        (45321, "", "Format the column as dates"),
        (45321.5, "", "how a spreadsheet counts days"),
        ("31/02/2024", "", "not a day that exists"),
        ("spring", "", "“spring” is not a day. Write it like 2026-05-04."),
        ("1899-01-01", "", "Look at the year"),
        ("2024-02-05 10:00", "", "is a day with a time"),
        ("5/2/24", "day", "is not a day"),
    ],
)
def test_days_that_cannot_be_read_say_why_and_what_to_write(cell: Any, order: str, told: str):
    with pytest.raises(Unread) as no:
        as_day(cell, order)
    assert told in str(no.value)


def test_instants_are_utc_unless_they_say_an_offset():
    assert as_instant("2024-02-05", "") == "2024-02-05T00:00:00.000000Z"
    assert as_instant("5/2/2024 14:30", "day") == "2024-02-05T14:30:00.000000Z"
    assert as_instant("2024-02-05T14:30:00+02:00", "") == "2024-02-05T14:30:00.000000+02:00"
    assert as_instant(datetime(2024, 2, 5, 14, 30), "") == "2024-02-05T14:30:00.000000Z"
    for wrong in ("2024-02-05 25:00", "2024-02-30T10:00:00Z", "45321"):
        with pytest.raises(Unread):
            as_instant(wrong, "")


def test_numbers_as_text_lose_no_digit_and_gain_none():
    assert [as_text(value) for value in (12, 12.0, 0.1, "0012", None, True)] == ["12", "12", "0.1", "0012", "", "yes"]
    assert [as_figure(value) for value in ("3,2", "-0,125", "12,3456", 3.2)] == ["3.2", "-0.125", "12.3456", "3.2"]
    with pytest.raises(Unread, match=r"may be 1\.250 or 1250"):
        as_figure("1,250")


def test_choices_are_read_by_name_by_words_and_by_their_beginning():
    assert as_choice("Sensor", KINDS) == "sensor"
    assert as_choice("electronics half", KINDS) == "electronics"
    assert as_choice("calibration sheet", GRADES) == "calibration_sheet"
    with pytest.raises(Unread, match="none of these: sensor, electronics"):
        as_choice("sens0r", KINDS)


def test_flags_and_lists():
    assert [as_flag(text) for text in ("Yes", "x", "no", "0")] == [True, True, False, False]
    assert as_list("Reed; Sedge ,") == ["Reed", "Sedge"]
    with pytest.raises(Unread, match="neither yes nor no"):
        as_flag("perhaps")


@given(st.text() | st.integers() | st.floats() | st.none() | st.booleans(), st.sampled_from(["", "day", "month"]))
def test_whatever_stands_in_a_cell_is_read_or_told(cell: Any, order: str):
    for reader in (as_day, as_instant):
        try:
            assert reader(cell, order)[:2] in ("19", "20", "21", "22")
        except Unread as no:
            assert str(no).endswith(".")


def test_columns_are_guessed_from_their_headers_and_a_header_borne_twice_is_not():
    columns = [Column(letter_of(place), header) for place, header in enumerate(["Serial No.", "Make", "P/N", "Location", "Date", "Date"])]  # fmt: skip
    assert guessed("halves", columns) == {"serial": "A", "maker": "B", "part": "C", "site": "D"}
    assert [letter_of(place) for place in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


def test_each_column_is_guessed_for_one_field_alone():
    told = guessed("installs", [Column("A", "Vehicle"), Column("B", "Bay"), Column("C", "Unit"), Column("D", "From"), Column("E", "To")])  # fmt: skip
    assert told == {"vehicle": "A", "letter": "B", "pair": "C", "installed_at": "D", "removed_at": "E"}


def test_a_cell_that_is_empty_takes_what_every_row_says_and_a_needed_one_is_asked_for():
    how = Reading("halves", {"serial": "A", "site": "B"}, {"site": "Shed", "kind": "sensor"})
    values, reasons = read(how, {"A": "0012", "B": None})
    assert values == {"serial": "0012", "site": "Shed", "kind": "sensor"}
    assert {reason.field for reason in reasons} == {"unit_type", "maker", "part", "since"}
    assert {wanted.name for wanted in how.missing()} == {"unit_type", "maker", "part", "since"}


def test_a_row_of_a_vehicle_is_as_many_acts_as_it_tells_of():
    vehicle = {"vehicle": "Teasel", "hull_number": "1", "hull": "torpedo", "length_m": "5", "site": "Shed", "since": "2024-01-01T00:00:00Z"}  # fmt: skip
    assert [told.act for told in acts_of("vehicles", vehicle)] == ["add_vehicle"]
    whole = acts_of("vehicles", vehicle | {"housing": "forward", "closing_method": "gasket", "letter": "A"})
    assert [told.act for told in whole] == ["add_vehicle", "add_housing", "add_bay"]
    assert whole[2].fields == {"housing": "Teasel forward", "letter": "A"}
