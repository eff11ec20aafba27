"""The second person’s check of a seated pair, through the door: what it clears, and what later amendments make of it."""

from typing import Any

import pytest

from registry.queries.fleet import vehicles_at
from tests.acts.stage import Stage
from tests.acts.test_imports import STAY, state
from tests.cast import World
from tests.lived import LOOKED
from tests.samples import PHOTO_GIVEN

A = "teasel A"
AT = "2026-05-20T12:00:00.000000Z"
OURS = ("second_check_awaited", "checked_alone", "seating_faulty")


def found(stage: Stage, at: str = AT, known: int | None = None) -> list[tuple[str, str]]:
    """What the check of the pair in Teasel A says against the vehicle, with who accepted it, if anybody did."""
    (state,) = vehicles_at(stage.db, at, *([known] if known else []), only=[stage.ids["teasel"]])
    mine = [one for one in state.findings if one.code in OURS]
    return [(one.severity, one.code) if not one.accepted else ("accepted", one.accepted.who) for one in mine]


def looked(stage: Stage, when: str, by: str, **told: Any):
    return stage.do("check_seating", when, by=by, name="check", bay=A, **LOOKED | told)


def alone(stage: Stage, when: str = "10 09:30", by: str = "ida", **told: Any):
    return looked(stage, when, by, how="alone", files=[PHOTO_GIVEN], **told)


@pytest.fixture
def seated(stage: Stage) -> Stage:
    """p1 in Teasel A, seated by Ida at nine, nobody else there."""
    stage.install("p1", second=None, name="seat")
    return stage


def test_a_seated_pair_awaits_another_person_s_look(seated: Stage):
    assert found(seated) == [("care", "second_check_awaited")]
    looked(seated, "10 09:10", "yusuf")
    assert found(seated) == []
    assert found(seated, "2026-05-10T09:05:00.000000Z") == [("care", "second_check_awaited")]
    row = seated.row("second_check")
    assert (row.how, row.looked_at, row.told, row.photos, row.rest_min) == (
        "present", "torque dowels orientation seals cables", "", 0, "30",
    )  # fmt: skip


def test_a_second_person_who_signed_at_the_seating_has_looked(stage: Stage):
    stage.install("p1", second="yusuf")
    assert found(stage) == []
    assert stage.rows("second_check") == []


def test_a_second_person_without_training_has_not(stage: Stage):
    """Their training ended on 1 June; the vehicle was worked on after that."""
    stage.now = stage.now.replace(month=6, day=10)
    stage.do(
        "record_training", "2026-06-02T09:00:00Z", by="maren", person="ida", subject="esd", trained_on="2026-06-02"
    )
    stage.sign("ida", "2026-06-09T08:00:00Z", station="bench", meters=["BT-04", "RM-1", "FM-2"])
    stage.install("p1", when="2026-06-09T09:00:00Z", second="yusuf")
    assert found(stage, "2026-06-10T00:00:00.000000Z") == [("care", "second_check_awaited")]
    told = stage.refused("check_seating", "2026-06-09T09:10:00Z", by="yusuf", bay=A, **LOOKED)
    assert told == {"needs_second_person": "The second person’s training in ESD handling was good to 1 June 2026."}


def test_a_removal_ends_it_also_when_the_same_pair_goes_back(seated: Stage):
    looked(seated, "10 09:10", "yusuf")
    seated.remove("p1", when="10 10:00")
    seated.install("p1", when="10 11:00", second=None)
    assert found(seated) == [("care", "second_check_awaited")]


def test_who_seated_it_is_no_second_person(seated: Stage):
    assert set(seated.refused("check_seating", "10 09:10", by="ida", bay=A, **LOOKED)) == {"own_work"}
    told = seated.refused("check_seating", "10 09:10", by="ida", done_by="yusuf", bay=A, **LOOKED)
    assert "cannot sign another person’s look" in told["own_work"]
    # Nothing gives way: it would be a second person in name alone.
    forced = {"already_done": True, "why_out_of_order": "nobody else aboard"}
    assert "own_work" in seated.refused("check_seating", "10 09:10", by="ida", bay=A, **LOOKED, **forced)


def test_from_ashore_it_is_a_look_at_photos(seated: Stage):
    told = LOOKED | {"how": "ashore"}
    assert set(seated.refused("check_seating", "10 12:00", by="vera", bay=A, **told)) == {"photo_missing"}
    looked(seated, "10 12:00", "vera", how="ashore", files=[PHOTO_GIVEN])
    assert found(seated) == []
    (file,) = seated.rows("attachment", pairing_id="p1")
    assert file.sha256 == PHOTO_GIVEN["sha256"]


