"""Putting right the bay, the person, or the very being of an act: both versions stay, and nothing may come to overlap."""

import pytest

from registry.domain.amendments import ANSWERED_BY, THINGS, WITHDRAWABLE
from registry.models.seeks import EVER
from registry.queries.fleet import vehicles_at
from registry.queries.history import About, Event, history
from tests.acts.stage import Stage
from tests.acts.test_amendments import amend, change, live

LATE = "2026-05-20T00:00:00.000000Z"
NOBODY = "0190f5d2-0000-7000-8000-000000000000"


def bay_of(stage: Stage, amends: str, bay: str, **more: str) -> dict:
    return stage.sent("amend_bay", "19 09:00", amends=stage.ids[amends], bay=bay, why="read the wrong label", **more)


def person_of(stage: Stage, amends: str, person: str, part: str = "done") -> dict:
    told = {"amends": stage.ids[amends], "person": person, "part": part}
    return stage.sent("amend_person", "19 09:00", why="it was somebody else", **told)


def back(stage: Stage, *acts: str, instead: str | None = None) -> dict:
    more = {"instead": stage.ids[instead]} if instead else {}
    return stage.sent("withdraw_acts", "19 09:00", acts=[stage.ids[act] for act in acts], why="entered twice", **more)


def told(stage: Stage, bay: str, known: int = EVER) -> list[Event]:
    return history(stage.db, About(bays=(stage.ids[bay],)), LATE, known)


def held(stage: Stage, vehicle: str, known: int = EVER) -> dict[str, str | None]:
    """What each bay of a vehicle holds."""
    (one,) = vehicles_at(stage.db, LATE, known, [stage.ids[vehicle]])
    return {bay.letter: bay.pair for bay in one.bays}


@pytest.fixture
def stays(stages: Stage) -> Stage:
    """p1 in Teasel A from 10:00 to 12:00, then p2 from 12:00 by a swap; p3 in Teasel B from 10:00 to 11:00."""
    stages.ids["in"] = stages.install("p1", when="10 10:00").entry.id
    stages.ids["swap"] = stages.swap("p1", "p2", when="10 12:00").entry.id
    stages.ids["in3"] = stages.install("p3", "teasel B", when="10 10:00").entry.id
    stages.ids["out3"] = stages.remove("p3", "teasel B", when="10 11:00").entry.id
    return stages


def test_a_pair_went_into_another_bay_than_was_entered(stays: Stage):
    size = stays.size()
    stays.send(bay_of(stays, "swap", "burdock A"), "oda")
    assert (held(stays, "teasel")["A"], held(stays, "burdock")["A"]) == (None, "p2")
    assert (held(stays, "teasel", size)["A"], held(stays, "burdock", size)["A"]) == ("p2", None)
    assert stays.unlike() == []


def test_both_bays_tell_of_it(stays: Stage):
    stays.send(bay_of(stays, "swap", "burdock A"), "oda")
    assert [e.words for e in told(stays, "teasel A") if e.kind == "amended"] == [
        "p2 was entered in Teasel, bay A by mistake; it went into Burdock, bay A: read the wrong label"
    ]
    (came,) = [e for e in told(stays, "burdock A") if e.kind == "installed"]
    assert came.amended.startswith("entered as Teasel, bay A; amended by entry")


def test_a_stay_that_is_over_moves_with_how_it_ended(stays: Stage):
    stays.send(bay_of(stays, "in3", "burdock B"), "oda")
    assert live(stays, "p3") == [("10 10:00", "10 11:00")]
    (gone,) = [e for e in told(stays, "burdock B") if e.kind == "removed"]
    assert gone.words.startswith("p3 taken out of Burdock, bay B")
    assert [e.kind for e in told(stays, "teasel B")] == ["amended"]


def test_signs_and_alignment_of_the_wrong_bay_do_not_count_in_the_right_one(stays: Stage):
    done = stays.send(bay_of(stays, "swap", "burdock A"), "oda")
    assert done.remarks == [
        "Signs, alignment and settings entered for that stay stay behind: they do not count in Burdock, bay A."
    ]
    (row,) = [row for row in stays.rows("installation_span", pairing_id="p2") if row.voided_seq is None]
    assert row.installation_id == done.entry.derived("installation")


def test_a_bay_that_does_not_take_the_type_marks_the_stay_and_holds_it(stays: Stage):
    stays.do("stop_accepting_type", "9 09:00", by="oda", bay="burdock A", unit_type="reed")
    done = stays.send(bay_of(stays, "swap", "burdock A"), "oda")
    assert [mark["code"] for mark in done.entry.out_of_order()] == ["type_not_accepted"]
    assert stays.row("hold", pairing_id="p2").cause == "out_of_order"


WRONG_BAY = {
    "the bay that stands there": (lambda s: bay_of(s, "swap", "teasel A"), {"already_so": "bay"}),
    "a bay that held another pair": (lambda s: bay_of(s, "in3", "teasel A"), {"overlaps_history": "bay"}),
    "an act that put nothing in": (lambda s: bay_of(s, "out3", "burdock A"), {"nothing_to_amend": "amends"}),
    "an act nobody knows": (lambda s: bay_of(s, "in", "burdock A") | {"amends": NOBODY}, {"unknown_label": "amends"}),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG_BAY)
