"""Sheets of paper as PDF: a head with the symbol of its page, facts, findings, paragraphs, tables; on every page the size and
root of the log, and which page it is of how many.

Words are Helvetica, as on labels. A letter it does not have is written by its base letter, else as a question mark:
what must be exact stands in the record the symbol leads to.
"""

import base64
import io
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple
from urllib.parse import urlencode
from xml.sax.saxutils import escape

import sqlalchemy as sa

from registry.acts import log as acts_log
from registry.domain.prints import QUIET
from registry.domain.times import say, say_day
from registry.domain.voyages import Voyage
from registry.models.seeks import EVER
from registry.output.symbols import page_modules, runs
from registry.queries import log

PLAIN, BOLD = "Helvetica", "Helvetica-Bold"
MM = 72 / 25.4
#: Edges, foot and the symbol in millimetres; a module of the symbol is then over 0.6 mm, which any phone reads.
EDGE, FOOT, SYMBOL = 18, 26, 34
WIDE = 210 - 2 * EDGE
#: A heading goes to the next page when less than this is left under it, in millimetres.
HEADED = 36
#: What the letters of the sheet do not have, and what stands for it.
_FOR = str.maketrans(
    {"−": "-", "Ω": "ohm", "≤": "at most ", "≥": "at least ", "\u202f": "\u00a0", "\u2011": "-", "√": "root "}
)


class Question(NamedTuple):
    """What a sheet answers: as of which instant, by what the log told by which day, for which voyage and use."""

    at: str
    known_on: str | None = None
    voyage: Voyage | None = None
    use: str | None = None

    def say(self) -> str:
        if self.known_on:
            return f"As known on {say_day(self.known_on)}: what the log had told when that day ended (24:00 UTC)."
        return "By when things happened, as far as the log tells it at printing."

    def known(self, db: sa.Connection) -> int:
        """The size of the log that is asked."""
        return log.size_on(db, self.known_on) if self.known_on else EVER

    def turned(self, path: str) -> str:
        """The address of a page, turned to what is asked."""
        told = {"at": f"{self.at[:19]}Z", "known_on": self.known_on}
        return f"{path}?{urlencode({name: value for name, value in told.items() if value})}"


class Proof(NamedTuple):
    """What a print says of the record it was made from. `root` is that of the log of this `size`, in base64."""

    outfit: str
    invented: bool
    host: str
    size: int
    root: str
    printed_at: str


def proof_of(db: sa.Connection, printed_at: str) -> Proof:
    """The proof of a print that is made now."""
    outfit, head = log.outfit_shown(db), acts_log.head(db)
    root = base64.b64encode(acts_log.root(db, head.size)).decode()
    name, invented, host = (outfit.name, outfit.invented, outfit.label_host) if outfit else ("", False, "")
    return Proof(name, invented, host, head.size, root, printed_at)


def in_letters(text: str) -> str:
    """The text in the letters of the sheet (those of Windows code page 1252)."""
    return "".join(_letter(one) for one in text.translate(_FOR))


def _letter(one: str) -> str:
    for written in (one, unicodedata.normalize("NFKD", one)[:1]):
        try:
            written.encode("cp1252")
        except UnicodeEncodeError:
            continue
        return written if written.isprintable() or written in "\n\u00a0" else " "
    return "?"


