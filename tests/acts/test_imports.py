"""History carried over from a spreadsheet: what is not asked of it, what is asked as ever, and that a file acts once."""

from typing import Any

import pytest
import sqlalchemy as sa

from registry.acts.imports import File, Judged
from registry.acts.log import entry_at, head, stored
from registry.acts.verify import verify
from registry.domain.carrying import NOT_ASKED, VIA
from registry.errors import CODES, Reason, Refused
from tests.carrying import FILE, carrier, read
from tests.cast import World

HALF = {"kind": "sensor", "unit_type": "Reed", "maker": "Ardlune", "part": "RS-100", "serial": "IM-1", "site": "North shed", "since": "2025-02-05"}  # fmt: skip
STAY = {"vehicle": "Burdock", "letter": "A", "pair": "p5", "installed_at": "2025-06-01", "removed_at": "2025-07-01"}
PAIR = {"pair": "new", "sensor": "lone s", "electronics": "lone e", "grade": "calibration sheet", "statement": "ST-9", "stated_on": "2025-05-01"}  # fmt: skip
BAY = {"vehicle": "Sorrel", "hull_number": "HN-9", "hull": "torpedo", "length_m": "5", "site": "North shed", "since": "2025-01-01", "housing": "Forward", "closing_method": "gasket", "letter": "A", "from_bow_m": "1.2", "accepts": "Ardlune Reed"}  # fmt: skip
LINE = {"pair": "p5", "certificate": "CC-9", "calibrated_on": "2025-04-30", "place": "Ardlune works", "quantity": "heading", "unit": "deg", "as_found": "0.01"}  # fmt: skip

SAILED = {"vehicle": "Burdock", "reference": "HS-1", "area": "Outer bank", "started_at": "2025-06-03 08:00", "ended_at": "2025-06-03 16:00", "distance_km": "12.5"}  # fmt: skip


@pytest.fixture
def shop(either: World) -> World:
    """With a free pair p5, two loose halves and no sign-off of anybody."""
    either.add_pair("p5")
    for name, kind, part in (("lone s", "sensor", "RS-100"), ("lone e", "electronics", "RE-200")):
        told = {"maker": "Ardlune", "part": part, "serial": f"L-{kind}"}
        either.do("receive_half", "2025-02-03T09:00:00Z", by="oda", name=name, kind=kind, unit_type="reed", site="shed", **told)  # fmt: skip
    return either


def carry(world: World, kind: str, *rows: dict[str, str], by: str = "maren", file: File = FILE) -> list[Judged]:
    """The rows through the door in one transaction, each judged; what is ready is kept."""
    told = [{n: world.ids.get(v, v) if n in ("sensor", "electronics") else v for n, v in row.items()} for row in rows]
    todo = read(kind, told)
    with world.database.writing() as db:
        one = carrier(world, db, kind, by, file)
        one.look_up(todo)
        return [one.judge(group) for group in todo]


def state(world: World, kind: str, *rows: dict[str, str], **more: Any) -> list[str]:
    return [judged.state for judged in carry(world, kind, *rows, **more)]


def codes(world: World, kind: str, *rows: dict[str, str], **more: Any) -> list[list[str]]:
    return [[reason.code for reason in judged.reasons] for judged in carry(world, kind, *rows, **more)]


def newest(world: World):
    with world.database.reading() as db:
        return entry_at(db, head(db).size)


def test_a_row_of_every_kind_goes_in_and_the_fold_holds(shop: World):
    for kind, row in (
        ("halves", HALF),
        ("pairs", PAIR),
        ("vehicles", BAY),
        ("installs", STAY),
        ("calibrations", LINE),
        ("missions", SAILED),
    ):
        assert state(shop, kind, row) == ["ready"], kind
    with shop.database.reading() as db:
        assert verify(db, None).faults == []


