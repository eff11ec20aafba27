"""Amending when something happened: both versions stay in the record, and nothing may come to overlap by it."""

import pytest

from registry.models.whereabouts import whereabouts
from tests.acts.stage import Stage


def change(act: str, instant: str, at: str) -> dict[str, str]:
    return {"act": act, "instant": instant, "at": f"2026-05-{at.replace(' ', 'T')}:00Z"}


def amend(stage: Stage, *changes: dict[str, str], when: str = "20 09:00") -> dict:
    return stage.sent("amend_times", when, changes=list(changes), why="read the clock wrong")


def live(stage: Stage, pair: str) -> list[tuple[str, str | None]]:
    """The spans of a pair that stand, as `day hour:minute`."""
    rows = [row for row in stage.rows("installation_span", pairing_id=pair) if row.voided_seq is None]
    return sorted(
        (row.installed_at[8:16].replace("T", " "), row.removed_at and row.removed_at[8:16].replace("T", " "))
        for row in rows
    )


@pytest.fixture
def stays(stages: Stage) -> Stage:
    """p1 in Teasel A from 10:00 to 12:00, then p2 from 12:00 by a swap; p3 in Teasel B from 10:00 to 11:00."""
    stages.ids["in"] = stages.install("p1", when="10 10:00").entry.id
    stages.ids["swap"] = stages.swap("p1", "p2", when="10 12:00").entry.id
    stages.ids["in3"] = stages.install("p3", "teasel B", when="10 10:00").entry.id
    stages.ids["out3"] = stages.remove("p3", "teasel B", when="10 11:00").entry.id
    return stages


def test_an_instant_is_put_right_and_the_wrong_one_stays_in_the_record(stays: Stage):
    done = stays.send(amend(stays, change(stays.ids["in"], "installed", "10 10:30")), "oda")
    assert live(stays, "p1") == [("10 10:30", "10 12:00")]
    first = next(row for row in stays.rows("installation_span", pairing_id="p1") if row.voided_seq)
    assert (first.installed_at, first.voided_seq) == ("2026-05-10T10:00:00.000000Z", done.entry.seq)
    row = stays.row("amendment", amended_act_id="in")
    assert (row.instant, row.was_at, row.now_at, row.why) == (
        "installed",
        "2026-05-10T10:00:00.000000Z",
        "2026-05-10T10:30:00.000000Z",
        "read the clock wrong",
    )
    assert stays.unlike() == []


def test_the_installation_itself_stays_what_it_was(stays: Stage):
    before = stays.rows("installation")
    stays.send(amend(stays, change(stays.ids["in"], "installed", "10 10:30")), "oda")
    assert stays.rows("installation") == before
    assert {row.installation_id for row in stays.rows("installation_span", pairing_id="p1")} == {
        row.id for row in before if row.pairing_id == stays.ids["p1"]
    }


def test_a_removal_takes_the_places_of_its_halves_along(stays: Stage):
    stays.send(amend(stays, change(stays.ids["out3"], "removed", "10 11:30")), "oda")
    assert live(stays, "p3") == [("10 10:00", "10 11:30")]
    half = stays.ids["p3 s"]
    place = whereabouts(stays.db, [half], "2026-05-10T12:00:00.000000Z")[half]
    assert (place.site, place.since_at) == ("North shed", "2026-05-10T11:30:00.000000Z")
    assert stays.unlike() == []


def test_a_move_is_put_right(stages: Stage):
    move = stages.do("move_halves", "11 09:00", by="piet", halves=["p1 s"], site="vessel").entry.id
    vehicle = stages.do("move_vehicle", "11 09:00", by="piet", vehicle="teasel", site="vessel").entry.id
    stages.send(amend(stages, change(move, "moved", "12 09:00"), change(vehicle, "moved", "13 09:00")), "oda")
    assert [
        row.since_at[:10]
        for row in stages.rows("half_place", half_id="p1 s")
        if row.by_act == move and row.voided_seq is None
    ] == ["2026-05-12"]
    assert [
        row.since_at[:10]
        for row in stages.rows("vehicle_place", vehicle_id="teasel")
        if row.by_act == vehicle and row.voided_seq is None
    ] == ["2026-05-13"]
    assert stages.unlike() == []


