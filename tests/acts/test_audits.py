"""Physical audits through the door: hardware first, nothing moved, every line answered before the certificate stands."""

import pytest

from tests.acts.stage import Stage
from tests.audited import line


@pytest.fixture
def running(stages: Stage) -> Stage:
    """p1 sits in Teasel A, fitted by Ida; the audit A-1 of the fleet has begun."""
    stages.install("p1")
    stages.do("open_audit", "11 08:00", by="anselm", name="A-1", audit="A-1")
    return stages


def sight(stage: Stage, when: str = "11 09:00", bay: str = "teasel A", by: str = "anselm", **found):
    return stage.do("sight_bay", when, by=by, audit="A-1", bay=bay, **found)


def answer_of(stage: Stage, number: int) -> str | None:
    rows = [row for row in stage.rows("audit_answer") if row.audit_line_id == line(stage, "A-1", number)]
    return max(rows, key=lambda row: (row.answered_at, row.seq)).verdict if rows else None


def test_the_lines_of_the_fleet_are_its_bays_vehicle_by_vehicle(running: Stage):
    lines = sorted(running.rows("audit_line"), key=lambda row: row.number)
    named = {id_: name for name, id_ in running.ids.items()}
    assert [named[row.bay_id] for row in lines] == ["burdock A", "burdock B", "teasel A", "teasel B"]
    assert running.unlike() == []


SEEN = {
    "the pair as recorded": ({"sensor": "p1 s", "electronics": "p1 e"}, "sighted", 0),
    "one half of it alone": ({"sensor": "p1 s", "electronics_unread": "not_there"}, "halves_apart", 2),
    "another half alone": ({"sensor": "p2 s", "electronics_unread": "not_there"}, "elsewhere", 4),
    "another pair": ({"sensor": "p2 s", "electronics": "p2 e"}, "elsewhere", 5),
    "halves of two pairs": ({"sensor": "p1 s", "electronics": "p2 e"}, "halves_apart", 3),
    "nothing": ({"empty": True}, "missing", 3),
    "a half nobody knows": ({"sensor": "p1 s", "electronics": "p1 e", "strangers": ["E-19988"]}, "stranger", 1),
}


@pytest.mark.parametrize("name", SEEN)
def test_what_is_read_answers_the_line_and_tells_each_end(name: str, running: Stage):
    found, verdict, ends = SEEN[name]
    before = {table: running.rows(table) for table in ("installation_span", "half_place", "vehicle_place")}
    done = sight(running, **found)
    assert answer_of(running, 3) == verdict
    told = [row for row in running.rows("discrepancy") if row.seq == done.entry.seq]
    assert len(told) == ends
    row = running.row("audit_answer", id=done.entry.id)
    assert (row.sighting_id, row.audit_id) == (done.entry.id, running.ids["A-1"])
    assert {table: running.rows(table) for table in before} == before
    assert running.unlike() == []


def test_who_fitted_a_pair_is_refused_and_another_sights_it(running: Stage):
    found = {"sensor": "p1 s", "electronics": "p1 e"}
    sent = running.sent("sight_bay", "11 09:00", audit="A-1", bay="teasel A", **found)
    assert running.refusal(sent, "ida") == {"own_fitting": "bay"}
    sight(running, by="yusuf", **found)
    assert answer_of(running, 3) == "sighted"


def test_the_newest_reading_of_a_line_counts(running: Stage):
    sight(running, empty=True)
    sight(running, "11 09:10", sensor="p1 s", electronics="p1 e")
    assert answer_of(running, 3) == "sighted"


def open_words(stage: Stage) -> list[str]:
    return sorted(row.words for row in stage.rows("discrepancy") if row.settled_at is None)


def test_a_half_that_was_not_scanned_is_asked_about(running: Stage):
    for found, field in (({"sensor": "p1 s"}, "electronics_unread"), ({"electronics": "p1 e"}, "sensor_unread")):
        sent = running.sent("sight_bay", "11 09:00", audit="A-1", bay="teasel A", **found)
        assert running.refusal(sent, "anselm") == {"wrong_form": field}
    both = {"sensor": "p1 s", "electronics": "p1 e", "sensor_unread": "not_read"}
    sent = running.sent("sight_bay", "11 09:00", audit="A-1", bay="teasel A", **both)
    assert running.refusal(sent, "anselm") == {"wrong_form": "sensor_unread"}