def test_looking_again_alone_is_care_until_accepted_by_another_or_looked_at(seated: Stage):
    assert set(seated.refused("check_seating", "10 09:29", bay=A, **LOOKED | {"how": "alone", "files": [PHOTO_GIVEN]})) == {"too_soon"}  # fmt: skip
    assert set(seated.refused("check_seating", "10 09:30", bay=A, **LOOKED | {"how": "alone"})) == {"photo_missing"}
    entry = alone(seated).entry
    assert found(seated) == [("care", "checked_alone")]
    accept = {"vehicle": "teasel", "bay": "A", "finding": "checked_alone", "evidence": entry.seq}
    accept |= {"to_on": "2026-06-01", "reason": "two aboard, one asleep"}
    seated.do("give_role", "10 10:00", by="maren", person="ida", role="fleet_manager")
    assert "own_work" in seated.refused("accept_finding", "10 11:00", by="ida", **accept)
    seated.do("accept_finding", "10 11:00", by="piet", **accept)
    assert found(seated) == [("accepted", "Piet")]
    looked(seated, "11 09:00", "yusuf")
    assert found(seated) == []


def test_who_turns_out_to_have_seated_it_and_looked_does_not_accept_it(seated: Stage):
    entry = alone(seated).entry
    for name in ("seat", "check"):
        wrong = {"amends": seated.ids[name], "person": "oda", "why": "it was the other shift"}
        seated.do("amend_person", "10 10:00", by="maren", **wrong)
    assert found(seated) == [("care", "checked_alone")]
    seated.do("give_role", "10 10:10", by="maren", person="oda", role="release_authority")
    accept = {"vehicle": "teasel", "bay": "A", "finding": "checked_alone", "evidence": entry.seq, "to_on": "2026-06-01"}
    assert "own_work" in seated.refused("accept_finding", "10 11:00", by="oda", reason="mine", **accept)


def test_the_site_s_plan_says_how_long_the_rest_is(seated: Stage):
    own = {"figure": "recheck_alone_min", "site": "shed", "value": "60", "reason": "cold deck", "source": "plan, issue 3"}  # fmt: skip
    seated.do("set_plan_figure", "1 09:00", by="oda", **own)
    told = seated.refused("check_seating", "10 09:59", bay=A, **LOOKED | {"how": "alone", "files": [PHOTO_GIVEN]})
    assert told["too_soon"].startswith("Who seated it looks again 60 min or more after it was last worked on")
    alone(seated, "10 10:00")
    assert seated.row("second_check").rest_min == "60"


def test_what_is_wrong_stops_until_it_is_looked_at_again(seated: Stage):
    looked(seated, "10 09:10", "yusuf", looked_at=["cables"], found="The power cable is not latched.")
    assert found(seated) == [("stops", "seating_faulty")]
    assert seated.rows("hold") == []  # what is mended in place holds nothing
    told = seated.refused("check_seating", "10 09:30", bay=A, **LOOKED | {"how": "alone", "files": [PHOTO_GIVEN]})
    assert "10 May 2026, 09:10 UTC" in told["too_soon"]
    looked(seated, "10 09:20", "yusuf")
    assert found(seated) == []


def test_a_look_at_a_part_is_refused_and_names_the_rest(seated: Stage):
    told = seated.refused("check_seating", "10 09:10", by="yusuf", bay=A, how="present", looked_at=["torque", "cables"])
    assert told == {"missing_field": "Not looked at: dowels or locating pins, orientation, seals and faces. A look at a part answers nothing."}  # fmt: skip


def test_an_empty_bay_has_nothing_to_look_at(stage: Stage):
    assert set(stage.refused("check_seating", "10 09:10", by="yusuf", bay=A, **LOOKED)) == {"not_installed"}


# putting right


def test_when_the_second_person_turns_out_to_have_seated_it_the_check_is_awaited_again(stage: Stage):
    stage.install("p1", second="yusuf", name="seat")
    before = stage.size()
    stage.do("amend_person", "11 09:00", by="oda", amends=stage.ids["seat"], person="yusuf", why="names swapped")
    assert found(stage) == [("care", "second_check_awaited")]
    assert found(stage, known=before) == []


def test_a_check_amended_to_who_seated_it_does_not_count(seated: Stage):
    looked(seated, "10 09:10", "yusuf")
    seated.do("amend_person", "11 09:00", by="oda", amends=seated.ids["check"], person="ida", why="it was Ida")
    assert found(seated) == [("care", "second_check_awaited")]


def test_a_check_before_the_seating_as_amended_does_not_count(seated: Stage):
    looked(seated, "10 09:10", "yusuf")
    change = {"act": seated.ids["seat"], "instant": "installed", "at": "2026-05-10T09:20:00Z"}
    seated.do("amend_times", "11 09:00", by="oda", changes=[change], why="the clock")
    assert found(seated) == [("care", "second_check_awaited")]


def test_an_own_look_that_came_too_soon_as_amended_does_not_count(seated: Stage):
    alone(seated)
    change = {"act": seated.ids["seat"], "instant": "installed", "at": "2026-05-10T09:05:00Z"}
    seated.do("amend_times", "11 09:00", by="oda", changes=[change], why="the clock")
    assert found(seated) == [("care", "second_check_awaited")]


