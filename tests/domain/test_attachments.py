"""Which files are kept, judged by content and name together, and names made fit to be shown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.attachments import (
    HEAD,
    MOST_NAME,
    MOST_PIXELS,
    clean_name,
    judged,
    may_be_text,
    reasons_of_pixels,
    say_size,
)
from registry.errors import Reason
from tests.samples import CSV, DRAWING, PAGE, PDF, PHOTO, TEXT, picture

PNG, WEBP = picture("PNG"), picture("WEBP")
KEPT = [
    ("photo.jpg", PHOTO, "image/jpeg"),
    ("PHOTO.JPEG", PHOTO, "image/jpeg"),
    ("drawing.png", PNG, "image/png"),
    ("photo.webp", WEBP, "image/webp"),
    ("sheet.pdf", PDF, "application/pdf"),
    ("bench.csv", CSV, "text/csv"),
    ("bench.log", CSV, "text/plain"),
    ("note.txt", TEXT, "text/plain"),
    ("old.txt", "Grüße, 5 °C".encode("cp1252"), "text/plain"),
    ("marked.csv", b"\xef\xbb\xbft_s,x\n", "text/csv"),
    ("rest.npz", b"PK\x03\x04\x14\x00", "application/zip"),
    ("less than.txt", b"< 35 megohm fails\n", "text/plain"),
]
NOT_KEPT = [
    ("empty.jpg", b"", "“empty.jpg” is empty."),
    ("photo.pdf", PNG, "“photo.pdf” is named like a PDF and holds a PNG picture."),
    ("photo.jpg", PNG, "“photo.jpg” is named like a JPEG picture and holds a PNG picture."),
    ("photo.jpg", PAGE, "“photo.jpg” is named like a JPEG picture and holds a page or drawing in markup."),
    ("note.txt", PAGE, "“note.txt” is named like a text file and holds a page or drawing in markup."),
    ("note.txt", b"\xef\xbb\xbf \n<HTML>", "holds a page or drawing in markup."),
    ("table.csv", DRAWING, "“table.csv” is named like a CSV table and holds a page or drawing in markup."),
    ("sheet.pdf", TEXT, "“sheet.pdf” is named like a PDF and holds plain text."),
    ("note.txt", PHOTO, "“note.txt” is named like a text file and holds a JPEG picture."),
    ("note.txt", b"PK\x03\x04\x00\x00", "“note.txt” is named like a text file and holds something else."),
    ("rest.npz", CSV, "“rest.npz” is named like a NPZ archive and holds plain text."),
    ("drawing.svg", DRAWING, "The name “drawing.svg” does not end in one that is kept here."),
    ("page.html", PAGE, "The name “page.html” does not end in one that is kept here."),
    ("photo.jpg.exe", PHOTO, "The name “photo.jpg.exe” does not end in one that is kept here."),
    ("photo", PHOTO, "The name “photo” does not end in one that is kept here."),
    ("photo.heic", b"\x00\x00\x00\x18ftypheic", "“photo.heic” is a HEIC picture, which not every computer can open."),
]


@pytest.mark.parametrize(("name", "content", "media_type"), KEPT, ids=[case[0] for case in KEPT])
def test_what_is_kept_is_what_its_bytes_and_its_name_say_together(name: str, content: bytes, media_type: str):
    assert judged(name, content[:HEAD]) == media_type


@pytest.mark.parametrize(("name", "content", "told"), NOT_KEPT, ids=[f"{case[0]} {case[1][:8]!r}" for case in NOT_KEPT])
def test_what_is_not_kept_is_told_with_a_way_out(name: str, content: bytes, told: str):
    found = judged(name, content[:HEAD])
    assert isinstance(found, Reason)
    assert (found.code, told in found.message, bool(found.next)) == ("wrong_file", True, True), found.message


CLEAN = {
    "photo.jpg": "photo.jpg",
    "../../etc/passwd.txt": "passwd.txt",
    "C:\\Photos\\hull A.JPG": "hull A.JPG",
    "/": "file",
    "..": "file",
    "": "file",
    ".jpg": "file.jpg",
    "a\x00b\r\nc.pdf": "a b c.pdf",
    "harmless\u202egpj.exe": "harmless gpj.exe",
    "  two   blanks .txt": "two blanks.txt",
    "x" * 300 + ".jpg": "x" * (MOST_NAME - 4) + ".jpg",
    "x" * 300: "x" * MOST_NAME,
    "half\ud800.png": "half.png",
    "Prüfblatt Nr. 7.pdf": "Prüfblatt Nr. 7.pdf",
}


@pytest.mark.parametrize("text", CLEAN)
def test_a_name_is_made_fit_to_be_shown(text: str):
    assert clean_name(text) == CLEAN[text]


@given(st.text(max_size=400))
def test_a_clean_name_can_be_seen_is_short_and_stays_as_it_is(text: str):
    name = clean_name(text)
    assert name and len(name) <= MOST_NAME
    assert name.isprintable() and "/" not in name and "\\" not in name
    assert clean_name(name) == name


def test_a_picture_of_more_pixels_than_may_be_opened_is_told_by_its_measures():
    assert reasons_of_pixels("a.png", MOST_PIXELS // 1000, 1000) == []
    [reason] = reasons_of_pixels("a.png", MOST_PIXELS // 1000 + 1, 1000)
    assert reason.code == "too_large"
    assert "64,001 × 1,000 pixels" in reason.message


@pytest.mark.parametrize("byte", [0, 7, 8, 14, 26, 31, 127])
def test_control_characters_are_no_text(byte: int):
    assert not may_be_text(b"a" + bytes([byte]))


def test_blanks_tabs_and_page_breaks_are_text():
    assert may_be_text(b"a\tb\r\nc\x0c\x1b[0m")


@pytest.mark.parametrize(
    ("size", "words"),
    [(1, "1 byte"), (999, "999 bytes"), (1499, "1 kB"), (999_499, "999 kB"), (999_500, "1 MB"), (2_440_000, "2.4 MB"), (20_000_000, "20 MB")],
)  # fmt: skip
def test_a_size_is_said_in_few_digits(size: int, words: str):
    assert say_size(size) == words
