"""The pages of verification: what is due, one verification with its drawings, the section of a pair."""

import io
import re

import pytest

from registry.output.bench import allan_plot, trace_plot
from tests.samples import RESTING
from tests.web.doors import PIN, Doors

PROCEDURE = {"procedure": "WP-12", "issue": "3"}


def page(doors: Doors, name: str, who: str = "oda"):
    return doors.visitor(who).get(f"/verifications/{doors.world.ids[name]}")


def test_the_list_is_worst_first_with_the_act_that_clears_it(untouched: Doors):
    shown = untouched.visitor("vera").get("/verifications")
    assert shown.heading.endswith("overdue.")
    first = shown.root.all("section", cls="part")[0].all("li")
    assert first[0].words.startswith("p3 failed")
    assert "Failed on 8 May 2026." in first[0].words
    assert any(one.words.startswith("p1 in date") for one in first)
    assert shown.links("go")["Enter a heading check"].startswith("/act/record_heading_check?pair=")


def test_a_long_list_ends_with_how_many_are_due_later(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    from registry.web import verifications

    monkeypatch.setattr(verifications, "MOST", 2)
    shown = untouched.visitor("vera").get("/verifications")
    assert len(shown.root.all("section", cls="part")[0].all("li")) == 2
    listed = int(re.search(r"Of (\d+)\.", shown.words)[1])
    assert listed > 2 and f"{listed - 2} more are due later." in shown.words


def test_what_awaits_review_stands_there_until_somebody_else_has_looked(lived: Doors):
    oda = lived.visitor("oda")
    before = oda.get("/verifications").words.count("Awaiting review.")
    done = oda.act("review_verification", verification=lived.world.ids["check p5"], outcome="agreed")
    shown = oda.follow(done)
    assert "Reviewed 20 May 2026, 12:00 UTC, Oda" in shown.words
    assert oda.get("/verifications").words.count("Awaiting review.") == before - 1


def test_a_heading_check_says_verdict_rule_method_and_mark(untouched: Doors):
    shown = page(untouched, "check p1")
    assert shown.heading == "Pass."
    assert "it is no proof that the two halves are a pair" in shown.words
    for told in (
        "East wall, North shed: 120.00° true ± 0.02°",
        "WP-12, issue 3",
        "decision 2026-1",
        "guarded: up to the tolerance",
        "First number of this pair",
    ):
        assert told in shown.words
    assert "As left" not in shown.words
    assert "over 99.9 % sure" in shown.words


def test_a_fail_shows_what_it_holds_and_what_it_was_used_for(untouched: Doors):
    shown = page(untouched, "check p3")
    assert shown.heading == "Fail."
    assert shown.root.one("section", cls="verdict").has(cls="stops")
    assert "Teasel, bay B 2 April 2026, 09:00 UTC to 2 April 2026, 11:00 UTC." in shown.words
    assert shown.links()["What it was used for, line by line"].endswith(untouched.world.ids["impact"])


def test_a_static_test_is_drawn_with_a_sentence_and_the_same_in_figures(untouched: Doors):
    shown = page(untouched, "static test")
    plots = shown.root.all("svg", cls="plot")
    assert [plot.attrs["role"] for plot in plots] == ["img"] * 3
    sentences = [plot.attrs["aria-label"] for plot in plots]
    assert sentences[0].startswith("Rates over 12 minutes, deg/h: x about")
    assert sentences[2].startswith("Allan deviation of the three gyros over averaging time. Gyro x: Random walk")
    rows = shown.root.all("div", cls="scroll")[1].all("tr")
    assert [row.all("th")[0].words for row in rows[1:]] == ["x", "y", "z"]
    assert "Cannot decide." in shown.heading
    assert "no limit is on record for its type" not in shown.words or "none on record" in shown.words


def test_a_plot_follows_what_it_draws():
    """One value that stands out is drawn at the edge of its strip; another record draws another curve."""
    even, peak = [[1.0, 0.0, -1.0]] * 5, [[1.0, 0.0, -1.0]] * 4 + [[2.0, 0.0, -1.0]]
    assert trace_plot("Rates", "deg/h", even, 60.0, 3) != trace_plot("Rates", "deg/h", peak, 60.0, 3)
    curve = {"tau_s": [1.0, 10.0, 100.0], "deviation": [1.0, 0.32, 0.1], "half_width": [0, 0, 0], "method": ""}
    drawn = [
        allan_plot({a: {"curve": curve, "terms": {"verdict": "", "white": white}} for a in "xyz"})
        for white in (1.0, 0.5)
    ]
    assert drawn[0] != drawn[1]


def test_the_page_of_a_pair_shows_its_number_over_time_and_when_it_is_due(untouched: Doors):
    shown = untouched.visitor("vera").get("/pairs/p1")
    section = next(
        one for one in shown.root.all("section", cls="part") if one.one("h2").words.startswith("Verification")
    )
    assert "Verified 8 May 2026" in section.words or "Verified 7 May 2026" in section.words
    assert "300 days or 500 h, approved 9 May 2026" in section.words
    plot = section.one("svg", cls="plot")
    assert plot.attrs["aria-label"] == "One number of +0.030 degrees; the tolerance is ± 0.2."
    assert "Heading check on a known mark: pass." in shown.words  # the same in words


def test_a_pair_page_of_the_past_knows_nothing_that_came_later(untouched: Doors):
    shown = untouched.visitor("vera").get("/pairs/p1", query_string={"at": "2026-05-06T12:00"})
    assert "Never verified since its statement" in shown.words
    assert "Enter a heading check" not in shown.words
    assert "CC-1" in shown.words


def test_a_certificate_is_shown_as_it_was_entered(untouched: Doors):
    shown = untouched.visitor("ida").get(f"/calibrations/{untouched.world.ids['calibration']}")
    assert shown.heading == "CC-1: factory calibration of p1."
    assert "± 0.04 deg (k = 2)" in shown.words
    assert "sheet.pdf" in shown.words


def test_a_standard_past_its_own_due_date_is_told_of(doors: Doors):
    line = [{"quantity": "heading", "unit": "deg", "as_left": "0.01"}]
    sheet = {"certificate": "CC-1", "calibrated_on": "2026-05-01", "place": "works", "results": line}
    done = doors.world.do(
        "record_calibration", by="vera", pair="p1", standards=[{"name": "table 4", "due_on": "2026-04-30"}], **sheet
    )
    shown = doors.visitor("vera").get(f"/calibrations/{done.entry.id}")
    assert "A standard was past its own due date: table 4." in shown.strips


def test_marks_stand_by_site_with_their_north(untouched: Doors):
    shown = untouched.visitor("vera").get("/marks")
    assert "East wall: 120.00° true ± 0.02° (one sigma)" in shown.words
    assert "Survey it anew" in shown.links("go")


@pytest.mark.parametrize(
    "path",
    [
        "/verifications/x",
        "/verifications/01900000-0000-7000-8000-000000000000",
        "/calibrations/x",
        "/calibrations/01900000-0000-7000-8000-000000000000",
    ],
)
def test_what_is_not_there_is_not_found(path: str, untouched: Doors):
    assert untouched.visitor("vera").get(path).status == 404


def test_a_recording_is_uploaded_worked_out_apart_and_lands_on_its_page(doors: Doors):
    vera = doors.visitor("vera")
    form = vera.get("/act/record_static_test")
    told = {"pair": "p1", "lat_deg": "59.3", **PROCEDURE, "pin": PIN, "files": [(io.BytesIO(RESTING), "rest.csv")]}
    shown = vera.follow(vera.send(form, form.form("/act/record_static_test"), **told))
    assert "12 min at 1 Hz" in shown.words


def test_a_recording_that_cannot_be_read_keeps_what_was_typed_and_says_why(doors: Doors):
    vera = doors.visitor("vera")
    form = vera.get("/act/record_static_test")
    broken = RESTING.replace(b"gyro_x_deg_h", b"gyro_x", 1)
    told = {"pair": "p1", "lat_deg": "59.3", **PROCEDURE, "pin": PIN, "files": [(io.BytesIO(broken), "rest.csv")]}
    shown = vera.send(form, form.form("/act/record_static_test"), **told)
    assert shown.status == 422
    assert any("has no unit" in told and "gyro_x_deg_h" in told for told in shown.told())
    assert "rest.csv, " in shown.words  # it need not be chosen again
