"""What independent readers find on paper: PDFium for the words of a PDF, ZXing for its symbols as they are printed."""

import io

import pypdfium2
import zxingcpp


def read(pdf: bytes) -> tuple[list[str], list[str]]:
    """The words on each page, and every symbol on all of them."""
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    words, symbols = [], []
    for page in document:
        words.append(" ".join(page.get_textpage().get_text_range().split()))
        symbols += [one.text for one in zxingcpp.read_barcodes(page.render(scale=3).to_pil())]
    return words, symbols
