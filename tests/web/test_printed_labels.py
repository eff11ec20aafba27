"""Labels as a printer gets them: whole dots, in their place, with their words, as PNG, SVG and PDF."""

import io
import random
from collections.abc import Iterator

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from registry.domain.codes import code_url, draw_code
from registry.domain.prints import DPIS, QUIET, SIZES_MM, choose_symbol, read_order
from registry.errors import Refused
from registry.output.labels import draw_pdf, label_png, label_svg, lay
from registry.queries.labels import LabelText
from tests.web.html import read_html

HOST = "pairs.holmwick"
dice = random.Random(20)
CODES = [draw_code("K", dice.randrange) for _ in range(40)]
FITTING = [(size, dpi) for size in SIZES_MM for dpi in DPIS if dpi > 203 or size >= 18]


def label(number: int = 0, **told: str) -> LabelText:
    words = {
        "what": "Sensor half",
        "first": "Ardlune",
        "second": "Quenholt Reed",
        "part": "AR-3100-C",
        "serial": f"S-{20400 + number}",
    }
    return LabelText(kind="half", code=CODES[number], **(words | told))  # fmt: skip


def read(picture: Image.Image) -> list[str]:
    return [one.text for one in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)]


def printed(size: int, dpi: int, number: int = 0, copy: int = 0) -> Image.Image:
    """A label at its printed resolution: one pixel a dot, on a mat."""
    order = read_order(str(size), str(dpi), "roll")
    picture = Image.open(io.BytesIO(label_png(label(number), HOST, order, copy))).convert("L")
    mat = Image.new("L", (picture.width + 80, picture.height + 80), 235)
    mat.paste(picture, (40, 40))
    return mat


# form