def test_a_late_stay_is_checked_by_a_late_look(stage: Stage):
    stage.later(days=5)
    stage.install("p1", when="10 09:00", second=None)
    looked(stage, "10 09:10", "yusuf")
    assert found(stage) == []


def test_a_check_that_never_was_is_taken_back(seated: Stage):
    looked(seated, "10 09:10", "yusuf")
    seated.do("withdraw_acts", "11 09:00", by="oda", acts=[seated.ids["check"]], why="the other bay")
    assert found(seated) == [("care", "second_check_awaited")]
    (of,) = seated.rows("withdrawn_of")
    assert str(of.pairing_id) == seated.ids["p1"]


def test_the_seating_entered_in_the_wrong_bay_takes_its_second_person_along_and_no_later_look(stage: Stage):
    stage.install("p1", second=None, name="seat")
    looked(stage, "10 09:10", "yusuf")
    stage.do("amend_bay", "10 10:00", by="oda", amends=stage.ids["seat"], bay="teasel B", why="labels side by side")
    assert found(stage) == [("care", "second_check_awaited")]


def test_who_seated_what_was_carried_over_is_not_on_record(world: World):
    """Nobody can say that they look again; anybody else may look, the keeper who carried it over included."""
    stay = {name: value for name, value in STAY.items() if name != "removed_at"} | {"pair": "p1"}
    assert state(world, "installs", stay) == ["ready"]
    own = LOOKED | {"how": "alone", "files": [PHOTO_GIVEN]}
    told = world.refused("check_seating", "10 10:00", bay="burdock A", **own)
    assert told == {"not_own_work": "Looking again is for who seated the pair. Who seated it is not on record: it was carried over."}  # fmt: skip
    world.do("check_seating", "10 10:00", by="ida", bay="burdock A", **LOOKED)
    with world.database.reading() as db:
        (burdock,) = vehicles_at(db, AT, only=[world.ids["burdock"]])
    assert burdock.bay("A").checked.state == "present"


FAULT = {"how": "present", "found": "O-ring pinched."}


def test_whoever_entered_that_somebody_else_seated_it_is_no_second_person(seated: Stage):
    """Oda says that it was Yusuf and not Ida: all three have had a hand in it."""
    seated.do("amend_person", "12 09:00", by="oda", amends=seated.ids["seat"], person="yusuf", why="It was Yusuf.")
    for who in ("ida", "oda", "yusuf"):
        assert "own_work" in seated.refused("check_seating", "12 10:00", by=who, bay=A, **LOOKED), who
    looked(seated, "12 10:00", "vera")


def test_what_a_look_found_wrong_is_not_taken_back(seated: Stage):
    looked(seated, "10 09:10", "yusuf", **FAULT)
    told = seated.refused("withdraw_acts", "12 09:00", by="oda", acts=["check"], why="It was nothing.")
    assert "a later look answers that" in told["nothing_to_amend"]
    assert found(seated) == [("stops", "seating_faulty")]


def test_what_a_look_found_wrong_outlives_amended_times_and_bays(seated: Stage):
    looked(seated, "10 09:10", "yusuf", **FAULT)
    seated.do(
        "amend_times", "12 09:00", by="oda", why="A wrong clock.",
        changes=[{"act": seated.ids["seat"], "instant": "installed", "at": "2026-05-10T09:20:00Z"}],
    )  # fmt: skip
    assert found(seated) == [("stops", "seating_faulty")]
    for bay in ("teasel B", A):
        seated.do("amend_bay", "12 09:30", by="oda", amends="seat", bay=bay, why="The wrong bay.")
    assert found(seated) == [("stops", "seating_faulty")]


def test_eyes_through_a_closed_hull_are_asked_how_they_saw(seated: Stage):
    seated.do("close_housing", "10 09:20", housing="teasel forward")
    told = "No opening of the forward housing is on record since 10 May 2026, 09:20 UTC; enter the opening, or say how it was seen."
    assert told in looked(seated, "10 10:00", "yusuf").remarks
    assert told not in looked(seated, "10 10:10", "yusuf", words="Through the window of the hull.").remarks
    assert told not in alone(seated, "10 11:00").remarks


def test_eyes_on_a_vehicle_under_way_are_asked_how_they_saw(seated: Stage):
    plan = {"vehicle": "teasel", "reference": "M-9", "area": "Sill", "planned_from": "2026-05-10T10:00:00Z"}
    seated.do("plan_mission", "10 09:10", by="piet", name="M-9", **plan, planned_to="2026-05-12T08:00:00Z")
    seated.do("start_mission", "10 10:00", mission="M-9")
    asks = "Teasel is under way on mission M-9 since 10 May 2026, 10:00 UTC; end it, or say how it was seen."
    assert asks in looked(seated, "10 11:00", "yusuf").remarks
