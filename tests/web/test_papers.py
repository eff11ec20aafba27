"""Sheets of paper: each says what its page says, as of the same instant, and its symbol leads back there."""

import pytest

from tests.printed import read
from tests.web.doors import Doors, Page


def paper(doors: Doors, path: str) -> tuple[str, list[str]]:
    """The words and the symbols of a PDF, once its foot was looked at."""
    answer = doors.visitor("piet").get(path)
    assert (answer.status, answer.response.mimetype) == (200, "application/pdf"), answer.told()
    words, symbols = read(answer.response.get_data())
    for number, page in enumerate(words, 1):
        assert f"{doors.size():,} entries. Root " in page
        assert f"Page {number} of {len(words)}" in page
    assert len(symbols) == 1
    return " ".join(words), symbols


def led_back(doors: Doors, symbols: list[str]) -> Page:
    return doors.visitor("piet").get("/" + symbols[0].split("/", 3)[3])


def test_the_pair_sheet_says_what_the_page_says(untouched: Doors):
    asked = "at=2026-05-16T08:00:00Z&known_on=2026-05-20"
    page = untouched.visitor("piet").get(f"/pairs/p1?{asked}")
    text, symbols = paper(untouched, page.links()["Print the pair sheet"])
    assert page.heading in text
    back = led_back(untouched, symbols)
    assert (back.heading, back.words) == (page.heading, page.words)
    for told in (
        "16 May 2026, 08:00 UTC",
        "As known on 20 May 2026: what the log had told when that day ended (24:00 UTC).",
        "Teasel, bay A, since 10 May 2026, 09:30 UTC",
        "Electronics half",
        "RE-200",
        "2.4.1",
        "Its own number",
        "Alignment in force",
        "0.499° to port",
        "p1 installed in Teasel, bay A. entered as 10 May 2026, 09:00 UTC; amended by entry",
    ):
        assert told in text, told


def test_the_sheet_of_a_former_pair_says_so_first(untouched: Doors):
    text, _symbols = paper(untouched, "/pairs/gone/sheet.pdf")
    assert "gone: were a pair once." in text and "17 May 2026, 09:00 UTC: lost" in text


@pytest.mark.parametrize("path", ["/pairs/p1/sheet.pdf"])
def test_what_was_not_known_then_is_refused(path: str, untouched: Doors):
    answer = untouched.visitor("piet").get(f"{path}?known_on=2025-01-01")
    assert answer.status == 404 and "was not known then" in answer.text
