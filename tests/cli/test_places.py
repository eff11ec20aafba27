"""Files that cannot be written or are not what they should be: a sentence, never a trace."""

from pathlib import Path

import pytest

from tests.web.doors import Doors

WRITING = [
    ("export", "{place}", "--format", "csv"),
    ("export", "{place}", "--format", "xlsx"),
    ("export", "{place}", "--format", "jsonl"),
    ("labels", "--all", "site", "--pdf", "{place}"),
    ("labels", "--all", "site", "--to", "{place}"),
    ("print", "pair", "p1", "--pdf", "{place}"),
    ("fit", "Teasel", "--pdf", "{place}"),
    ("backup", "{place}"),
    ("settings", "--offline", "{place}"),
]


@pytest.mark.parametrize("words", WRITING, ids=" ".join)
@pytest.mark.parametrize("place", ["no folder/x", "a file/x"])
def test_a_place_that_cannot_be_written_is_told(words: tuple[str, ...], place: str, lived: Doors, tmp_path: Path):
    (tmp_path / "a file").write_text("here")
    result = lived.cli(*(word.format(place=tmp_path / place) for word in words))
    if words[0] == "backup" and place.startswith("no"):
        assert result.exit_code == 0  # a backup makes the folders it is to lie in
        return
    assert (result.exit_code, result.stdout) == (1, "")
    assert str(tmp_path) in result.stderr and "Name another" in result.stderr


@pytest.mark.parametrize(
    "words",
    [
        ("verify", "--against", "{file}"),
        ("verify-pack", "{file}", "--key", "{file}"),
        ("verify-pack", "{file}", "--checkpoint", "{file}"),
        ("verify-pack", "{file}", "--checkpoint", "{file}", "--proof", "{file}"),
    ],
    ids=lambda words: " ".join(words[:1] + words[-2:-1]),
)
def test_what_holds_no_text_is_told_in_our_words(words: tuple[str, ...], untouched: Doors, tmp_path: Path):
    (tmp_path / "sheet.pdf").write_bytes(b"%PDF-1.4\x93\xff")
    result = untouched.cli(*(word.format(file=tmp_path / "sheet.pdf") for word in words))
    assert (result.exit_code, "codec" in result.stderr) == (1, False)
    assert "holds no text." in result.stderr or "cannot be checked" in result.stderr


def test_a_public_key_has_no_size(untouched: Doors):
    assert untouched.cli("checkpoint", "--public-key", "--size", "5").exit_code == 2
