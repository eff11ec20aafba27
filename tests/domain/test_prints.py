"""Which symbol a label holds, and where labels lie on paper; whatever does not fit is refused with what would."""

import pytest

from registry.domain import sticking
from registry.domain.prints import (
    CAPACITY,
    DPIS,
    QUIET,
    SIZES_MM,
    Sheet,
    a4_for,
    choose_symbol,
    read_order,
    read_sheet,
    roll_for,
)
from registry.errors import Refused

#: `HTTPS://` + 11 characters of a host + `/I/` + a code.
SHORT = 30


def told(refused: pytest.ExceptionInfo[Refused]) -> list[tuple[str, str | None, str, str | None]]:
    return [(r.code, r.field, r.message, r.next) for r in refused.value.reasons]


#: Measured on drawn labels of a 30-character address at 300 dpi: size, version, level, dots, side with quiet zone in mm.
CHOICES = [(12, 2, "M", 4, 11.2), (15, 3, "H", 4, 12.5), (18, 3, "H", 5, 15.7), (25, 3, "H", 7, 21.9)]


@pytest.mark.parametrize(("size", "version", "level", "dots", "side"), CHOICES)
def test_each_size_has_its_symbol_at_300_dpi(size: int, version: int, level: str, dots: int, side: float):
    found = choose_symbol(size, 300, SHORT)
    assert (found.version, found.level, found.dots, round(found.side_mm, 1)) == (version, level, dots, side)


@pytest.mark.parametrize(
    ("dpi", "characters", "level", "dots"),
    [(300, 29, "Q", 4), (300, 30, "M", 4), (600, 35, "H", 7), (600, 36, "Q", 7), (600, 47, "Q", 7), (600, 48, "M", 7)],
)
def test_the_smallest_label_takes_the_highest_level_that_its_printer_can_draw(
    dpi: int, characters: int, level: str, dots: int
):
    found = choose_symbol(12, dpi, characters)
    assert (found.level, found.dots) == (level, dots)


@pytest.mark.parametrize("size", SIZES_MM)
@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("characters", [26, 30, 36, 47, 60])
def test_a_symbol_is_whole_dots_and_lies_within_its_label_with_its_quiet_zone(size: int, dpi: int, characters: int):
    try:
        found = choose_symbol(size, dpi, characters)
    except Refused:
        return
    assert isinstance(found.dots, int)
    assert found.side_mm <= size
    assert found.side_mm == pytest.approx((found.modules + 2 * QUIET) * found.dots * 25.4 / dpi)
    assert found.module_mm >= (0.33 if dpi < 600 else 0.29)
    assert QUIET == 4


@pytest.mark.parametrize(
    ("characters", "level", "version"), [(29, "Q", 2), (30, "H", 3), (36, "H", 4), (84, "H", 6), (85, "Q", 5)]
)
def test_the_highest_level_is_taken_where_it_costs_no_dot_of_a_module(characters: int, level: str, version: int):
    found = choose_symbol(25, 300, characters)
    assert (found.level, found.version) == (level, version)


@pytest.mark.parametrize("level", CAPACITY)
def test_capacities_are_those_of_a_general_library(level: str):
    """qrcode draws each version full to the last character, and needs the next for one more."""
    from qrcode import constants
    from qrcode.main import QRCode
    from qrcode.util import MODE_ALPHA_NUM, QRData

    for version, most in enumerate(CAPACITY[level], 1):
        for characters, needed in ((most, version), (most + 1, version + 1)):
            code = QRCode(error_correction=getattr(constants, f"ERROR_CORRECT_{level}"), mask_pattern=0)
            code.add_data(QRData(b"A" * characters, mode=MODE_ALPHA_NUM), optimize=0)
            code.make(fit=True)
            assert code.version == needed


