"""Audits of many bays: the page costs the same number of statements, whatever their number."""

import pytest

from registry.output.audits import certificate
from registry.queries import audits
from tests.audited import SHUT, line
from tests.cast import World
from tests.queries.watching import opened, statements

AT = "2026-05-20T12:00:00.000000Z"


def fleet_of(world: World, vehicles: int, letters: str) -> World:
    """So many vehicles more, each with these bays, and an audit of the fleet in which every second bay was read."""
    for number in range(vehicles):
        world.add_vehicle(f"v{number}", letters)
    world.install("p1")
    told = {"vehicle": "teasel", "area": "Sill", "distance_km": "8"}
    for number, (since, until) in enumerate(
        (("10 12:00", "2026-05-11T07:00:00Z"), ("11 12:00", "2026-05-12T07:00:00Z"))
    ):
        world.do("record_mission", since, reference=f"M-{number}", ended_at=until, **told)
    world.do("open_audit", "11 08:00", by="anselm", name="A-1", audit="A-1")
    with world.database.reading() as db:
        left = audits.audit_page(db, world.ids["A-1"], AT).left
    for one in left[::2]:
        if one.place != "Teasel, bay A":
            world.do("sight_bay", "11 09:00", by="anselm", audit="A-1", bay=one.code, empty=True)
    return world


@pytest.fixture(scope="module")
def small(furnished_file, tmp_path_factory):
    world = fleet_of(opened(furnished_file, tmp_path_factory.mktemp("few-bays")), 1, "AB")
    yield world
    world.database.dispose()


def measured(world: World) -> list[int]:
    id_ = world.ids["A-1"]
    return [
        len(statements(world, ask))
        for ask in (
            lambda db: audits.audit_page(db, id_, AT),
            audits.audits_listed,
            lambda db: audits.audit_lines(db, audits.audit_page(db, id_, AT)),
        )
    ]


def walked(small: World, large: World, bays: int) -> None:
    assert measured(large) == measured(small)
    with large.database.reading() as db:
        page = audits.audit_page(db, large.ids["A-1"], AT)
    assert (page.total, page.answered + len(page.left)) == (bays, bays)
    assert len(page.lines) == min(audits.PAGE, page.answered)
    assert page.next is not None


def test_a_page_costs_the_same_with_six_bays_and_with_sixty(small: World, furnished_file, tmp_path_factory):
    large = fleet_of(opened(furnished_file, tmp_path_factory.mktemp("sixty-bays")), 14, "ABCD")
    walked(small, large, 60)
    large.database.dispose()


@pytest.mark.long
def test_it_costs_the_same_with_five_hundred(small: World, furnished_file, tmp_path_factory):
    large = fleet_of(opened(furnished_file, tmp_path_factory.mktemp("many-bays")), 124, "ABCD")
    walked(small, large, 500)
    large.database.dispose()


def test_the_next_place_is_near_and_never_ones_own_while_there_is_another(small: World):
    """Ida fitted Teasel A; Anselm did not."""
    id_ = small.ids["A-1"]
    with small.database.reading() as db:
        his = audits.audit_page(db, id_, AT, small.ids["anselm"])
        hers = audits.audit_page(db, id_, AT, small.ids["ida"])
    mine = [one for one in hers.left if one.own]
    assert [one.place for one in mine] == ["Teasel, bay A"]
    assert hers.next and not hers.next.own
    assert not any(one.own for one in his.left)


def test_a_hull_is_proposed_for_the_mission_days_that_its_opening_confirms(small: World):
    """Teasel A was scanned when p1 went in on the 10th; it was out on the 10th to the 12th."""
    with small.database.reading() as db:
        page = audits.audit_page(db, small.ids["A-1"], AT)
        before = audits.audit_page(db, small.ids["A-1"], "2026-05-11T10:00:00.000000Z")
    assert [(one.vehicle, one.bays, one.mission_days, one.days) for one in page.hulls] == [("Teasel", ("A",), 3, 10)]
    assert [one.mission_days for one in before.hulls] == [2]


def test_a_certificate_says_everything_and_stands_on_the_log_of_its_closing(small: World):
    with small.database.reading() as db:
        page = audits.audit_page(db, small.ids["A-1"], AT)
        assert certificate(db, small.ids["A-1"], AT) is None
    for one in page.left:
        small.do("answer_line", "11 10:00", by="anselm", line=line(small, "A-1", one.number), **SHUT)
    done = small.do("close_audit", "11 12:00", by="anselm", audit="A-1", words="half the hulls stayed shut")
    small.do("note_fault", "12 09:00", half="p2 s", words="later")
    with small.database.reading() as db:
        sheet = certificate(db, small.ids["A-1"], AT)
    assert sheet is not None
    assert (sheet.log_size, sheet.total, sheet.words) == (done.entry.seq, 6, "half the hulls stayed shut")
    assert sum(sheet.counts.values()) == sheet.total
    assert all(one.verdict for one in sheet.lines)
    assert len(sheet.root) == 44
    shut = next(one for one in sheet.lines if one.place == "Teasel, bay A")
    assert (
        shut.scan
        and shut.scan.told
        == "Last scanned there 10 May 2026, 1 day before the audit was closed; 2 mission days rest on it."
    )
    assert [one.place for one in sheet.lines if one.scan] == ["Teasel, bay A"]