def test_an_amended_bay_is_refused(name: str, stays: Stage):
    case, codes = WRONG_BAY[name]
    assert stays.refusal(case(stays), "oda") == codes


def test_a_bay_amended_twice_and_then_its_time_is_one_stay(stays: Stage):
    stays.send(bay_of(stays, "in3", "burdock B"), "oda")
    stays.send(bay_of(stays, "in3", "burdock A"), "oda")
    stays.send(amend(stays, change(stays.ids["in3"], "installed", "10 10:30")), "oda")
    assert live(stays, "p3") == [("10 10:30", "10 11:00")]
    assert [e.kind for e in told(stays, "burdock A")] == ["removed", "installed"]
    assert stays.unlike() == []


def test_somebody_else_moved_it(stages: Stage):
    move = stages.do("move_halves", "11 09:00", by="piet", halves=["p1 s"], site="vessel").entry
    stages.ids["move"] = move.id
    done = stages.send(person_of(stages, "move", "yusuf"), "oda")
    (event,) = [e for e in history(stages.db, About(halves=(stages.ids["p1 s"],)), LATE) if e.seq == move.seq]
    assert (event.by, event.amended) == (
        "Yusuf",
        f"entered as done by Piet; amended by entry {done.entry.seq}: it was somebody else",
    )
    before = history(stages.db, About(halves=(stages.ids["p1 s"],)), LATE, done.entry.seq - 1)
    assert next(e.by for e in before if e.seq == move.seq) == "Piet"
    assert stages.unlike() == []


def test_who_did_an_install_is_judged_by_their_own_sign_off(stays: Stage):
    """Vera never signed ESD readings that day, nor is she a technician: the install was hers, and it was not in order."""
    done = stays.send(person_of(stays, "in3", "vera"), "oda")
    assert {"not_allowed", "no_esd_signoff"} <= {mark["code"] for mark in done.entry.out_of_order()}
    assert stays.row("hold", pairing_id="p3").cause == "out_of_order"


def test_who_did_a_swap_lifted_in_it_as_well_unless_somebody_else_was_named(stays: Stage):
    done = stays.send(person_of(stays, "swap", "yusuf"), "oda")
    assert set(done.entry.decided["parts"]) == {"done", "lifted"}
    assert {e.by for e in told(stays, "teasel A") if e.at.startswith("2026-05-10T12")} == {"Yusuf"}
    again = stays.send(person_of(stays, "swap", "ida", "lifted"), "oda")
    assert set(again.entry.decided["parts"]) == {"lifted"}
    assert {e.kind: e.by for e in told(stays, "teasel A") if e.at.startswith("2026-05-10T12")} == {
        "removed": "Ida", "installed": "Yusuf",
    }  # fmt: skip


def test_who_really_did_the_work_does_not_release_its_hold(stays: Stage):
    """Rosa may release holds, but not of her own work."""
    stays.do("give_role", "2 09:00", by="maren", person="rosa", role="technician")
    done = stays.send(person_of(stays, "in3", "rosa"), "oda")
    hold = stays.row("hold", pairing_id="p3").id
    sent = stays.sent("release_hold", "19 10:00", hold=hold, reason="looked at", evidence="photo 3")
    assert done.entry.out_of_order() and "own_work" in stays.refusal(sent, "rosa")


WRONG_PERSON = {
    "the one that stands there": (lambda s: person_of(s, "in3", "ida"), {"already_so": "person"}),
    "who lifted, of an install": (lambda s: person_of(s, "in3", "yusuf", "lifted"), {"nothing_to_amend": "amends"}),
    "an act of the office": (lambda s: person_of(s, "shed", "yusuf"), {"nothing_to_amend": "amends"}),
    "an act nobody knows": (lambda s: person_of(s, "in", "yusuf") | {"amends": NOBODY}, {"unknown_label": "amends"}),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG_PERSON)
def test_an_amended_person_is_refused(name: str, stays: Stage):
    case, codes = WRONG_PERSON[name]
    assert stays.refusal(case(stays), "oda") == codes


def test_somebody_who_could_not_have_moved_it_did_not(stages: Stage):
    stages.ids["move"] = stages.do("move_halves", "11 09:00", by="piet", halves=["p1 s"], site="vessel").entry.id
    assert stages.refusal(person_of(stages, "move", "anselm"), "oda") == {"not_allowed": "person"}


def test_a_removal_is_taken_back_and_the_stay_goes_on(stays: Stage):
    size = stays.size()
    stays.send(back(stays, "out3"), "oda")
    assert live(stays, "p3") == [("10 10:00", None)]
    assert (held(stays, "teasel")["B"], held(stays, "teasel", size)["B"]) == ("p3", None)
    (event,) = [e for e in told(stays, "teasel B") if e.kind == "taken_back"]
    assert event.words.startswith("A removal, entry ") and event.words.endswith("was taken back: entered twice")
    assert stays.unlike() == []


