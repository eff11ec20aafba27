"""Sheets of paper at the command line."""

from pathlib import Path

import pytest

from tests.printed import read
from tests.web.doors import Doors


@pytest.mark.parametrize(
    ("kind", "reference", "told"),
    [
        ("pair", "p1", "p1 is whole."),
        ("settings", "Teasel A", "Teasel, bay A: settings, version 2."),
        ("closing", "Spare hull forward", "forward housing: complete."),
        ("audit", "A-4", "Audit A-4"),
    ],
)
def test_a_sheet_is_written_to_a_file(kind: str, reference: str, told: str, untouched: Doors, tmp_path: Path):
    file = tmp_path / "sheet.pdf"
    result = untouched.cli("print", kind, reference, "--pdf", str(file), "--at", "2026-05-20T12:00:00Z")
    assert (result.exit_code, result.stderr) == (0, f"Written to {file}.\n")
    words, symbols = read(file.read_bytes())
    assert told in words[0]
    assert len(symbols) == 1


def test_what_cannot_be_printed_is_told(untouched: Doors, tmp_path: Path):
    file = str(tmp_path / "sheet.pdf")
    assert "No pair is called" in untouched.cli("print", "pair", "QQ-1", "--pdf", file).stderr
    known = untouched.cli("print", "pair", "p1", "--pdf", file, "--as-known-on", "2025-01-01")
    assert (known.exit_code, "was not known then" in known.stderr) == (1, True)
    assert untouched.cli("print", "pair", "p1", "--pdf", file, "--as-known-on", "soon").exit_code == 2
    lost = untouched.cli("print", "pair", "p1", "--pdf", str(tmp_path / "no" / "x.pdf"))
    assert (lost.exit_code, "cannot be written" in lost.stderr) == (1, True)
    assert (
        "of version 9" in untouched.cli("print", "settings", "Teasel A", "--sheet-version", "9", "--pdf", file).stderr
    )
    assert untouched.cli("print", "pair", "p1", "--sheet-version", "1", "--pdf", file).exit_code == 2
    assert untouched.cli("print", "letter", "p1", "--pdf", file).exit_code == 2
