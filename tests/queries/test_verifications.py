"""What is due, now and then, as it was known; and what a pair's own numbers say over time."""

from datetime import date, timedelta

import pytest

from registry.models.due import dues
from registry.models.own_numbers import OwnNumber
from registry.queries.drifts import drift_of
from registry.queries.verifications import due_listed, pair_verified, verification_page
from tests.cast import World

NOW = "2026-05-20T12:00:00.000000Z"


def due(world: World, pair: str, at: str = NOW, **more):
    with world.database.reading() as db:
        return dues(db, at, only=[world.ids[pair]], **more)[world.ids[pair]]


@pytest.fixture
def marked(either: World) -> World:
    either.mark()
    return either


def test_a_pair_that_was_never_verified_is_due_twelve_months_after_its_statement(either: World):
    found = due(either, "p1", "2026-02-01T23:59:59.000000Z")
    assert (found.good_on, found.due_on, found.left_days, found.state) == (None, "2026-02-01", 0, "soon")
    assert due(either, "p1", "2026-02-02T00:00:00.000000Z").state == "overdue"


def test_a_check_on_a_mark_moves_the_due_date_and_one_against_the_ship_does_not(marked: World):
    """A passed in-service check never moves the due date: case BB-CHECK of the calibration cases."""
    told = {
        "procedure": "WP-12",
        "issue": "3",
        "unit_heading_deg": "0",
        "ship_heading_deg": "0",
        "tolerance_deg": "1",
        "u_deg": "0.1",
    }
    marked.do("record_ship_check", "9 09:00", pair="p1", **told)
    assert due(marked, "p1").due_on == "2026-02-01"
    marked.verify("p1", "10 08:00")
    found = due(marked, "p1")
    assert (found.good_on, found.due_on, found.state, found.reviewed) == ("2026-05-10", "2027-05-10", "in_date", True)


def test_a_conditional_pass_counts_from_its_acceptance_on(marked: World):
    done = marked.verify("p1", "10 08:00", "120.17", rule="four-way", review=False)
    assert done.entry.decided["verdict"] == "conditional_pass"
    assert due(marked, "p1").good_on is None
    told = {"verification": done.entry.id, "outcome": "accepted", "words": "for transit only"}
    marked.do("review_verification", "12 09:00", by="oda", **told)
    assert due(marked, "p1").good_on == "2026-05-10"
    assert due(marked, "p1", "2026-05-11T00:00:00.000000Z").good_on is None


def test_what_somebody_rejected_does_not_count_and_did_until_then(marked: World):
    done = marked.verify("p1", "10 08:00", review=False)
    told = {"verification": done.entry.id, "outcome": "rejected", "words": "wrong wall"}
    marked.do("review_verification", "12 09:00", by="oda", **told)
    assert (due(marked, "p1").good_on, due(marked, "p1").last_id) == (None, None)
    assert due(marked, "p1", "2026-05-11T00:00:00.000000Z").good_on == "2026-05-10"


def test_what_was_known_on_a_day_is_asked_by_the_size_of_the_log(marked: World):
    with marked.database.reading() as db:
        size = db.exec_driver_sql("SELECT size FROM log_head").scalar_one()
    marked.verify("p1", "10 08:00")
    assert due(marked, "p1", known_size=size).good_on is None
    assert due(marked, "p1").good_on == "2026-05-10"


def test_an_approved_interval_holds_from_its_day_on_and_hours_come_first_when_they_do(marked: World):
    marked.verify("p1", "1 09:00", hours_run="100")
    marked.do("approve_interval", "2 09:00", by="rosa", pair="p1", days=200, most_hours="50", words="hard work")
    assert due(marked, "p1").due_on == "2026-11-17"
    assert due(marked, "p1", "2026-05-01T12:00:00.000000Z").due_on == "2027-05-01"
    marked.do("record_hours", "5 09:00", pair="p1", hours_run="149.5")
    assert (due(marked, "p1").hours_left, due(marked, "p1").state) == ("0.5", "in_date")
    marked.do("record_hours", "6 09:00", pair="p1", hours_run="150.5")
    assert (due(marked, "p1").hours_left, due(marked, "p1").state) == ("-0.5", "overdue")


