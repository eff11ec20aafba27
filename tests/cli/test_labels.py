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
