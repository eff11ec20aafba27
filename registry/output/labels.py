"""Labels on paper: symbol and words of one thing laid out in its place, drawn as PDF of many, as SVG or as PNG.

Lengths are points (1/72 inch), counted from the upper left of the label. The symbol’s corner lies on a whole printer dot
of the page, and each module is a whole number of dots; only the words beside it are fitted.
"""

import io
from collections.abc import Callable, Iterable, Iterator
from typing import Any, BinaryIO, NamedTuple
from xml.sax.saxutils import escape

from registry.domain.codes import code_url
from registry.domain.prints import MM_PER_INCH, QUIET, Order, Symbol, choose_symbol
from registry.domain.sticking import legend
from registry.errors import Reason, Refused
from registry.output.symbols import modules, path_of, qr_image, runs
from registry.queries.labels import LabelText

POINTS_PER_MM = 72 / MM_PER_INCH
PLAIN, BOLD, FIGURES = "Helvetica", "Helvetica-Bold", "Courier-Bold"
#: Letters smaller than this are not read on a bench.
LEAST_PT = 4.0
#: What stands for a text that the letters of the label do not have.
ELSEWHERE = "see its page"


class Line(NamedTuple):
    """One line of words: `y` is its baseline."""

    text: str
    font: str
    size: float
    x: float
    y: float


class Laid(NamedTuple):
    """One label, ready to be drawn: the symbol's place with its quiet zone, its modules, and the words."""

    symbol: Symbol
    rows: list[list[bool]]
    x: float
    y: float
    lines: tuple[Line, ...]

    @property
    def dot(self) -> float:
        return 72 / self.symbol.dpi


def lay(label: LabelText, host: str, order: Order, copy: int, left: float = 0.0, top: float = 0.0) -> Laid:
    """One label in its place on the page, upper left at (`left`, `top`) points. Raises `Refused` when it does not fit."""
    address = code_url(host, label.code, copy)
    symbol = choose_symbol(order.size_mm, order.dpi, len(address))
    dot, side = 72 / order.dpi, symbol.side_mm * POINTS_PER_MM
    wide, high = (length * POINTS_PER_MM for length in order.sheet.cell_mm)
    x = _whole(left + min(max((high - side) / 2, 0), 4), dot)
    y = _whole(top + max((high - side) / 2, 0), dot)
    words_x = x + side + 2
    lines = _words(label, copy, words_x, left + wide - 2 - words_x, top, high)
    return Laid(symbol, modules(address, symbol.level, symbol.version), x, y, lines)


def _whole(length: float, dot: float) -> float:
    return int(length / dot + 1e-6) * dot


def _words(label: LabelText, copy: int, x: float, wide: float, top: float, high: float) -> tuple[Line, ...]:
    """The words from above: what it is (and that it is a copy), the code in two groups, maker and type, part, serial."""
    size = min(high / 6.2, 9.0)
    what = f"COPY {copy}: {label.what.lower()}" if copy else label.what
    told = [
        (what, BOLD, 1.0, False),
        (f"{label.code[:4]} {label.code[4:]}", FIGURES, 1.25, True),
        (_printable(f"{label.first} {label.second}".strip()), PLAIN, 1.0, False),
        (_exact(label.part), PLAIN, 1.0, False),
        (_exact(label.serial), BOLD, 1.0, True),
    ]
    lines, y = [], top + (high - size * 1.16 * (5.25 if label.serial else 3.25)) / 2
    for text, font, share, whole in told:
        if not text:
            continue
        y += size * share * 1.16
        fitted, fitted_size = _fitted(text, font, size * share, wide, whole, label)
        lines.append(Line(fitted, font, fitted_size, x, y - size * share * 0.25))
    return tuple(lines)


def _fitted(text: str, font: str, size: float, wide: float, whole: bool, label: LabelText) -> tuple[str, float]:
    """The text and its size so that it keeps within `wide`. A code or serial is never cut; other words may be."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    length = stringWidth(text, font, size)
    if length <= wide:
        return text, size
    smaller = max(size * wide / length, LEAST_PT)
    if stringWidth(text, font, smaller) <= wide + 0.01:
        return text, smaller
    if whole:
        told = f"“{text}” does not fit beside the symbol of {label.code}, and it is never cut."
        raise Refused(Reason("does_not_fit", told, "size_mm", "Choose a larger label, or a sheet with wider places."))
    while text and stringWidth(f"{text}…", font, smaller) > wide:
        text = text[:-1]
    return f"{text.rstrip()}…", smaller


def _in_letters(text: str) -> bool:
    """Whether the letters every printer has hold this text: those of Windows code page 1252."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return text.isprintable()


def _printable(text: str) -> str:
    """Names, with letters the label has none of written by their base letter, or left to the page of the thing."""
    import unicodedata

    plain = "".join(
        one if _in_letters(one) else "".join(c for c in unicodedata.normalize("NFKD", one) if _in_letters(c))
        for one in text
    )
    return plain.strip() or (ELSEWHERE if text else "")


def _exact(text: str) -> str:
    """Part and serial: exactly as printed by their maker, or not at all."""
    return text if _in_letters(text) else ELSEWHERE


