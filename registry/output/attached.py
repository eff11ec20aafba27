"""Files attached to a PDF (embedded file streams, ISO 32000-1 section 7.11.4): put in, and taken out again."""

import io
import logging


def attach(pdf: bytes, name: str, data: bytes, words: str) -> bytes:
    """The PDF with one more file in it; `words` is what readers show beside its name."""
    from pypdf import PdfWriter
    from pypdf.generic import NameObject, TextStringObject

    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    file = writer.add_attachment(name, data)
    file.description = TextStringObject(words)
    file.subtype = NameObject("/application/json")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def attached(pdf: bytes, name: str) -> bytes:
    """The one file of that name in a PDF. Raises ValueError with a sentence when there is none, or several."""
    from pypdf import PdfReader

    logging.getLogger("pypdf").setLevel(logging.CRITICAL)  # what it would warn of is told by the sentence
    try:
        found = PdfReader(io.BytesIO(pdf), strict=True).attachments.get(name, [])
    except Exception:  # a damaged file makes a reader fail in any way there is
        raise ValueError("That PDF cannot be read to its end: it was cut short or damaged.") from None
    if len(found) != 1:
        raise ValueError(f"{'No file' if not found else 'More than one file'} called {name} is attached to that PDF.")
    return found[0]