def test_an_install_carried_over_has_no_signoff_and_says_what_was_not_asked(shop: World):
    assert "no_esd_signoff" in shop.refused("install_pair", "2025-06-01T00:00:00Z", by="ida", bay="burdock A", sensor="p5 s", electronics="p5 e", removed_at="2025-07-01T00:00:00Z")  # fmt: skip
    early = STAY | {"installed_at": "2025-03-10", "removed_at": "2025-03-20"}
    assert state(shop, "installs", early) == ["ready"]
    entry = newest(shop)
    assert (entry.act, entry.via, entry.by) == ("install_pair", VIA, shop.ids["maren"])
    assert entry.decided["carried_over"] == {**FILE._asdict(), "rows": [2], "not_asked": ["no_esd_signoff", "not_trained"]}  # fmt: skip
    assert entry.body["esd_signoff"] is None
    assert "out_of_order" not in entry.decided


def test_roles_of_that_day_are_not_asked_but_a_keeper_of_today_is(shop: World):
    """A keeper may neither receive, pair, install nor verify; to carry over is what they may."""
    for who in ("oda", "ida", "piet", "anselm"):
        assert codes(shop, "halves", HALF, by=who) == [["not_allowed"]], who
    shop.do("end_role", "20 11:00", by="maren", person="oda", role="workshop_lead")
    assert state(shop, "halves", HALF) == ["ready"]


def test_what_is_not_asked_is_this_list_and_nothing_of_identity_or_history_is_in_it():
    assert set(NOT_ASKED) == {"no_esd_signoff", "esd_failed", "not_trained", "not_accepted"}
    assert all(CODES[code].overridable for code in NOT_ASKED)


def test_a_half_that_was_never_inspected_is_not_asked_for_it_and_a_rejected_one_is():
    from registry.domain.carrying import is_asked
    from registry.errors import Offer

    assert not is_asked(Reason("not_accepted", "It is sealed.", offer=Offer("open_carton", "Open it")))
    assert is_asked(Reason("not_accepted", "It was rejected."))


def test_what_never_gives_way_is_refused_as_ever(shop: World):
    mixed = STAY | {"pair": "", "sensor": "p5 s", "electronics": "p1 e"}
    same = STAY | {"pair": "", "sensor": "p5 s", "electronics": "p1 s"}
    other = STAY | {"sensor": "p1 s"}
    unknown = STAY | {"pair": "", "sensor": "nothing like it", "electronics": "p5 e"}
    told = codes(shop, "installs", mixed, same, other, unknown, STAY | {"vehicle": "Nobody"})
    assert told == [["mixed_pair"], ["same_kind"], ["mixed_pair"], ["unknown_label"], ["unknown_label"]]
    assert codes(shop, "pairs", PAIR | {"electronics": "p5 e"}) == [["already_paired"]]
    assert codes(shop, "pairs", PAIR | {"grade": "letter"}) == [["statement_not_accepted"]]


def test_rows_see_the_rows_before_them(shop: World):
    first = STAY
    over = STAY | {"installed_at": "2025-06-15", "removed_at": "2025-08-01"}
    after = STAY | {"installed_at": "2025-07-01", "removed_at": "2025-08-01"}
    told = carry(shop, "installs", first, over, after)
    assert [judged.state for judged in told] == ["ready", "refused", "ready"]
    assert {reason.code for reason in told[1].reasons} <= {"bay_taken", "overlaps_history"}


def test_a_hold_and_a_type_that_is_not_accepted_still_stand(shop: World):
    shop.do("stop_accepting_type", "2025-05-01T09:00:00Z", by="oda", bay="burdock A", unit_type="reed")
    assert codes(shop, "installs", STAY) == [["type_not_accepted"]]
    shop.do("place_hold", "2025-05-02T09:00:00Z", by="ida", pair="p5", cause="suspect", reason="it hummed")
    assert "on_hold" in codes(shop, "installs", STAY | {"letter": "B"})[0]


def test_the_same_file_acts_once_and_another_says_it_is_known(shop: World):
    rows = (HALF, HALF | {"serial": "IM-2"})
    assert state(shop, "halves", *rows) == ["ready", "ready"]
    size = newest(shop).seq
    assert state(shop, "halves", *rows) == ["already", "already"]
    assert newest(shop).seq == size
    assert codes(shop, "halves", HALF, file=File("cd" * 32, "again.csv", 9)) == [["already_known"]]
    (other,) = carry(shop, "halves", HALF | {"spot": "shelf 2"})
    assert [reason.code for reason in other.reasons] == ["conflicting_replay"]
    assert other.reasons[0].message == "This row of this file is in the log already, and was read otherwise then."