def test_the_list_is_worst_first_and_those_in_a_vehicle_before_those_on_a_shelf(marked: World):
    marked.verify("p1", "9 09:00", "121.5", review=False)
    marked.verify("p2", "9 10:00")
    marked.install("p3", "teasel B", "10 09:00")
    with marked.database.reading() as db:
        listed = due_listed(db, NOW)
    assert [(one.due.pair, one.say()) for one in listed] == [
        ("p1", "failed"),
        ("p3", "overdue"),
        ("p4", "overdue"),
        ("p2", "in date"),
    ]
    assert listed[1].seat is not None and listed[1].seat[:2] == ("Teasel", "B")


def test_a_pair_that_ended_is_due_no_more(either: World):
    either.do("end_pairing", "11 09:00", by="oda", pair="p1", why="scrapped")
    with either.database.reading() as db:
        assert either.ids["p1"] not in dues(db, NOW)
        assert pair_verified(db, either.ids["p1"], NOW).due is None


def test_a_list_frozen_with_its_finding_says_when_history_was_corrected(marked: World):
    marked.install("p1", "teasel B", "10 09:00", name="stay")
    marked.remove("p1", "teasel B", "10 10:00")
    failed = marked.verify("p1", "13 09:00", "121.5", review=False).entry.id
    with marked.database.reading() as db:
        page = verification_page(db, failed)
    assert page is not None
    assert ([one["letter"] for one in page.affected], page.again) == (["B"], None)
    # A good result from before the finding is entered late: the stay before it needs no assessment.
    marked.verify("p1", "11 09:00")
    with marked.database.reading() as db:
        page = verification_page(db, failed)
    assert page is not None
    assert ([one["letter"] for one in page.affected], page.again) == (["B"], ())


# the pair's own number over time


def number(day: date, value: float, adjusted: bool = False) -> OwnNumber:
    at = f"{day.isoformat()}T09:00:00.000000Z"
    return OwnNumber(day.isoformat(), at, adjusted, "pass", 1, False, value, 0.0 if adjusted else None, 0.01, 0.1)


FIRST = date(2025, 1, 1)


def test_an_even_drift_meets_its_limit_on_the_day_of_the_line():
    """y = 0.02 + 0.0001 per day meets 0.1 on day 800; the scatter is far below it, so that the fit is the line."""
    days = [0, 100, 200, 300, 400]
    scatter = [1e-6, -1e-6, 0.0, 1e-6, -1e-6]
    drift, told = drift_of(
        [number(FIRST + timedelta(days=d), 0.02 + 1e-4 * d + e) for d, e in zip(days, scatter, strict=True)]
    )
    assert drift is not None and drift.shown
    assert drift.meets_on == FIRST + timedelta(days=800)
    assert drift.limit == 0.1
    assert "meets +0.1° on 12 March 2027" in told
    assert drift.value_on(FIRST) == pytest.approx(0.02, abs=1e-5)


def test_a_step_at_an_adjustment_begins_a_new_series_and_fewer_than_four_say_no_trend():
    values = [0.050, 0.051, 0.000, 0.001]
    days = [FIRST + timedelta(days=100 * n) for n in range(4)]
    numbers = [number(day, value, adjusted=n == 1) for n, (day, value) in enumerate(zip(days, values, strict=True))]
    drift, told = drift_of(numbers)
    assert drift is None
    assert told.startswith("The refit changed it by -0.05")
    assert "no trend statement" in told
    assert drift_of(numbers[:2]) == (None, "Fewer than three numbers: no statement about steps or drift.")


def test_no_drift_is_no_limit_met():
    values = [0.01, -0.01, 0.012, -0.008, 0.004]
    drift, told = drift_of([number(FIRST + timedelta(days=60 * n), value) for n, value in enumerate(values)])
    assert drift is not None
    assert (drift.shown, drift.meets_on) == (False, None)
    assert told.startswith("No drift is shown over 5 numbers")