@pytest.mark.parametrize(("size", "dpi"), FITTING)
def test_modules_are_whole_dots_and_the_quiet_zone_is_four_of_them(size: int, dpi: int):
    """In the picture for the printer: every change from dark to light lies on a whole number of dots."""
    order = read_order(str(size), str(dpi), "roll")
    laid = lay(label(), HOST, order, 0)
    picture = Image.open(io.BytesIO(label_png(label(), HOST, order))).convert("L")
    assert picture.size == tuple(round(mm / 25.4 * dpi) for mm in order.sheet.cell_mm)
    dots, side = laid.symbol.dots, (laid.symbol.modules + 2 * QUIET) * laid.symbol.dots
    x, y = round(laid.x / laid.dot), round(laid.y / laid.dot)
    assert x >= 0 and y >= 0 and y + side <= picture.height
    symbol = picture.crop((x, y, x + side, y + side))
    small = symbol.resize((side // dots, side // dots), Image.Resampling.NEAREST)
    assert small.resize((side, side), Image.Resampling.NEAREST).tobytes() == symbol.tobytes()
    dark = symbol.point(lambda shade: 255 - shade).getbbox()
    assert dark == (QUIET * dots, QUIET * dots, side - QUIET * dots, side - QUIET * dots)


def test_the_picture_says_its_resolution():
    picture = Image.open(io.BytesIO(label_png(label(), HOST, read_order("18", "600", "roll"))))
    assert [round(one) for one in picture.info["dpi"]] == [600, 600]


@pytest.mark.parametrize("copy", [0, 2])
def test_as_svg_it_says_the_same_in_millimetres(copy: int):
    root, faults = read_html(label_svg(label(first="A & <B>"), HOST, read_order("25", "300", "roll"), copy))
    assert faults == []
    assert root.one("svg").attrs["width"] == "60mm"
    words = [node.words for node in root.all("text")]
    assert words == ([f"COPY {copy}: sensor half"] if copy else ["Sensor half"]) + [
        f"{CODES[0][:4]} {CODES[0][4:]}", "A & <B> Quenholt Reed", "AR-3100-C", "S-20400",
    ]  # fmt: skip


# PDF


def pdf_of(
    labels: list[LabelText], *order: str, legend: bool = False, count: int | None = None
) -> pypdfium2.PdfDocument:
    out = io.BytesIO()
    drawn = draw_pdf(out, labels, HOST, read_order(*order, legend=legend))
    assert drawn == (count or len(labels))
    return pypdfium2.PdfDocument(out.getvalue(), autoclose=True)


@pytest.fixture
def pdfs() -> Iterator[list[pypdfium2.PdfDocument]]:
    opened: list[pypdfium2.PdfDocument] = []
    yield opened
    for one in opened:
        one.close()


def texts(pdf: pypdfium2.PdfDocument, page: int) -> str:
    sheet = pdf[page]
    text = sheet.get_textpage()
    try:
        return " ".join(text.get_text_bounded().split())
    finally:
        text.close()
        sheet.close()


def seen(pdf: pypdfium2.PdfDocument, page: int, dpi: int) -> set[str]:
    sheet = pdf[page]
    try:
        return set(read(sheet.render(scale=dpi / 72).to_pil().convert("L")))
    finally:
        sheet.close()


@pytest.mark.parametrize(
    ("order", "pages", "size_mm"),
    [
        (("25", "300", "a4"), 2, (210, 297)),
        (("12", "600", "roll"), 40, (28.8, 12)),
        (("18", "203", "100x150/5x5/2x6/3x3"), 4, (100, 150)),
    ],
)
def test_pages_have_the_size_of_the_paper_and_every_label_reads(order, pages, size_mm, pdfs):
    pdf = pdf_of([label(number) for number in range(40)], *order)
    pdfs.append(pdf)
    assert len(pdf) == pages
    for page in range(pages):
        assert [round(points / 72 * 25.4, 1) for points in pdf.get_page_size(page)] == list(size_mm)
    read_back = set().union(*(seen(pdf, page, 300) for page in range(pages)))
    assert read_back == {code_url(HOST, code) for code in CODES}


@pytest.mark.parametrize(("size", "dpi"), FITTING)
@pytest.mark.parametrize("paper", ["roll", "a4"])
def test_in_a_pdf_each_symbol_lies_on_whole_dots_of_the_page_and_in_its_place(size: int, dpi: int, paper: str, pdfs):
    order = read_order(str(size), str(dpi), paper)
    pdf = pdf_of([label(number) for number in range(40)], str(size), str(dpi), paper)
    pdfs.append(pdf)
    page = pdf[0]
    paths = [one for one in page.get_objects() if one.type == pypdfium2.raw.FPDF_PAGEOBJ_PATH]
    assert len(paths) == min(order.sheet.count, 40)
    symbol = choose_symbol(size, dpi, len(code_url(HOST, CODES[0])))
    for number, one in enumerate(paths):
        matrix = one.get_matrix()
        assert (matrix.b, matrix.c) == (0, 0)
        assert matrix.a == matrix.d == pytest.approx(symbol.dots * 72 / dpi, abs=2e-5)
        for corner in (matrix.e, matrix.f):
            dots = corner * dpi / 72
            assert dots == pytest.approx(round(dots), abs=0.01)
        left, bottom, right, top = (points / 72 * 25.4 for points in one.get_bounds())
        x, y = order.sheet.place_mm(number)
        wide, high = order.sheet.cell_mm
        quiet, play = QUIET * symbol.module_mm, 25.4 / dpi + 0.01
        assert x - play <= left - quiet and right + quiet <= x + wide + play
        height = order.sheet.height_mm
        assert y - play <= height - top - quiet and height - bottom + quiet <= y + high + play
    page.close()


def test_the_words_can_be_read_back(pdfs):
    pdf = pdf_of([label(0), label(1)], "25", "300", "roll")
    pdfs.append(pdf)
    assert texts(pdf, 1) == f"Sensor half {CODES[1][:4]} {CODES[1][4:]} Ardlune Quenholt Reed AR-3100-C S-20401"


def test_copies_say_so_in_words_and_in_the_symbol(pdfs):
    pdf = pdf_of([label(0)], "25", "300", "roll", "2-3", count=2)
    pdfs.append(pdf)
    for page, copy in enumerate((2, 3)):
        assert texts(pdf, page).startswith(f"COPY {copy}: sensor half ")
        assert seen(pdf, page, 300) == {code_url(HOST, CODES[0], copy)}


@pytest.mark.parametrize(
    ("paper", "size_mm"), [("a4", (210, 297)), ("roll", (210, 297)), ("100x150/5x5/2x5/3x3", (100, 150))]
)
def test_the_instructions_have_pages_of_their_own(paper: str, size_mm: tuple[int, int], pdfs):
    pdf = pdf_of([label(0)], "18", "300", paper, legend=True)
    pdfs.append(pdf)
    first = [round(points / 72 * 25.4) for points in pdf.get_page_size(1)]
    assert (first, len(pdf) >= 2) == (list(size_mm), True)
    told = " ".join(texts(pdf, page) for page in range(1, len(pdf)))
    assert told.startswith("How to stick these labels Where: halves")
    assert "never on a board, a coil, a connector or a seal face" in told
    assert "stop and ask." in told, "the last line fell off the page"


# words that do not fit, and letters a label does not have


def test_a_long_name_is_shortened_and_a_serial_never(pdfs):
    long = label(first="Ardlune Instruments of the Outer Isles and Northern Waters", second="Quenholt Reed Extended")
    pdf = pdf_of([long], "12", "300", "roll")
    pdfs.append(pdf)
    assert "…" in texts(pdf, 0) and "S-20400" in texts(pdf, 0)
    with pytest.raises(Refused) as refused:
        lay(label(serial="S-" + "0123456789" * 5), HOST, read_order("12", "300", "roll"), 0)
    (reason,) = refused.value.reasons
    assert (reason.code, reason.next) == ("does_not_fit", "Choose a larger label, or a sheet with wider places.")
    assert "is never cut" in reason.message


@pytest.mark.parametrize(
    ("name", "stands"), [("Æsa Ødegård", "Æsa Ødegård"), ("Žofia", "Žofia"), ("Ngọc", "Ngoc"), ("李", "see its page")]
)
def test_names_are_written_in_the_letters_a_label_has(name: str, stands: str):
    lines = lay(label(first=name, second="", part="", serial=""), HOST, read_order("25", "300", "roll"), 0).lines
    assert lines[2].text == stands


def test_a_serial_is_printed_exactly_or_not_at_all():
    """A letter that only looks like another would name another half."""
    lines = lay(label(serial="Ѕ-2040", part="ΑR-1"), HOST, read_order("25", "300", "roll"), 0).lines
    assert [line.text for line in lines[3:]] == ["see its page", "see its page"]


def test_words_stay_within_their_label():
    from reportlab.pdfbase.pdfmetrics import stringWidth

    for size, dpi in FITTING:
        order = read_order(str(size), str(dpi), "roll")
        laid = lay(label(first="Ardlune Instruments of the Outer Isles"), HOST, order, 12)
        wide, high = (mm / 25.4 * 72 for mm in order.sheet.cell_mm)
        for line in laid.lines:
            assert line.x + stringWidth(line.text, line.font, line.size) <= wide
            assert line.x > laid.x + laid.symbol.side_mm / 25.4 * 72 - 0.01
            assert line.size <= line.y <= high
            assert line.size >= 3.99
