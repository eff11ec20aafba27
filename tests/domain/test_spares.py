"""Spares: what one still needs, what keeps it out, and which comes first."""

import pytest

from registry.domain.spares import (
    BayAt,
    FreePair,
    Lying,
    Need,
    Spare,
    best_first,
    needs_of_due,
    needs_of_sheet,
    spare_for,
)
from registry.domain.swap_kits import Counted, SwapKit, needs_of_kit
from registry.domain.verifications import Due

SHED, QUAY, NOWHERE = Lying("shed", "at North shed"), Lying("quay", "at South quay"), Lying(None, "place not recorded")
BAY = BayAt("bay", "BAYC", "A", "housing", "teasel", "Teasel", "shed", "North shed", frozenset({"reed"}))


def due(**more: object) -> Due:
    told = {
        "pairing_id": "p", "pair": "QH-1", "due_on": "2026-12-01", "good_on": "2025-12-01", "good_id": "v", "last_id": "v", "last_kind": "heading_check",
        "last_verdict": "pass", "last_on": "2025-12-01", "last_seq": 7, "reviewed": True, "jumped": False, "days": None, "hours_left": None,
        "calibrated_on": None, "left_days": 200, "months": 12, "notice_days": 30,
    }  # fmt: skip
    return Due(**{**told, **more})  # type: ignore[arg-type]


def pair(name: str = "QH-1", **more: object) -> FreePair:
    told = {
        "type_id": "reed",
        "type_name": "Reed",
        "sensor_code": "S",
        "electronics_code": "E",
        "sensor": SHED,
        "electronics": SHED,
        "due": due(),
    }
    return FreePair(name, name, **{**told, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("told", "code", "work"),
    [
        ({}, None, ""),
        ({"left_days": -1}, "verification_overdue", "heading_check_min"),
        ({"hours_left": "-2"}, "verification_overdue", "heading_check_min"),
        ({"good_on": None, "last_id": None, "last_verdict": None}, "never_verified", "heading_check_min"),
        ({"last_verdict": "fail"}, "verification_failed", "heading_check_min"),
        ({"jumped": True}, "never_like_this", "heading_check_min"),
        ({"reviewed": False}, "awaits_review", "review_min"),
        ({"reviewed": False, "last_verdict": "conditional_pass"}, "verification_undecided", "review_min"),
        ({"last_verdict": "cannot_decide"}, "verification_undecided", "heading_check_min"),
    ],
)
def test_verification_asks_one_thing_at_a_time(told: dict[str, object], code: str | None, work: str):
    needs = needs_of_due(due(**told))
    assert [(need.code, need.work) for need in needs] == ([(code, work)] if code else [])
    assert all(need.told and need.offer and not need.keeps_out for need in needs)


def test_a_verification_holds_through_its_day():
    assert needs_of_due(due(), "2026-12-01T23:59:59.000000Z") == []
    assert [need.code for need in needs_of_due(due(), "2026-12-02T00:00:00.000000Z")] == ["verification_due"]


def test_a_type_the_bay_does_not_take_keeps_out_and_offers_to_accept_it():
    spare = spare_for(BAY, pair(type_id="sedge", type_name="Sedge"))
    assert spare.kept_out and not spare.ready
    assert spare.needs[0].told == "Teasel, bay A does not accept Sedge."
    assert (spare.needs[0].offer.act, spare.needs[0].offer.fields["bay"]) == ("accept_type", "bay")


def test_the_order_is_ready_here_ready_elsewhere_needy_apart_kept_out():
    listed = {
        "kept out": pair("kept out", type_id="sedge"),
        "apart": pair("apart", electronics=QUAY),
        "needy, far": pair("needy, far", sensor=QUAY, electronics=QUAY, due=due(reviewed=False)),
        "needy": pair("needy", due=due(reviewed=False)),
        "far": pair("far", sensor=QUAY, electronics=QUAY),
        "soon": pair("soon", due=due(left_days=3)),
        "ready": pair("ready"),
    }
    order = [spare.pair.pair for spare in best_first(spare_for(BAY, one) for one in listed.values())]
    assert order == ["ready", "soon", "far", "needy", "needy, far", "apart", "kept out"]


def test_where_it_lies_is_told_from_the_vehicle():
    def told(one: FreePair) -> str:
        return spare_for(BAY, one).say_where()

    assert told(pair()) == "at North shed, with the vehicle"
    assert told(pair(sensor=QUAY, electronics=QUAY)) == "at South quay, elsewhere"
    assert told(pair(electronics=QUAY)) == "apart: sensor half at North shed; electronics half at South quay"
    assert told(pair(sensor=NOWHERE, electronics=NOWHERE)) == "place not recorded"
    assert [need.code for need in spare_for(BAY, pair(sensor=NOWHERE, electronics=NOWHERE)).needs] == ["place_unknown"]


def test_a_vehicle_whose_place_is_not_recorded_has_nothing_aboard():
    adrift = BayAt("bay", "BAYC", "A", "housing", "teasel", "Teasel", None, None, frozenset({"reed"}))
    assert not spare_for(adrift, pair(sensor=NOWHERE, electronics=NOWHERE)).aboard


def test_what_other_features_ask_stands_with_the_rest():
    more = Need("firmware_not_permitted", "Its firmware is not permitted.", keeps_out=True)
    spare = spare_for(BAY, pair(), [more])
    assert spare == Spare(pair(), (more,), True)
    assert spare.kept_out


KIT = SwapKit((("seal ring", 2),), (Counted("quay", "South quay", 2, "2026-05-01T00:00:00.000000Z"),))


def test_a_kit_is_needed_only_where_one_is_stated_and_none_is_at_hand():
    (need,) = needs_of_kit(KIT, BAY)
    assert need.told == ("Swap kit: none at hand at North shed. Elsewhere: 2 kits at South quay, counted 1 May 2026.")
    assert need.offer.fields == {"housing": "housing", "site": "shed"}
    assert needs_of_kit(SwapKit((), KIT.counted), BAY) == ()
    here = Counted("shed", "North shed", 1, "2026-05-02T00:00:00.000000Z")
    assert needs_of_kit(SwapKit(KIT.lines, (here,)), BAY) == ()
    assert SwapKit(KIT.lines, (here,)).say(BAY) == "At hand: 1 kit at North shed, counted 2 May 2026."
    assert SwapKit(KIT.lines).say(BAY) == "None at hand at North shed. None is counted anywhere."


def test_a_sheet_is_needed_only_where_the_type_demands_one_and_the_bay_has_none():
    (need,) = needs_of_sheet(BAY, written=False, demanded=True)
    assert (need.offer.act, need.work) == ("write_settings_sheet", "")
    assert needs_of_sheet(BAY, written=True, demanded=True) == needs_of_sheet(BAY, written=False, demanded=False) == ()
