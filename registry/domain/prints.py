"""Our labels on paper: which symbol a size holds at a printer’s resolution, and where labels lie on a sheet.

Modules are whole printer dots and the quiet zone lies inside the label, always: a symbol scaled to fit is read badly or
not at all. Sizes and levels: measured on drawn labels with a white spot that leaves the three corner marks (of 120 each:
over 10 % of the area M is read in 31, Q in 113, H in 120; over 5 %, M in 118, Q and H in all). No level is read with a
corner mark gone. Four dots a module: common practice, no source; capacities: ISO/IEC 18004, table 7, from memory and
checked by a general library in the tests.
"""

from dataclasses import dataclass
from typing import NamedTuple

from registry.domain.codes import MOST_COPIES
from registry.errors import Reason, Refused

SIZES_MM = (12, 15, 18, 25)
DPIS = (203, 300, 600)
QUIET = 4
MM_PER_INCH = 25.4
#: A module is never finer than this many dots; at 203 dpi three dots are 0.375 mm, which needs the larger labels. At
#: 600 dpi seven are 0.296 mm, and the smallest label then holds level Q or H.
LEAST_DOTS = {203: 3, 300: 4, 600: 7}
#: Level -> share of the symbol's area that may be gone with its corner marks whole, as the tests hold it.
MAY_BE_GONE = {"M": 0.05, "Q": 0.10, "H": 0.10}
LEAST_SIZE_MM = {203: 18, 300: 12, 600: 12}
#: Level -> characters in alphanumeric mode, by version from 1 on.
CAPACITY = {
    "L": (25, 47, 77, 114, 154, 195),
    "M": (20, 38, 61, 90, 122, 154),
    "Q": (16, 29, 47, 67, 87, 108),
    "H": (10, 20, 35, 50, 64, 84),
}
#: The length of a single label for each millimetre of its height: room for the text beside the symbol.
LENGTH = 2.4
#: Paper is fed with a little play; this much may a sheet be out before its labels count as too large for it.
PLAY_MM = 0.05


class Symbol(NamedTuple):
    """One choice: `modules` without the quiet zone, `dots` of the printer a module."""

    version: int
    level: str
    modules: int
    dots: int
    dpi: int

    @property
    def module_mm(self) -> float:
        return self.dots * MM_PER_INCH / self.dpi

    @property
    def side_mm(self) -> float:
        """With the quiet zone."""
        return (self.modules + 2 * QUIET) * self.module_mm


def choose_symbol(size_mm: int, dpi: int, characters: int) -> Symbol:
    """The symbol of a label of this height: H where its modules are as large as Q’s, else Q. The smallest label takes
    the highest level whose modules are large enough; that is often M.

    Raises `Refused` with what would fit.
    """
    if size_mm < LEAST_SIZE_MM[dpi]:
        told = f"At {dpi} dpi a module of a label of {size_mm} mm would be too few dots to be read surely."
        raise Refused(_does_not_fit(told, _larger(LEAST_SIZE_MM[dpi], dpi)))
    found = [_filling(size_mm, dpi, characters, level) for level in ("H", "Q", "M")[: 3 if size_mm == 12 else 2]]
    fitting = [symbol for symbol in found if symbol is not None]
    if not fitting:
        told = f"The address on the label has {characters} characters."
        raise Refused(_does_not_fit(told, "Use a shorter host."))
    enough = [symbol for symbol in fitting if symbol.dots >= LEAST_DOTS[dpi]]
    if enough:  # the first of equals: H before Q
        return enough[0] if size_mm == 12 else max(enough, key=lambda symbol: symbol.dots)
    modules = min(symbol.modules for symbol in fitting) + 2 * QUIET
    needed = modules * LEAST_DOTS[dpi] * MM_PER_INCH / dpi
    told = f"A label of {size_mm} mm cannot hold this symbol at {dpi} dpi: {modules} modules of {LEAST_DOTS[dpi]} whole dots are {needed:.1f} mm."
    raise Refused(_does_not_fit(told, _larger(needed, dpi)))


def _filling(size_mm: int, dpi: int, characters: int, level: str) -> Symbol | None:
    """The smallest symbol of this level, with as many dots a module as the label has room for."""
    version = next((number for number, most in enumerate(CAPACITY[level], 1) if characters <= most), None)
    if version is None:
        return None
    modules = 17 + 4 * version
    return Symbol(version, level, modules, int(size_mm / MM_PER_INCH * dpi / (modules + 2 * QUIET)), dpi)


def _does_not_fit(told: str, do: str) -> Reason:
    return Reason("does_not_fit", told, "size_mm", do)


def _larger(needed: float, dpi: int) -> str:
    size = next((size for size in SIZES_MM if size >= needed), None)
    finer = " or a printer of 300 dpi" if dpi < 300 else ""
    return f"Choose {size} mm{finer}." if size else "Choose a finer printer, or use a shorter host."