def test_a_stay_is_taken_back_whole(stays: Stage):
    assert stays.refusal(back(stays, "in3"), "oda") == {"overlaps_history": "acts.0"}
    stays.send(back(stays, "in3", "out3"), "oda")
    assert live(stays, "p3") == []
    assert sorted(e.kind for e in told(stays, "teasel B")) == ["taken_back", "taken_back"]
    stays.install("p3", "teasel B", when="10 10:00")
    assert stays.unlike() == []


def test_a_swap_is_taken_back_and_the_old_pair_is_in_again(stays: Stage):
    stays.send(back(stays, "swap"), "oda")
    assert held(stays, "teasel")["A"] == "p1" and live(stays, "p2") == []


def test_an_end_is_not_taken_back_once_another_pair_came_in(stays: Stage):
    stays.add_pair("p6")
    stays.install("p6", "teasel B", when="10 13:00")
    assert stays.refusal(back(stays, "out3"), "oda") == {"overlaps_history": "acts"}


def test_an_end_is_not_taken_back_once_its_halves_lay_elsewhere(stays: Stage):
    stays.do("move_halves", "11 09:00", by="piet", halves=["p3 s"], site="vessel")
    assert stays.refusal(back(stays, "out3"), "oda") == {"overlaps_history": "acts"}


def test_an_opening_a_move_and_a_knock_are_taken_back(stages: Stage):
    stages.ids["opening"] = stages.do("open_housing", "11 09:00", housing="burdock forward", reason="x").entry.id
    stages.ids["move"] = stages.do("move_halves", "11 09:00", by="piet", halves=["p1 s"], site="vessel").entry.id
    stages.ids["knock"] = stages.do("record_knock", "11 10:00", half="p1 e", words="slipped").entry.id
    stages.send(back(stages, "opening", "move", "knock"), "oda")
    assert all(row.voided_seq for row in stages.rows("opening"))
    assert all(row.voided_seq for row in stages.rows("recheck"))
    kinds = {e.kind for e in history(stages.db, About(halves=(stages.ids["p1 e"],)), LATE)}
    assert "taken_back" in kinds and "knocked" not in kinds
    assert stages.unlike() == []


def test_a_hold_it_placed_stays_until_an_authority_releases_it(stays: Stage):
    stays.ids["wet"] = stays.remove("p2", when="10 13:00", condition="wet").entry.id
    done = stays.send(back(stays, "wet"), "oda")
    assert done.remarks == ["The hold it placed stays until an authority releases it."]
    assert stays.row("hold", pairing_id="p2").closed_seq is None


def test_what_holds_instead_is_named(stays: Stage):
    stays.send(back(stays, "in3", "out3", instead="in"), "oda")
    assert {row.instead_act_id for row in stays.rows("withdrawal")} == {stays.ids["in"]}


def test_a_sighting_that_opened_a_discrepancy_is_settled_first(stays: Stage):
    seen = stays.do("record_sighting", "11 09:00", by="anselm", bay="teasel B", sensor="p4 s").entry
    stays.ids["seen"] = seen.id
    assert stays.refusal(back(stays, "seen"), "oda") == {"discrepancy_open": "acts.0"}


BACK = {
    "an act nobody knows": (lambda s: back(s, "in") | {"acts": [NOBODY]}, {"unknown_label": "acts.0"}),
    "an act with its own answer": (lambda s: back(s, "shed"), {"nothing_to_amend": "acts.0"}),
    "one act twice": (lambda s: back(s, "in3", "in3", "out3"), {"wrong_form": "acts"}),
    "itself instead": (lambda s: back(s, "in3", "out3", instead="in3"), {"wrong_form": "instead"}),
    "no act at all": (lambda s: back(s), {"wrong_form": "acts"}),
}  # fmt: skip


@pytest.mark.parametrize("name", BACK)
def test_taking_back_is_refused(name: str, stays: Stage):
    case, codes = BACK[name]
    assert stays.refusal(case(stays), "oda") == codes


def test_what_was_taken_back_is_not_amended_nor_taken_back_again(stays: Stage):
    stays.send(back(stays, "in3", "out3"), "oda")
    assert stays.refusal(back(stays, "in3", "out3"), "oda") == {"already_so": "acts.1"}
    assert stays.refusal(bay_of(stays, "in3", "burdock A"), "oda") == {"already_so": "amends"}
    assert stays.refusal(person_of(stays, "in3", "yusuf"), "oda") == {"already_so": "amends"}
    assert stays.refusal(back(stays, "swap", instead="in3"), "oda") == {"already_so": "instead"}


def test_what_can_be_taken_back_and_what_is_answered_otherwise_are_acts():
    from registry.acts.catalogue import ACTS

    assert set(WITHDRAWABLE) <= set(ACTS) and set(ANSWERED_BY) <= set(ACTS)
    assert not set(WITHDRAWABLE) & set(ANSWERED_BY)
    assert len(THINGS) == len(set(THINGS))
