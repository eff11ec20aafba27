"""Many at once: exactly one wins, the rest are refused and hear who holds it, and an act sent twice is one entry."""

import threading
from typing import Any

import pytest

from registry.acts import door, log
from registry.acts.door import Ready
from registry.acts.entry import read
from registry.acts.fold import compare, fold
from registry.errors import Refused
from tests.bounds import rounds
from tests.cast import World
from tests.faults.writer import writing

MANY = 16
VEHICLES = ("sorrel", "fescue", "marram", "couch")
BAYS = [f"{vehicle} {letter}" for vehicle in VEHICLES for letter in "ABCD"]
PAIRS = ["p1", "p2", "p3", "q4", *(f"p{number}" for number in range(5, MANY + 1))]


@pytest.fixture
def crowd(either: World) -> World:
    """Sixteen pairs on the shelf, and four vehicles with four bays each."""
    for vehicle in VEHICLES:
        either.add_vehicle(vehicle, "ABCD")
    for number in range(5, MANY + 1):
        either.add_pair(f"p{number}")
    either.add_pair("q4")
    return either


def at_once(world: World, acts: list[Ready]) -> list[Any]:
    """All of them at the same moment, each in its own thread: what each was answered."""
    start, answers = threading.Barrier(len(acts)), [None] * len(acts)

    def send(number: int, ready: Ready) -> None:
        start.wait()
        try:
            with world.database.writing() as db:
                answers[number] = door.perform(db, ready, now=world.now, randbelow=lambda below: 0)
        except Refused as refused:
            answers[number] = refused

    threads = [threading.Thread(target=send, args=pair) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def seats(world: World, pairs: list[str], bays: list[str], when: str = "10 09:00", **more) -> list[Ready]:
    return [
        world.ready(
            world.sent("install_pair", when, bay=bay, sensor=f"{pair} s", electronics=f"{pair} e", **more), "ida"
        )
        for pair, bay in zip(pairs, bays, strict=True)
    ]


def holds_together(world: World) -> None:
    with world.database.reading() as db:
        entries = [read(stored.raw) for stored in log.rows(db)]
        assert len(entries) == log.head(db).size
        assert list(compare(db, fold(entries))) == []


def one_wins(world: World, acts: list[Ready], code: str, named: str) -> None:
    answers = at_once(world, acts)
    won = [answer for answer in answers if not isinstance(answer, Refused)]
    lost = [answer for answer in answers if isinstance(answer, Refused)]
    assert (len(won), len(lost)) == (1, len(acts) - 1)
    for refused in lost:
        assert [reason.code for reason in refused.reasons] == [code]
        assert named in refused.reasons[0].message
    holds_together(world)


def test_one_pair_for_sixteen_bays_at_once_goes_into_one(crowd: World):
    one_wins(crowd, seats(crowd, ["p1"] * MANY, BAYS), "pair_installed", "p1 sits in ")


def test_sixteen_pairs_for_one_bay_at_once_leave_one_in_it(crowd: World):
    one_wins(crowd, seats(crowd, PAIRS, ["sorrel A"] * MANY), "bay_taken", "Sorrel, bay A holds")


def test_one_act_sent_by_eight_at_once_is_one_entry(either: World):
    sent = either.sent("install_pair", "10 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    answers = at_once(either, [either.ready(sent, "ida")] * 8)
    assert len({answer.entry.seq for answer in answers}) == 1
    assert sorted(answer.again for answer in answers) == [False] + [True] * 7
    holds_together(either)


def test_a_pair_that_ends_and_goes_in_at_once_does_one_of_them(either: World):
    """Whoever comes second is refused: it never sits in a bay after its end."""
    for pair in ("p1", "p2", "p3"):
        end = either.ready(either.sent("end_pairing", "10 09:00", pair=pair, why="lost"), "oda")
        answers = at_once(either, [end, *seats(either, [pair], ["teasel A"])])
        assert sum(isinstance(answer, Refused) for answer in answers) == 1
        if not isinstance(answers[1], Refused):
            either.remove(pair)
    holds_together(either)


def test_two_amendments_of_one_act_at_once_leave_one_stay(either: World):
    act = either.install("p1").entry.id
    changes = [
        [{"act": act, "instant": "installed", "at": f"2026-05-10T09:{minute:02d}:00Z"}] for minute in range(10, 18)
    ]
    answers = at_once(
        either,
        [either.ready(either.sent("amend_times", "20 09:00", changes=change, why="x"), "oda") for change in changes],
    )
    assert not any(isinstance(answer, Refused) for answer in answers)
    with either.database.reading() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM installation_span WHERE voided_seq IS NULL").scalar() == 1
    holds_together(either)


def test_entries_are_numbered_without_a_gap_however_many_write(either: World):
    with either.database.reading() as db:
        before = log.head(db).size
    faults = [
        either.ready(either.sent("note_fault", "10 09:00", half="p1 s", words=f"scratch {number}"), "ida")
        for number in range(24)
    ]
    answers = at_once(either, faults)
    assert sorted(answer.entry.seq for answer in answers) == list(range(before + 1, before + 25))
    holds_together(either)


@pytest.mark.long
def test_a_hundred_rounds_of_sixteen_for_one_bay(crowd: World):
    for round_ in range(rounds(100)):
        hour, minute = 9 + round_ // 30, round_ % 30 * 2
        stays = seats(
            crowd,
            PAIRS,
            ["sorrel A"] * MANY,
            f"10 {hour:02d}:{minute:02d}",
            removed_at=f"2026-05-10T{hour:02d}:{minute + 1:02d}:00Z",
        )
        answers = at_once(crowd, stays)
        assert sum(not isinstance(answer, Refused) for answer in answers) == 1
    holds_together(crowd)


@pytest.mark.long
def test_processes_race_as_threads_do(world: World):
    """On SQLite the queue in one process does not help another: there the file's own lock decides."""
    writers = [writing(world, 40, str(number)) for number in range(4)]
    acknowledged = [line.split()[1] for writer in writers for line in writer.communicate()[0].splitlines()]
    assert [writer.returncode for writer in writers] == [0] * 4
    with world.database.reading() as db:
        assert all(log.stored(db, id_) for id_ in acknowledged)
    assert len(set(acknowledged)) == 160
    holds_together(world)