@dataclass(frozen=True, slots=True)
class Sheet:
    """Paper with labels in rows and columns, all the same, from the upper left. Margins are the same on both sides."""

    width_mm: float
    height_mm: float
    margin_x_mm: float = 0.0
    margin_y_mm: float = 0.0
    columns: int = 1
    rows: int = 1
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0
    roll: bool = False

    @property
    def cell_mm(self) -> tuple[float, float]:
        """Width and height of one label."""
        wide = self.width_mm - 2 * self.margin_x_mm - (self.columns - 1) * self.gap_x_mm
        high = self.height_mm - 2 * self.margin_y_mm - (self.rows - 1) * self.gap_y_mm
        return wide / self.columns, high / self.rows

    @property
    def count(self) -> int:
        return self.columns * self.rows

    def place_mm(self, number: int) -> tuple[float, float]:
        """Left and top edge of the label `number`, counted from 0 along the rows."""
        row, column = divmod(number % self.count, self.columns)
        wide, high = self.cell_mm
        return self.margin_x_mm + column * (wide + self.gap_x_mm), self.margin_y_mm + row * (high + self.gap_y_mm)

    def reasons_not_to_hold(self, size_mm: int) -> list[Reason]:
        """Why labels of this height cannot lie so."""
        wide, high = self.cell_mm
        if min(wide, high) <= 0:
            told = "Margins and gaps leave no room for labels on this paper."
            return [Reason("does_not_fit", told, "sheet", "Look at the measures: all of them are millimetres.")]
        if high + PLAY_MM < size_mm or wide + PLAY_MM < size_mm * 1.8:
            told = f"A place on this sheet is {wide:.1f} by {high:.1f} mm; a label of {size_mm} mm needs {size_mm * 1.8:.1f} by {size_mm} mm."
            return [Reason("does_not_fit", told, "sheet", "Choose fewer columns or rows, or a smaller label.")]
        return []


def roll_for(size_mm: int) -> Sheet:
    """A roll: every page is one label."""
    return Sheet(size_mm * LENGTH, float(size_mm), roll=True)


def a4_for(size_mm: int) -> Sheet:
    """A4 with as many labels as go on it, 10 mm off its edges and 3 mm apart."""
    columns, rows = int((190 + 3) / (size_mm * LENGTH + 3)), int((277 + 3) / (size_mm + 3))
    return Sheet(210.0, 297.0, 10.0, 10.0, columns, rows, 3.0, 3.0)


#: What a sheet may be called; everything else is its measures.
PAPERS = {"roll": roll_for, "a4": a4_for}


def read_sheet(text: str, size_mm: int) -> Sheet:
    """`roll`, `a4`, or measures in millimetres like 210x297/10x10/3x10/3x3. Raises `Refused` with what is wrong."""
    if text in PAPERS:
        return PAPERS[text](size_mm)
    try:
        page, margins, grid, gaps = (part.split("x") for part in text.lower().replace(" ", "").split("/"))
        (width, height), (margin_x, margin_y), (gap_x, gap_y) = (map(_mm, pair) for pair in (page, margins, gaps))
        columns, rows = map(_count, grid)
    except ValueError:
        told = f"“{text[:60]}” is no sheet."
        do = "Say roll, a4, or measures in millimetres like 210x297/10x10/3x10/3x3: page, margins, columns and rows, gaps."
        raise Refused(Reason("wrong_form", told, "sheet", do)) from None
    sheet = Sheet(width, height, margin_x, margin_y, columns, rows, gap_x, gap_y)
    if reasons := sheet.reasons_not_to_hold(size_mm):
        raise Refused(*reasons)
    return sheet


def _mm(text: str) -> float:
    value = float(text) if text.replace(".", "", 1).isdigit() and text.isascii() else -1.0
    if not 0 <= value <= 2000:
        raise ValueError(text)
    return value


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:4]) <= 200):
        raise ValueError(text)
    return int(text)


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be printed of each thing: its own label (`copies` empty) or these numbered copies."""

    size_mm: int
    dpi: int
    sheet: Sheet
    copies: tuple[int, ...] = ()
    legend: bool = True

    @property
    def each(self) -> tuple[int, ...]:
        """Copy numbers of each thing; 0 is the label itself."""
        return self.copies or (0,)


def read_order(size_mm: str, dpi: str, sheet: str, copies: str = "", legend: bool = True) -> Order:
    """What somebody chose or typed. Raises `Refused` with every reason at once."""
    reasons = []
    for field, text, known in (("size_mm", size_mm, SIZES_MM), ("dpi", dpi, DPIS)):
        if text not in map(str, known):
            listed = ", ".join(map(str, known))
            reasons.append(Reason("wrong_form", f"“{text[:20]}” is not one of {listed}.", field, f"Choose {listed}."))
    numbers = _copy_numbers(copies)
    if numbers is None:
        told = f"“{copies[:20]}” is no number of a copy and no range of them."
        reasons.append(Reason("wrong_form", told, "copies", f"Write 2 or 1-3; copies go from 1 to {MOST_COPIES}."))
    paper = None
    try:
        paper = read_sheet(sheet or "roll", int(size_mm) if str(size_mm) in map(str, SIZES_MM) else SIZES_MM[0])
    except Refused as refused:
        reasons += refused.reasons
    if reasons or paper is None or numbers is None:
        raise Refused(*reasons)
    return Order(int(size_mm), int(dpi), paper, numbers, legend)


def _copy_numbers(text: str) -> tuple[int, ...] | None:
    """`2` or `1-3` as numbers, none for an empty text, None for what is neither."""
    if not text.strip():
        return ()
    ends = text.strip().split("-")
    if len(ends) > 2 or not all(part.isascii() and part.isdigit() and len(part) < 4 for part in ends):
        return None
    low, high = int(ends[0]), int(ends[-1])
    return tuple(range(low, high + 1)) if 1 <= low <= high <= MOST_COPIES else None
