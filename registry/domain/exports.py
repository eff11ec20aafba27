"""What leaves the registry as tables: how a cell is written so that no spreadsheet runs it, and how far a cell goes."""

import re

FORMATS = {
    "csv": "CSV, one file a table",
    "xlsx": "XLSX, one sheet a table",
    "jsonl": "JSON lines, the log entry by entry",
}
#: A spreadsheet takes a cell that begins so for a formula. OWASP, "CSV Injection" (community page of the Web Security
#: project): = + - @, tab (0x09) and carriage return (0x0D); line feed and the full-width forms, which it names as well.
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
#: Characters in a cell and rows of a sheet, of the widest spread programs (ECMA-376 leaves them open).
MOST_OF_A_CELL, MOST_ROWS = 32_767, 1_048_576
_NUMBER = re.compile(r"-?\d+(\.\d+)?", re.ASCII)
#: What XML cannot hold (XML 1.0, 2.2), and what would be read back as one of them (ECMA-376 part 1, 22.9.2.19, ST_Xstring).
_NOT_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


def defused(text: str) -> str:
    """The text as a cell: with an apostrophe before it if a spreadsheet would take it for a formula. A number stays one."""
    return f"'{text}" if text.startswith(RISKY) and not _NUMBER.fullmatch(text) else text


def as_sheet_text(text: str) -> str:
    """A defused text as an XLSX cell holds it: control characters spelt out, and cut where no cell goes on."""
    text = _NOT_XML.sub(lambda found: f"_x{ord(found[0]):04X}_", defused(text))
    if len(text) <= MOST_OF_A_CELL:
        return text
    told = f" … [cut here: {len(text):,} characters; CSV and JSON lines hold all of it]"
    return text[: MOST_OF_A_CELL - len(told)] + told


def sheet_name(table: str, number: int) -> str:
    """The name of a sheet: the table’s; a table of more rows than a sheet holds goes on in `table 2`."""
    more = f" {number}" if number > 1 else ""
    return table[: 31 - len(more)] + more
