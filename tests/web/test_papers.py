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


def test_the_settings_sheet_says_each_sign_in_words_and_where_each_value_came_from(untouched: Doors):
    page = untouched.visitor("ida").get(f"/settings/{untouched.world.ids['sheet 2']}")
    text, symbols = paper(untouched, page.links()["Print the settings sheet"])
    assert led_back(untouched, symbols).heading == page.heading
    sum_ = next(row.checksum for row in untouched.rows("settings_sheet") if row.id == untouched.world.ids["sheet 2"])
    for told in (
        page.heading,
        sum_,
        "Yaw -0.499 deg 0.499° to port alignment, entry",
        "Lever arm to the DVL, forward -0.62 m 0.62 m aft lever arm, entry",
        "Lever arm to the DVL, starboard 0.04 m 0.04 m to starboard",
        "Serial port 1, rate 115200 baud",
        "Time scale GPS time UTC",
    ):
        assert told in text, told
    old, _symbols = paper(untouched, f"/settings/{untouched.world.ids['sheet 1']}.pdf")
    assert "Not in force: version 2 is." in old


def test_the_closing_sheet_says_what_was_seen_to_and_by_whom(untouched: Doors):
    housing = untouched.world.ids["spare forward"]
    text, symbols = paper(untouched, f"/housings/{housing}/closing.pdf")
    assert (
        led_back(untouched, symbols).links()["Print its closing sheet"].startswith(f"/housings/{housing}/closing.pdf?")
    )
    for told in (
        "forward housing: complete.",
        "Batch of the seals B-7",
        "Torque 12 N m",
        "Dew point inside -4 °C",
        "Tools 6 out, 6 back",
        "By Ida",
    ):
        assert told in text, told
    nothing = untouched.visitor("piet").get(f"/housings/{untouched.world.ids['burdock forward']}/closing.pdf")
    assert nothing.status == 404 and "had no closing sheet then" in nothing.text


def test_the_audit_certificate_says_each_line_and_the_log_as_it_was_closed(untouched: Doors):
    page = untouched.visitor("anselm").get("/audits/A-4/certificate")
    text, symbols = paper(untouched, page.links()["Print the certificate"])
    assert led_back(untouched, symbols).heading == page.heading
    told = untouched.api("anselm").get("/audits/A-4/certificate").json
    assert f"Entries {told['log_size']:,} Root {told['root']}" in text
    assert page.root.one("p", cls="lede").words in text
    assert all(line["place"] in text for line in told["lines"])
    still = untouched.visitor("anselm").get("/audits/A-1/certificate.pdf")
    assert "That audit is not closed yet" in still.text


@pytest.mark.parametrize("path", ["/pairs/p1/sheet.pdf", "/settings/{sheet 2}.pdf"])
def test_what_was_not_known_then_is_refused(path: str, untouched: Doors):
    path = path.format_map(untouched.world.ids)
    answer = untouched.visitor("piet").get(f"{path}?known_on=2025-01-01")
    assert answer.status == 404 and "was not known then" in answer.text


def test_the_evidence_pack_says_what_the_mission_rode_on(untouched: Doors):
    page = untouched.visitor("piet").get("/missions/M-1")
    text, symbols = paper(untouched, page.links()["Print the evidence pack"])
    assert led_back(untouched, symbols).heading == page.heading
    for told in (
        "Mission M-1 Teasel, Outer bank: 10 May 2026",
        "At sailing Must not deploy",
        "Hours with no alignment 6.0, all pairs together",
        "8 km, aided by DVL, with position fixes on the way; longest stretch without a fix 3 km",
        "Bay A, p1: 100 % of it",
        "part RS-100, serial",
        "ESD sign-off at Bench 2",
        "Bay B: 6.0 hours with no pair in it",
        "Put right later: times, bays, persons, or taken back",
    ):
        assert told in text, told
    planned = untouched.visitor("piet").get("/missions/M-3/pack.pdf")
    assert "M-3 had not started then: it rode on nothing yet." in planned.text
