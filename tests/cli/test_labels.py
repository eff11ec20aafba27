"""Symbols written to a folder, and read back."""

import io
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from tests.web.doors import Doors
from tests.web.test_labels import drawn, read


def test_symbols_are_written_one_file_a_code(untouched: Doors, tmp_path: Path):
    codes = [untouched.code(name) for name in ("p1 s", "p1 e", "teasel A")]
    result = untouched.cli("labels", *codes, "--to", str(tmp_path / "new"))
    assert result.exit_code == 0
    assert result.stdout.splitlines() == [str(tmp_path / "new" / f"{code}.svg") for code in codes]
    for code in codes:
        assert read(drawn((tmp_path / "new" / f"{code}.svg").read_text())) == f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}"


def test_or_as_png(untouched: Doors, tmp_path: Path):
    code = untouched.code("p1 s")
    untouched.cli("labels", code.lower(), "--png", "--to", str(tmp_path))
    found = zxingcpp.read_barcodes(Image.open(io.BytesIO((tmp_path / f"{code}.png").read_bytes())))
    assert [one.text for one in found] == [f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}"]


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("K0000000", "(unreadable_label [codes])"),
        ("nothing", "(unreadable_label [codes])"),
        ("{unborne}", "(unknown_label [codes])"),
    ],
)
def test_one_that_is_not_known_leaves_no_file_at_all(code: str, says: str, untouched: Doors, tmp_path: Path):
    from tests.web.spoilt import spelt

    result = untouched.cli("labels", untouched.code("p1 s"), spelt(untouched, code), "--to", str(tmp_path / "new"))
    assert (result.exit_code, result.stdout, says in result.stderr) == (1, "", True)
    assert not (tmp_path / "new").exists()


# whole labels and PDF


def pages(path: Path) -> list[set[str]]:
    import pypdfium2

    pdf = pypdfium2.PdfDocument(path)
    found = []
    for page in pdf:
        picture = page.render(scale=300 / 72).to_pil().convert("L")
        found.append({one.text for one in zxingcpp.read_barcodes(picture)})
        page.close()
    pdf.close()
    return found


def test_with_a_size_whole_labels_are_written(untouched: Doors, tmp_path: Path):
    code = untouched.code("p1 s")
    assert untouched.cli("labels", code, "--size-mm", "25", "--to", str(tmp_path)).exit_code == 0
    drawn_label = (tmp_path / f"{code}.svg").read_text(encoding="utf-8")
    assert f"{code[:4]} {code[4:]}" in drawn_label and "Ardlune" in drawn_label
    told = untouched.cli("labels", code, "--size-mm", "18", "--dpi", "600", "--png", "--to", str(tmp_path))
    assert told.stdout == f"{tmp_path / code}.png\n"
    picture = Image.open(tmp_path / f"{code}.png")
    assert picture.height == round(18 / 25.4 * 600)
    assert [one.text for one in zxingcpp.read_barcodes(picture)] == [f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}"]


def test_copies_have_files_and_symbols_of_their_own(untouched: Doors, tmp_path: Path):
    code = untouched.code("p1 s")
    told = untouched.cli("labels", code, "--copies", "2-3", "--png", "--to", str(tmp_path))
    assert told.stdout.split() == [f"{tmp_path / code}-copy-{copy}.png" for copy in (2, 3)]
    found = zxingcpp.read_barcodes(Image.open(tmp_path / f"{code}-copy-3.png"))
    assert [one.text for one in found] == [f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}/3"]


def test_one_pdf_holds_them_all(untouched: Doors, tmp_path: Path):
    codes, path = [untouched.code(name) for name in ("p1 s", "p1 e", "teasel A")], tmp_path / "labels.pdf"
    told = untouched.cli("labels", *codes, "--pdf", str(path), "--sheet", "a4", "--size-mm", "15", "--no-legend")
    assert (told.exit_code, told.stdout) == (0, f"{path}: 3 labels\n")
    assert pages(path) == [{f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}" for code in codes}]
    assert [one.name for one in path.parent.iterdir()] == ["labels.pdf"]


@pytest.mark.parametrize(("sheet", "more", "count"), [("roll", (), 1), ("a4", (), 2), ("roll", ("--legend",), 2)])
def test_instructions_come_with_a_sheet_and_on_a_roll_when_asked_for(
    sheet: str, more: tuple[str, ...], count: int, untouched: Doors, tmp_path: Path
):
    path = tmp_path / "labels.pdf"
    untouched.cli("labels", untouched.code("p1 s"), "--pdf", str(path), "--sheet", sheet, *more)
    assert len(pages(path)) == count


@pytest.mark.parametrize("kind", ["half", "vehicle", "bay", "station", "site", "person"])
def test_all_of_a_kind_are_printed(kind: str, untouched: Doors, tmp_path: Path):
    path = tmp_path / "labels.pdf"
    told = untouched.cli("labels", "--all", kind, "--pdf", str(path))
    assert told.stdout == f"{path}: {len(untouched.rows(kind))} labels\n"
    assert all(len(symbols) == 1 for symbols in pages(path))


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--size-mm", "12", "--dpi", "203"), "(does_not_fit [size_mm])"),
        (("--size-mm", "14"), "“14” is not one of 12, 15, 18, 25. Choose 12, 15, 18, 25."),
        (("--dpi", "72"), "(wrong_form [dpi])"),
        (("--sheet", "a5"), "(wrong_form [sheet])"),
        (("--copies", "0"), "(wrong_form [copies])"),
    ],
)
def test_what_cannot_be_printed_is_refused_and_no_file_is_left(
    more: tuple[str, ...], says: str, untouched: Doors, tmp_path: Path
):
    path = tmp_path / "labels.pdf"
    path.write_bytes(b"what was there before")
    told = untouched.cli("labels", untouched.code("p1 s"), "--pdf", str(path), *more)
    assert (told.exit_code, told.stdout) == (1, "")
    assert says in told.stderr
    assert [one.name for one in tmp_path.iterdir()] == ["labels.pdf"]
    assert path.read_bytes() == b"what was there before"


def test_it_is_said_which_and_not_both_ways(untouched: Doors, tmp_path: Path):
    for words in ((), (untouched.code("p1 s"), "--all", "half"), ("--all", "pair")):
        assert untouched.cli("labels", *words, "--to", str(tmp_path)).exit_code == 2