def test_a_half_that_was_not_read_makes_no_discrepancy_and_leaves_the_line(running: Stage):
    done = sight(running, sensor="p1 s", electronics_unread="not_read")
    assert done.remarks == ["As recorded. The electronics half was not read; the line waits for another look."]
    assert answer_of(running, 3) is None
    assert open_words(running) == []
    assert running.row("sighting", id=done.entry.id).sensor_id == running.ids["p1 s"]
    assert running.unlike() == []


def test_a_half_that_was_not_read_hides_nothing_of_the_other(running: Stage):
    sight(running, sensor="p2 s", electronics_unread="not_read")
    assert answer_of(running, 3) == "elsewhere"
    assert [words.rsplit(" ", 1)[0] for words in open_words(running)]
    assert not any("Electronics half" in words for words in open_words(running))


def test_a_second_look_replaces_the_first_and_doubles_nothing(running: Stage):
    sight(running, sensor="p1 s", electronics_unread="not_there")
    first = open_words(running)
    sight(running, "11 09:05", sensor="p1 s", electronics_unread="not_there")
    assert open_words(running) == first
    sight(running, "11 09:08", sensor="p1 s", electronics_unread="not_read")
    assert open_words(running) == first
    done = sight(running, "11 09:10", sensor="p1 s", electronics="p1 e")
    assert open_words(running) == []
    settled = [row for row in running.rows("discrepancy") if row.closed_seq == done.entry.seq]
    assert len(settled) == 2
    assert {row.settled_by_id for row in settled} == {running.ids["anselm"]}
    assert all(row.answer.startswith("Sighted again: sensor half") for row in settled)
    assert running.unlike() == []


def test_what_both_looks_show_stands_as_it_was_noted(running: Stage):
    first = sight(running, sensor="p1 s", electronics_unread="not_there")
    again = sight(running, "11 09:05", empty=True)
    rows = [row for row in running.rows("discrepancy") if row.settled_at is None]
    assert {row.half_id: row.seq for row in rows} == {
        None: again.entry.seq,
        running.ids["p1 s"]: again.entry.seq,
        running.ids["p1 e"]: first.entry.seq,
    }
    assert running.row("sighting", id=again.entry.id).outcome == "differs"
    assert running.unlike() == []


def test_a_sighting_through_a_closed_hull_is_taken_and_asks_how(running: Stage):
    running.do("close_housing", "11 08:30", housing="teasel forward")
    seen = {"sensor": "p1 s", "electronics": "p1 e"}
    asks = "No opening of the forward housing is on record since 11 May 2026, 08:30 UTC; enter the opening, or say how it was seen."
    assert sight(running, **seen).remarks == ["As recorded.", asks]
    told = sight(running, "11 09:05", words="By lamp through the window of the hull.", **seen)
    assert told.remarks == ["As recorded."]
    running.do("open_housing", "11 09:10", housing="teasel forward", reason="the audit")
    assert sight(running, "11 09:20", **seen).remarks == ["As recorded."]


def test_a_copy_of_a_label_proves_no_place(running: Stage):
    code = running.row("half", id=running.ids["p1 s"]).code
    sent = running.sent(
        "sight_bay", "11 09:00", audit="A-1", bay="teasel A", sensor=f"HTTPS://PAIRBOOK.EXAMPLE/I/{code}/2"
    )
    refused = running.refusal(sent, "anselm")
    assert set(refused.values()) == {"sensor"}


def test_a_label_the_registry_knows_is_no_strangers(running: Stage):
    sent = running.sent("sight_bay", "11 09:00", audit="A-1", bay="teasel A", strangers=["S-p2"])
    assert running.refusal(sent, "anselm") == {"wrong_form": "strangers"}


def test_a_bay_that_is_no_line_is_refused(running: Stage):
    running.do("open_audit", "11 08:10", by="anselm", name="A-2", audit="A-2", vehicle="burdock")
    sent = running.sent("sight_bay", "11 09:00", audit="A-2", bay="teasel A", empty=True)
    assert running.refusal(sent, "anselm") == {"outside_audit": "bay"}
    sent = running.sent("sight_shelf", "11 09:00", audit="A-2", halves=["p2 s"])
    assert running.refusal(sent, "anselm") == {"outside_audit": "audit"}


def test_an_audit_is_closed_when_every_line_is_answered_and_not_before(running: Stage):
    sent = running.sent("close_audit", "11 12:00", audit="A-1")
    assert running.refusal(sent, "anselm") == {"lines_open": "audit"}
    for bay in ("burdock A", "burdock B"):
        sight(running, bay=bay, empty=True)
    sight(running, empty=True)
    told = {"answer": "not_opened", "because": "sealed for the voyage"}
    running.do("answer_line", "11 10:00", by="anselm", line=line(running, "A-1", 4), **told)
    done = running.do("close_audit", "11 12:00", by="anselm", audit="A-1")
    assert done.entry.decided["counts"] == {"sighted": 2, "missing": 1, "not_opened": 1}
    assert done.remarks == ["3 discrepancies of it are not settled."]
    sent = running.sent("sight_bay", "11 12:10", audit="A-1", bay="teasel A", empty=True)
    assert running.refusal(sent, "anselm") == {"not_open": "audit"}
    assert running.unlike() == []