class Sheet:
    """One PDF of one or more sheets. Say what goes on it from above; `pdf()` draws it.

    `kind` is what people call the paper ("fit-to-deploy sheet").
    """

    def __init__(self, kind: str, proof: Proof):
        self.kind, self.proof = kind, proof
        self._story: list[Any] = []

    def head(self, title: str, lede: str, path: str) -> None:
        """Begin a sheet, on a page of its own: what it says first, and the symbol of the page at `path`."""
        from reportlab.platypus import PageBreak, Table

        if self._story:
            self._story.append(PageBreak())
        outfit = f"{self.proof.outfit} · {self.kind}" + (
            " · everything here is invented" if self.proof.invented else ""
        )
        words = [_words(outfit, 10), _words(title, 20, BOLD, above=4), _words(lede, 12, above=2)]
        symbol = _symbol(f"https://{self.proof.host}{path}")
        table = Table([[words, symbol]], colWidths=[(WIDE - SYMBOL) * MM, SYMBOL * MM])
        table.setStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (1, 0), (1, 0), 0),
            ]
        )
        self._story.append(table)

    def heading(self, words: str) -> None:
        from reportlab.platypus import CondPageBreak

        self._story += [CondPageBreak(HEADED * MM), _words(words, 13, BOLD, above=14)]

    def paragraph(self, words: str) -> None:
        self._story.append(_words(words, 10, above=3))

    def facts(self, told: Iterable[tuple[str, str]]) -> None:
        """What is so, name beside value; what is empty is left out."""
        self.table((), [(name, value) for name, value in told if value], (46, WIDE - 46))

    def table(self, head: Sequence[str], listed: Iterable[Sequence[str]], wide_mm: Sequence[float]) -> None:
        """Rows under a ruled head, which is drawn again on each page; nothing at all when there are none."""
        from reportlab.lib.colors import black
        from reportlab.platypus import Table

        lines = [
            [_words(cell, 9, BOLD if not head and place == 0 else PLAIN) for place, cell in enumerate(row)]
            for row in listed
        ]
        if not lines:
            return
        if head:
            lines.insert(0, [_words(cell, 9, BOLD) for cell in head])
        table = Table(lines, colWidths=[wide * MM for wide in wide_mm], repeatRows=1 if head else 0, spaceBefore=4)
        rules = [("LINEBELOW", (0, 0), (-1, -1), 0.4, black), ("VALIGN", (0, 0), (-1, -1), "TOP")]
        table.setStyle([*rules, ("LEFTPADDING", (0, 0), (0, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 2)])
        self._story.append(table)

    def item(self, word: str, fact: str, told: Iterable[str], weight: float) -> None:
        """One finding or the like: its word and fact in bold, what is told of it beneath, an edge as wide as it is grave."""
        from reportlab.lib.colors import black
        from reportlab.platypus import Table

        lines = [_words(f"{word} — {fact}", 10.5, BOLD), *(_words(line, 9, above=1) for line in told if line)]
        table = Table([["", lines]], colWidths=[10, WIDE * MM - 10], spaceBefore=6)
        table.setStyle([("LINEBEFORE", (0, 0), (0, 0), weight, black, 0), ("TOPPADDING", (0, 0), (-1, -1), 0)])
        self._story.append(table)

    def pdf(self) -> bytes:
        """All of it, drawn."""
        from reportlab import rl_config
        from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

        rl_config.useA85 = 0
        out = io.BytesIO()
        frame = Frame(EDGE * MM, FOOT * MM, WIDE * MM, (297 - EDGE - FOOT) * MM, 0, 0, 0, 0)
        document = BaseDocTemplate(
            out, pagesize=(210 * MM, 297 * MM), pageTemplates=[PageTemplate(frames=[frame])],
            title=in_letters(self.kind), author=in_letters(self.proof.outfit), initialFontName=PLAIN,
        )  # fmt: skip
        document.build(self._story, canvasmaker=_numbered(self._foot()))
        return out.getvalue()

    def _foot(self) -> list[str]:
        one = self.proof
        return [
            f"Log of {one.host}: {one.size:,} entries. Root {one.root}",
            f"Printed {say(one.printed_at)}. Whoever has a later copy of the log can show that these entries stand in it unchanged.",
        ]


def _words(text: str, size: float, font: str = PLAIN, *, above: float = 0) -> Any:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(font, fontName=font, fontSize=size, leading=size * 1.25, spaceBefore=above)
    return Paragraph(escape(in_letters(text)).replace("\n", "<br/>"), style)


def _symbol(address: str) -> Any:
    """The symbol of an address as something that can be put on a page, its quiet zone included."""
    from reportlab.platypus import Flowable

    rows = page_modules(address)
    side = len(rows) + 2 * QUIET

    class Symbol(Flowable):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__()
            self.width = self.height = SYMBOL * MM

        def draw(self) -> None:
            module = self.width / side
            self.canv.scale(module, module)
            top = side - QUIET - 1
            boxes = [f"{start + QUIET} {top - row} {wide} 1 re" for row, start, wide in runs(rows)]
            self.canv.addLiteral(" ".join([*boxes, "f"]))

    return Symbol()


def _numbered(foot: Sequence[str]) -> Any:
    """A canvas that draws the foot when all pages are known: only then it can say how many there are."""
    from reportlab.pdfgen.canvas import Canvas

    class Numbered(Canvas):  # type: ignore[misc]
        def __init__(self, *told: Any, **more: Any):
            super().__init__(*told, **more)
            self._pages: list[dict[str, Any]] = []

        def showPage(self) -> None:
            self._pages.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._pages, 1):
                self.__dict__.update(page)
                self._draw_foot(f"Page {number} of {len(self._pages)}")
                super().showPage()
            super().save()

        def _draw_foot(self, which: str) -> None:
            self.setLineWidth(0.4)
            self.line(EDGE * MM, 19 * MM, (210 - EDGE) * MM, 19 * MM)
            self.setFont(PLAIN, 7.5)
            for number, line in enumerate(foot):
                self.drawString(EDGE * MM, (15 - 4 * number) * MM, in_letters(line))
            self.drawRightString((210 - EDGE) * MM, 7 * MM, which)

    return Numbered