def test_ids_are_of_version_7_and_follow_from_file_and_row(shop: World):
    import uuid

    from registry.acts.ids import row_id

    carry(shop, "halves", HALF)
    id_ = row_id(FILE.sha256, "halves", "2", "half")
    assert (uuid.UUID(id_).version, uuid.UUID(id_).variant) == (7, uuid.RFC_4122)
    with shop.database.reading() as db:
        assert stored(db, id_).body["serial"] == "IM-1"
    assert len({row_id(FILE.sha256, "halves", str(n), "half") for n in range(5000)}) == 5000


def test_a_serial_that_looks_like_a_known_one_is_told_and_never_taken_for_it(shop: World):
    told = carry(shop, "halves", HALF | {"serial": "0012"}, HALF | {"serial": "0O12"})
    assert [judged.state for judged in told] == ["ready", "near"]
    assert told[1].near == ["Serial 0O12 looks like 0012, which exists: sensor half in row 2 of this file."]


def test_a_row_that_stands_twice_names_the_other_row_and_no_code_that_was_only_tried(shop: World):
    told = carry(shop, "halves", HALF, HALF | {"spot": "shelf 2"})
    assert [judged.state for judged in told] == ["ready", "refused"]
    assert told[1].reasons[0].message == "That label is on sensor half in row 2 of this file already."


def test_what_was_read_is_shown_without_what_it_does_not_say(shop: World):
    told = carry(
        shop,
        "installs",
        STAY | {"pair": "", "sensor": "p5 s", "electronics": "p5 e", "installed_at": "2025-06-01 14:30"},
    )
    assert told[0].shown.endswith(", 2025-06-01 14:30")
    assert carry(shop, "missions", SAILED)[0].shown == "Burdock, HS-1, Outer bank, 2025-06-03 08:00, 2025-06-03 16:00"


def test_rows_of_one_certificate_are_one_calibration(shop: World):
    told = carry(shop, "calibrations", LINE, LINE | {"quantity": "gyro bias x", "unit": "deg/h"}, LINE | {"certificate": "CC-10"})  # fmt: skip
    assert [judged.rows for judged in told] == [[2, 3], [4]]
    assert [judged.state for judged in told] == ["ready", "ready"]


def test_rows_of_one_vehicle_name_it_again_and_it_is_added_once(shop: World):
    told = carry(shop, "vehicles", BAY, BAY | {"letter": "B", "from_bow_m": "2"}, BAY | {"letter": "B"})
    assert [judged.state for judged in told] == ["ready", "ready", "refused"]
    assert [reason.code for reason in told[2].reasons] == ["already_known"]


def test_a_bay_is_not_said_to_lie_in_its_vehicle_for_want_of_a_housing(shop: World):
    (told,) = carry(shop, "vehicles", {name: BAY[name] for name in BAY if name not in ("housing", "closing_method")})
    assert [(reason.code, reason.field) for reason in told.reasons] == [("missing_field", "housing")]


def test_entering_is_all_or_nothing(shop: World):
    before = newest(shop).seq
    todo = read("halves", [HALF, HALF | {"site": "nowhere"}])
    with pytest.raises(Refused), shop.database.writing() as db:
        one = carrier(shop, db, "halves")
        for group in todo:
            one.enter(group)
    assert newest(shop).seq == before


def test_who_seated_a_pair_is_known_by_name_or_badge_and_nobody_is_made_up(shop: World):
    told = carry(
        shop, "installs", STAY | {"done_by": "Ida"}, STAY | {"installed_at": "2025-08-01", "removed_at": "2025-08-02", "done_by": "Nobody"}
    )  # fmt: skip
    assert [judged.state for judged in told] == ["ready", "refused"]
    assert (told[1].reasons[0].code, told[1].reasons[0].field) == ("unknown_label", "done_by")
    assert told[1].reasons[0].message.startswith("No person is called “Nobody”. Known: ")
    entry = newest(shop)
    assert (entry.by, entry.done_by) == (shop.ids["maren"], shop.ids["ida"])
    assert "Ida" not in str(entry.body)