@pytest.mark.parametrize(
    ("size", "dpi", "characters", "says", "do"),
    [
        (12, 203, SHORT, "At 203 dpi a module of a label of 12 mm would be too few dots", "Choose 18 mm or a printer of 300 dpi."),
        (15, 203, SHORT, "At 203 dpi a module of a label of 15 mm would be too few dots", "Choose 18 mm or a printer of 300 dpi."),
        (12, 300, 39, "A label of 12 mm cannot hold this symbol at 300 dpi: 37 modules of 4 whole dots are 12.5 mm.", "Choose 15 mm."),
        (12, 600, 62, "A label of 12 mm cannot hold this symbol at 600 dpi: 41 modules of 7 whole dots are 12.1 mm.", "Choose 15 mm."),
        (25, 300, 109, "The address on the label has 109 characters.", "Use a shorter host."),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_with_what_would(size: int, dpi: int, characters: int, says: str, do: str):
    with pytest.raises(Refused) as refused:
        choose_symbol(size, dpi, characters)
    ((code, field, message, way),) = told(refused)
    assert (code, field, way) == ("does_not_fit", "size_mm", do)
    assert message.startswith(says)


# sheets


def test_a_roll_is_one_label_a_page():
    roll = roll_for(25)
    assert (roll.width_mm, roll.height_mm, roll.count, roll.cell_mm) == (60.0, 25.0, 1, (60.0, 25.0))
    assert roll.place_mm(0) == roll.place_mm(7) == (0, 0)


@pytest.mark.parametrize("size", SIZES_MM)
def test_a4_holds_as_many_as_go_on_it(size: int):
    sheet = a4_for(size)
    assert sheet.reasons_not_to_hold(size) == []
    fuller = Sheet(210, 297, 10, 10, sheet.columns, sheet.rows + 1, 3, 3)
    assert fuller.reasons_not_to_hold(size)


def test_labels_lie_in_rows_within_the_margins_and_never_over_one_another():
    sheet = read_sheet("210x297/10x12.5/3x10/3x2.5", 25)
    wide, high = sheet.cell_mm
    places = [sheet.place_mm(number) for number in range(sheet.count)]
    assert places[:2] == [(10, 12.5), (10 + wide + 3, 12.5)]
    assert places[3] == (10, 12.5 + high + 2.5)
    assert places[-1][0] + wide == pytest.approx(200)
    assert places[-1][1] + high == pytest.approx(284.5)
    assert sheet.place_mm(sheet.count) == places[0]


@pytest.mark.parametrize(
    "text",
    ["a5", "", "210x297", "210x297/10x10/3x10", "210x297/10x10/0x10/3x3", "-210x297/10x10/3x10/3x3", "210x297/10x10/3x10/3x3/1x1",
     "nanx297/10x10/3x10/3x3", "1e3x297/10x10/3x10/3x3", "210x297/10x10/3.5x10/3x3", "9999x297/10x10/3x10/3x3", "२१०x297/10x10/3x10/3x3"],
)  # fmt: skip
def test_what_is_no_sheet_is_told_with_how_to_write_one(text: str):
    with pytest.raises(Refused) as refused:
        read_sheet(text, 25)
    ((code, field, message, do),) = told(refused)
    assert (code, field, message) == ("wrong_form", "sheet", f"“{text}” is no sheet.")
    assert do and "210x297/10x10/3x10/3x3" in do


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("210x297/110x10/3x10/3x3", "Margins and gaps leave no room for labels on this paper."),
        ("210x297/10x10/3x12/3x3", "A place on this sheet is 61.3 by 20.3 mm; a label of 25 mm needs 45.0 by 25 mm."),
        ("210x297/10x10/5x10/3x3", "A place on this sheet is 35.6 by 25.0 mm; a label of 25 mm needs 45.0 by 25 mm."),
    ],
)
def test_a_sheet_with_places_too_small_for_the_label_is_refused(text: str, says: str):
    with pytest.raises(Refused) as refused:
        read_sheet(text, 25)
    ((code, _field, message, _do),) = told(refused)
    assert (code, message) == ("does_not_fit", says)


# orders


@pytest.mark.parametrize(
    ("text", "numbers"), [("", (0,)), ("  ", (0,)), ("2", (2,)), ("1-3", (1, 2, 3)), ("99", (99,)), ("98-99", (98, 99))]
)
def test_copies_are_numbered_and_the_label_itself_has_none(text: str, numbers: tuple[int, ...]):
    assert read_order("25", "300", "roll", text).each == numbers


@pytest.mark.parametrize("text", ["0", "0-2", "100", "3-1", "1-", "-1", "1-2-3", "x", "²", "1,2", "1000000"])
def test_numbers_no_copy_has_are_refused(text: str):
    with pytest.raises(Refused) as refused:
        read_order("25", "300", "roll", text)
    ((code, field, _message, do),) = told(refused)
    assert (code, field, do) == ("wrong_form", "copies", "Write 2 or 1-3; copies go from 1 to 99.")


def test_every_fault_of_an_order_is_told_at_once():
    with pytest.raises(Refused) as refused:
        read_order("14", "72", "a5", "many")
    assert [field for _code, field, _message, _do in told(refused)] == ["size_mm", "dpi", "copies", "sheet"]


# how to stick them


def test_the_instructions_keep_labels_off_what_they_would_harm():
    printed = " ".join(f"{head} {told}" for head, told in sticking.legend({"half", "bay"}))
    for word in ("board", "coil", "connector", "seal face", "30 cm", "bag", "frame", "authorised"):
        assert word in printed, word
    assert "Where: halves" in printed and "Where: bays" in printed and "Where: vehicles" not in printed
    assert set(sticking.NAMES) == set(sticking.WHERE)
