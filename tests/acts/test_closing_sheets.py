"""A closing sheet hangs on the last closing; an opening after it asks for another."""

from registry.acts.closing_sheets import RecordClosingSheet
from registry.queries.fleet import vehicles_at
from tests.cast import World
from tests.lived import CLOSED, LEAK
from tests.samples import PHOTO_GIVEN

AT = "2026-05-20T12:00:00.000000Z"
HOUSING = "teasel forward"


def found(world: World) -> list[tuple[str, str]]:
    with world.database.reading() as db:
        (state,) = vehicles_at(db, AT, only=[world.ids["teasel"]])
    return [(f.severity, f.code) for f in state.findings if "closing" in f.code]


def closed(world: World, day: int) -> None:
    world.do("open_housing", f"{day} 09:00", housing=HOUSING, reason="a look inside")
    world.do("close_housing", f"{day} 10:00", housing=HOUSING)
    world.do("record_leak_test", f"{day} 11:00", housing=HOUSING, **LEAK)


def test_a_closing_has_no_sheet_an_incomplete_one_or_a_whole_one(world: World):
    closed(world, 10)
    assert found(world) == [("note", "no_closing_sheet")]
    done = world.do("record_closing_sheet", "10 12:00", housing=HOUSING, **CLOSED)
    assert found(world) == [("care", "closing_incomplete")]
    assert done.entry.decided["told"] == "Neither a second person nor a photo stands behind the seals."
    world.do("record_closing_sheet", "10 12:20", housing=HOUSING, files=[PHOTO_GIVEN], **CLOSED)
    assert found(world) == []
    closed(world, 11)
    assert found(world) == [("note", "no_closing_sheet")]


def test_a_second_person_stands_behind_the_seals_as_well_as_a_photo(world: World):
    closed(world, 10)
    told = world.sent("record_closing_sheet", "10 12:00", housing=HOUSING, second="yusuf", **CLOSED)
    assert world.send(told, "ida", "yusuf").entry.decided["verdict"] == "complete"


def test_a_tool_that_did_not_come_back_stops_and_is_worked_out_again(world: World):
    closed(world, 10)
    entry = world.do(
        "record_closing_sheet", "10 12:00", housing=HOUSING, files=[PHOTO_GIVEN], **CLOSED | {"tools_in": 5}
    ).entry
    assert found(world) == [("stops", "closing_contradicts")]
    assert RecordClosingSheet.again(entry) == {name: entry.decided[name] for name in ("verdict", "told")}


def test_an_open_housing_and_one_never_closed_have_no_sheet_yet(world: World):
    assert (
        "Nobody has closed it on record."
        in world.refused("record_closing_sheet", "10 12:00", housing=HOUSING, **CLOSED)["not_open"]
    )
    world.do("open_housing", "10 09:00", housing=HOUSING, reason="a look inside")
    assert (
        "It is open since" in world.refused("record_closing_sheet", "10 12:00", housing=HOUSING, **CLOSED)["not_open"]
    )