def test_who_is_named_as_having_seated_it_might_once_or_has_left(shop: World):
    """Ida is a technician; Anselm only audits, and Maren keeps: neither seats pairs, unless they had the role then."""
    assert codes(shop, "installs", STAY | {"done_by": "Anselm"}, STAY | {"done_by": "Maren"}) == [["not_allowed"]] * 2
    (told,) = carry(shop, "installs", STAY | {"done_by": "Anselm"})
    assert told.reasons[0].message == "Whom the row names as having done it was never a technician or a workshop lead here."  # fmt: skip
    shop.do("give_role", "2025-01-01T08:00:00Z", by="maren", person="maren", role="technician")
    assert state(shop, "installs", STAY | {"done_by": "Maren"}) == ["ready"]
    shop.do("record_departure", "19 11:00", by="maren", person="anselm")
    late = {"installed_at": "2025-09-01", "removed_at": "2025-09-02", "done_by": "Anselm"}
    assert state(shop, "installs", STAY | late, file=File("cd" * 32, "again.csv", 9)) == ["ready"]


def test_what_happened_in_the_last_days_is_entered_at_the_door(shop: World):
    """The import is on 20 May 2026 at 12:00: what happened from 13 May at 12:00 on is too recent, whichever end of it."""
    seated = STAY | {"removed_at": ""}
    late = seated | {"installed_at": "2026-05-20 11:55"}
    assert codes(shop, "installs", late, STAY | {"removed_at": "2026-05-13 12:00"}) == [["too_soon"]] * 2
    reason = carry(shop, "installs", late)[0].reasons[0]
    assert reason.message == "The row tells of 20 May 2026, less than 7 days before this import."
    assert reason.next == "Leave that out of the file: what happened since 13 May 2026 is entered at the door (Install a pair)."  # fmt: skip
    assert codes(shop, "halves", HALF | {"since": "2026-05-19"}) == [["too_soon"]]
    assert codes(shop, "missions", SAILED | {"started_at": "2026-05-12", "ended_at": "2026-05-14"}) == [["too_soon"]]
    assert state(shop, "vehicles", BAY | {"since": "2026-05-19"}) == ["ready"]
    rows = (seated | {"installed_at": "2026-05-13 11:59"}, HALF | {"since": "2026-05-13"})
    assert [state(shop, *one) for one in zip(("installs", "halves"), rows, strict=True)] == [["ready"]] * 2


def test_a_mission_carried_over_is_over_and_its_vehicle_was_on_no_other(shop: World):
    told = carry(shop, "missions", SAILED, SAILED | {"reference": "HS-2"}, SAILED | {"started_at": "2025-06-04", "ended_at": "2025-06-05"})  # fmt: skip
    assert [judged.state for judged in told] == ["ready", "refused", "refused"]
    assert [reason.code for judged in told[1:] for reason in judged.reasons] == ["overlaps_history", "already_known"]


def test_the_first_entry_of_a_file_brings_the_file_on_record_and_no_other(shop: World):
    from registry.files import named
    from registry.models.carried_files import carried_file

    wrong = HALF | {"site": "nowhere"}
    assert state(shop, "halves", wrong, HALF, HALF | {"serial": "IM-2"}) == ["refused", "ready", "ready"]
    assert state(shop, "missions", SAILED) == ["ready"]
    with shop.database.reading() as db:
        row = db.execute(sa.select(carried_file)).mappings().one()
        first = entry_at(db, row["seq"])
        assert (FILE.sha256, FILE.size, FILE.name) in list(named(db))
        assert verify(db, None, files=shop.files).faults == []
    assert (row["sha256"], row["name"], row["carried_by_id"]) == (FILE.sha256, "team.csv", shop.ids["maren"])
    assert first.body["serial"] == "IM-1"
