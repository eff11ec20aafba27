"""Cells that no spreadsheet runs. Source of the list: OWASP, "CSV Injection"; formulas it shows are the ones below."""

import pytest

from registry.domain.exports import MOST_OF_A_CELL, as_sheet_text, defused, sheet_name


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(1+1)*cmd|' /C calc'!A0",
        "\t=1",
        "\r=1",
        "\n=1",
        '=HYPERLINK("x")',
        "-",
        "--1",
        "+3",
    ],
)
def test_what_a_spreadsheet_would_run_gets_an_apostrophe(text: str):
    assert defused(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "-0.01", "-12", "12", "QH-1", "a=b", "'=1", "0012", " =1"])
def test_numbers_and_plain_words_stay_as_they_are(text: str):
    assert defused(text) == text


def test_a_text_is_cut_where_no_cell_goes_on_and_says_so():
    assert as_sheet_text("x" * MOST_OF_A_CELL) == "x" * MOST_OF_A_CELL
    cut = as_sheet_text("x" * 40_000)
    assert len(cut) == MOST_OF_A_CELL
    assert cut.endswith("[cut here: 40,000 characters; CSV and JSON lines hold all of it]")


def test_control_characters_are_spelt_out_as_the_format_does():
    assert as_sheet_text("a\x1db_x001D_") == "a_x001D_b_x005F_x001D_"


def test_a_sheet_that_goes_on_says_which_it_is():
    assert (sheet_name("half", 1), sheet_name("half", 2)) == ("half", "half 2")
    assert sheet_name("a" * 40, 12) == "a" * 28 + " 12"