def draw_pdf(
    out: BinaryIO, labels: Iterable[LabelText], host: str, order: Order, progress: Callable[[int], None] | None = None
) -> int:
    """Write the labels as PDF, and how many there are. Everything is laid out as it is drawn; nothing waits in memory twice."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    rl_config.useA85 = 0  # bytes as bytes: letters in their place cost a tenth of the time and a quarter of the size
    sheet, count, kinds = order.sheet, 0, set()
    size = (sheet.width_mm * POINTS_PER_MM, sheet.height_mm * POINTS_PER_MM)
    canvas = Canvas(out, pagesize=size, pageCompression=1, initialFontName=PLAIN)
    canvas.setTitle("Labels")
    for label, copy in _each(labels, order):
        if count and count % sheet.count == 0:
            canvas.showPage()
        left, top = (length * POINTS_PER_MM for length in sheet.place_mm(count))
        _draw(canvas, lay(label, host, order, copy, left, top), size[1])
        kinds.add(label.kind)
        count += 1
        if progress:
            progress(count)
    canvas.showPage()
    if order.legend:
        _draw_legend(canvas, kinds, order)
    canvas.save()
    return count


def _each(labels: Iterable[LabelText], order: Order) -> Iterator[tuple[LabelText, int]]:
    return ((label, copy) for label in labels for copy in order.each)


def _draw(canvas: Any, laid: Laid, page: float) -> None:
    """Modules as whole rectangles under one scale, so that each number in the file is a whole number of modules."""
    module = laid.symbol.dots * laid.dot
    side = laid.symbol.modules + 2 * QUIET
    canvas.saveState()
    canvas.transform(module, 0, 0, module, laid.x, _whole(page - laid.y - side * module, laid.dot))
    top = side - QUIET - 1
    boxes = [f"{start + QUIET} {top - row} {wide} 1 re" for row, start, wide in runs(laid.rows)]
    canvas.addLiteral(" ".join([*boxes, "f"]))
    canvas.restoreState()
    for line in laid.lines:
        canvas.setFont(line.font, line.size)
        canvas.drawString(line.x, page - line.y, line.text)


def _draw_legend(canvas: Any, kinds: set[str], order: Order) -> None:
    """On plain paper, as many pages as it takes: where labels go, how to stick them, and what to mind."""
    page = (210.0, 297.0) if order.sheet.roll else (order.sheet.width_mm, order.sheet.height_mm)
    wide, high = (length * POINTS_PER_MM for length in page)
    canvas.setPageSize((wide, high))
    edge = min(42.0, wide / 10)
    lines = [("How to stick these labels", BOLD, min(16.0, wide / 20), 0.0)]
    for head, told in legend(kinds):
        lines += [(line, BOLD, 10.0, 9.0 * first) for first, line in _split(head, BOLD, wide - 2 * edge)]
        lines += [(line, PLAIN, 10.0, 0.0) for _first, line in _split(told, PLAIN, wide - 2 * edge)]
    y = high - edge
    for text, font, size, above in lines:
        if y - above - size * 1.3 < edge:
            canvas.showPage()
            y = high - edge
        y -= above + size * 1.3
        canvas.setFont(font, size)
        canvas.drawString(edge, y, text)
    canvas.showPage()


def _split(text: str, font: str, wide: float) -> list[tuple[bool, str]]:
    """The lines of a text ten points high, each with whether it is the first."""
    from reportlab.lib.utils import simpleSplit

    return [(number == 0, line) for number, line in enumerate(simpleSplit(text, font, 10, wide))]


def label_svg(label: LabelText, host: str, order: Order, copy: int = 0) -> str:
    """One label as a complete SVG document in millimetres: symbol and words, black on white."""
    laid = lay(label, host, order, copy)
    wide, high = order.sheet.cell_mm
    module, per_mm = laid.symbol.module_mm, POINTS_PER_MM
    words = "".join(
        f'<text x="{line.x / per_mm:.3f}" y="{line.y / per_mm:.3f}" font-size="{line.size / per_mm:.3f}" font-family="{_FAMILY[line.font]}"'
        f"{_WEIGHT[line.font]}>{escape(line.text)}</text>"
        for line in laid.lines
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:g}" width="{wide:g}mm" height="{high:g}mm">'
        f'<title>Label of {label.code}</title><path fill="#fff" d="M0 0h{wide:g}v{high:g}h-{wide:g}z"/>'
        f'<g transform="translate({laid.x / per_mm:.6f} {laid.y / per_mm:.6f}) scale({module:.6f})" shape-rendering="crispEdges"><path d="{path_of(laid.rows)}"/></g>{words}</svg>'
    )


_FAMILY = {PLAIN: "Helvetica,Arial,sans-serif", BOLD: "Helvetica,Arial,sans-serif", FIGURES: "Courier,monospace"}
_WEIGHT = {PLAIN: "", BOLD: ' font-weight="700"', FIGURES: ' font-weight="700"'}


def label_png(label: LabelText, host: str, order: Order, copy: int = 0) -> bytes:
    """One label as PNG, one pixel a printer dot, saying its resolution."""
    from PIL import Image, ImageDraw, ImageFont

    laid = lay(label, host, order, copy)
    size = tuple(round(length / MM_PER_INCH * order.dpi) for length in order.sheet.cell_mm)
    image = Image.new("1", size, 1)
    image.paste(qr_image(laid.rows, laid.symbol.dots), (round(laid.x / laid.dot), round(laid.y / laid.dot)))
    draw = ImageDraw.Draw(image)
    for line in laid.lines:
        most, points = size[0] - line.x / laid.dot - 2, line.size / laid.dot
        font = ImageFont.load_default(points)
        if (length := draw.textlength(line.text, font)) > most:
            font = ImageFont.load_default(points * most / length)
        draw.text((line.x / laid.dot, line.y / laid.dot), line.text, 0, font, anchor="ls")
    out = io.BytesIO()
    image.save(out, "PNG", dpi=(order.dpi, order.dpi))
    return out.getvalue()
