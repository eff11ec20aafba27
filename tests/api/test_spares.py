"""Spares and the plan of fewest openings over JSON."""

from tests.web.doors import Doors, codes_of

SAILING = "Burdock 2026-06-01T06:00:00Z/2026-06-08T18:00:00Z"


def test_spares_of_a_bay_say_what_each_needs_and_which_act_answers_it(untouched: Doors):
    answer = untouched.api("piet").get(f"/bays/{untouched.code('burdock A')}/spares")
    assert answer.status_code == 200, answer.text[:300]
    told = answer.json
    assert (told["bay"], told["kit"]["at_hand"]) == ("Burdock, bay A", None)
    p3 = next(one for one in told["spares"] if one["pair"] == "p3")
    assert p3["kept_out"] and p3["needs"][0]["code"] == "on_hold" and p3["needs"][0]["act"] == "release_hold"
    order = [(one["kept_out"], not one["ready"]) for one in told["spares"]]
    assert [out for out, _ in order] == sorted(out for out, _ in order)


def test_a_voyage_and_a_plan_are_answered_for_the_same_sailings(untouched: Doors):
    piet = untouched.api("piet")
    (one,) = piet.get("/spares", sailing=SAILING).json["vehicles"]
    assert (one["vehicle"], [bay["bay"] for bay in one["bays"]]) == ("Burdock", ["Burdock, bay A", "Burdock, bay B"])
    plan = piet.get("/fewest-openings", sailing=SAILING).json
    assert [line["vehicle"] for line in plan["lines"]] == ["Burdock"]
    assert plan["assumed"] and plan["proved"] is True


def test_what_is_no_sailing_is_refused_with_its_field(untouched: Doors):
    for path in ("/spares", "/fewest-openings"):
        for query in ({}, {"sailing": "Burdock"}, {"sailing": SAILING.replace("Burdock", "Nettle")}):
            answer = untouched.api("piet").get(path, **query)
            assert answer.status_code == 422, (path, query)
            assert answer.json["reasons"][0]["field"] == "sailing"
    before = untouched.api("piet").get("/spares", sailing=SAILING.replace("2026-06-0", "2026-05-0"))
    assert codes_of(before) == ["wrong_form"]