def test_a_bay_is_never_answered_as_missing_without_being_read(running: Stage):
    sent = running.sent("answer_line", "11 10:00", line=line(running, "A-1", 3), answer="missing", because="no time")
    assert running.refusal(sent, "anselm") == {"wrong_form": "answer"}


@pytest.fixture
def shelves(stages: Stage) -> Stage:
    """p1 sits in Teasel A; p4 lies aboard; the audit A-1 of the shed has begun."""
    stages.install("p1")
    stages.do("move_halves", "10 10:00", by="piet", halves=["p4 s", "p4 e"], site="vessel")
    stages.do("open_audit", "11 08:00", by="anselm", name="A-1", audit="A-1", site="shed")
    return stages


def test_the_shelves_of_a_site_are_read_half_by_half(shelves: Stage):
    found = ["p2 s", "p2 e", "p4 s", "p1 e"]
    done = shelves.do(
        "sight_shelf", "11 09:00", by="anselm", audit="A-1", halves=found, strangers=["S-19988"], spot="shelf 2"
    )
    lines = {row.id: row for row in shelves.rows("audit_line")}
    named = {id_: name for name, id_ in shelves.ids.items()}
    told = {}
    for row in shelves.rows("audit_answer"):
        one = lines[row.audit_line_id]
        told[named.get(one.half_id, one.label)] = row.verdict
    assert told == {
        "p2 s": "sighted",
        "p2 e": "sighted",
        "p4 s": "elsewhere",
        "p1 e": "elsewhere",
        "S-19988": "stranger",
    }
    ends = {(row.bay_id, row.half_id) for row in shelves.rows("discrepancy") if row.seq == done.entry.seq}
    assert ends == {(None, shelves.ids["p4 s"]), (shelves.ids["teasel A"], shelves.ids["p1 e"])}
    numbers = sorted(row.number for row in lines.values())
    assert numbers == list(range(1, len(numbers) + 1))
    assert shelves.unlike() == []


def test_a_half_that_is_not_on_its_shelf_is_told_missing(shelves: Stage):
    wanted = next(row for row in shelves.rows("audit_line") if row.half_id == shelves.ids["p3 s"])
    done = shelves.do(
        "answer_line", "11 10:00", by="anselm", line=wanted.id, answer="missing", because="not on any shelf"
    )
    (end,) = [row for row in shelves.rows("discrepancy") if row.seq == done.entry.seq]
    assert end.half_id == shelves.ids["p3 s"]
    assert "was looked for in audit A-1 and not there" in end.words


def test_a_stranger_on_a_shelf_waits_until_somebody_says_what_it_is(shelves: Stage):
    shelves.do("sight_shelf", "11 09:00", by="anselm", audit="A-1", strangers=["S-19988"])
    stranger = next(row for row in shelves.rows("audit_line") if row.label)
    for row in shelves.rows("audit_line"):
        told = {"answer": "not_opened", "because": "a short visit"}
        if row.id != stranger.id:
            shelves.do("answer_line", "11 10:00", by="anselm", line=row.id, **told)
    assert shelves.refusal(shelves.sent("close_audit", "11 12:00", audit="A-1"), "anselm") == {"lines_open": "audit"}
    sent = shelves.sent("answer_line", "11 11:00", line=stranger.id, **told)
    assert shelves.refusal(sent, "anselm") == {"wrong_form": "answer"}
    shelves.do(
        "answer_line",
        "11 11:00",
        by="anselm",
        line=stranger.id,
        answer="explained",
        because="a maker’s loan, sent back",
    )
    shelves.do("close_audit", "11 12:00", by="anselm", audit="A-1")


def test_an_audit_looks_at_one_thing_and_at_something(stage: Stage):
    sent = stage.sent("open_audit", "11 08:00", audit="A-1", site="shed", vehicle="teasel")
    assert stage.refusal(sent, "anselm") == {"wrong_form": None}
    stage.do("open_audit", "11 08:00", by="anselm", audit="A-1", vehicle="teasel")
    assert stage.refusal(stage.sent("open_audit", "11 08:10", audit="A-1"), "anselm") == {"already_known": "audit"}