REFUSED = {
    "an act that is not in the log": (lambda s: [change("0190f5d2-0000-7000-8000-000000000000", "installed", "10 10:30")], {"unknown_label": "changes.0.act"}),
    "an instant the act did not state": (lambda s: [change(s.ids["in3"], "removed", "10 10:30")], {"nothing_to_amend": "changes.0.instant"}),
    "an act of another sort": (lambda s: [change(s.ids["shed"], "moved", "10 10:30")], {"nothing_to_amend": "changes.0.instant"}),
    "a time that has not come": (lambda s: [change(s.ids["in3"], "installed", "21 10:30")], {"in_the_future": "changes.0.at"}),
    "in after out": (lambda s: [change(s.ids["in3"], "installed", "10 11:00")], {"overlaps_history": "changes"}),
    "out before in": (lambda s: [change(s.ids["out3"], "removed", "10 10:00")], {"overlaps_history": "changes"}),
    "out after the next came in": (lambda s: [change(s.ids["swap"], "removed", "10 12:30")], {"overlaps_history": "changes"}),
    "in before the last came out": (lambda s: [change(s.ids["swap"], "installed", "10 11:30")], {"overlaps_history": "changes"}),
    "before its pair was made": (lambda s: [{"act": s.ids["in3"], "instant": "installed", "at": "2025-01-01T00:00:00Z"}], {"overlaps_history": "changes"}),
    "no change at all": (lambda s: [], {"wrong_form": "changes"}),
    "a kind of instant nobody knows": (lambda s: [change(s.ids["in3"], "painted", "10 10:30")], {"wrong_form": "changes.0.instant"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_an_amendment_is_refused(name: str, stays: Stage):
    case, told = REFUSED[name]
    assert stays.refusal(amend(stays, *case(stays)), "oda") == told


def test_a_half_was_not_carried_while_it_sat_in_a_bay(stays: Stage):
    move = stays.do("move_halves", "11 09:00", by="piet", halves=["p3 s"], site="vessel").entry.id
    assert stays.refusal(amend(stays, change(move, "moved", "10 10:30")), "oda") == {"overlaps_history": "changes"}


def test_two_acts_in_one_amendment_may_trade_places(stays: Stage):
    """p3 was in Teasel B later than p1's time there is told to be: each alone overlaps, both together do not."""
    stays.ids["late"] = stays.install("p1", "teasel B", when="10 13:00", removed_at="2026-05-10T14:00:00Z").entry.id
    one = [change(stays.ids["in3"], "installed", "10 13:30"), change(stays.ids["out3"], "removed", "10 14:30")]
    assert stays.refusal(amend(stays, *one), "oda") == {"overlaps_history": "changes"}
    other = [change(stays.ids["late"], "installed", "10 12:10"), change(stays.ids["late"], "removed", "10 13:10")]
    stays.send(amend(stays, *one, *other), "oda")
    assert (live(stays, "p3"), live(stays, "p1")) == (
        [("10 13:30", "10 14:30")],
        [("10 10:00", "10 12:00"), ("10 12:10", "10 13:10")],
    )
    assert stays.unlike() == []


def test_an_offset_is_kept_with_the_instant_as_it_really_was(stays: Stage):
    stays.send(
        amend(stays, {"act": stays.ids["in3"], "instant": "installed", "at": "2026-05-10T12:15:00+02:00"}), "oda"
    )
    row = next(row for row in stays.rows("installation_span", pairing_id="p3") if row.voided_seq is None)
    assert (row.installed_at, row.installed_offset_min) == ("2026-05-10T10:15:00.000000Z", 120)


def test_one_instant_told_twice_in_one_amendment_is_refused(stage: Stage):

    act = stage.install("p1").entry.id
    changes = [{"act": act, "instant": "installed", "at": f"2026-05-10T09:{minute}:00Z"} for minute in (10, 20)]
    assert stage.refusal(stage.sent("amend_times", "20 09:00", changes=changes, why="read the clock wrong"), "oda")
