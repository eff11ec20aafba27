"""Impacts: what the list gains and loses, how it is ranked, when a hold stays, and what an answer needs."""

from registry.domain.impacts import (
    Asked,
    Use,
    differ,
    rank,
    reasons_not_to_answer,
    reasons_of_finding,
    reasons_unanswered,
)

AT = "2026-05-10T09:00:00.000000Z"
MISSION = Asked("a", "mission", "M-1, Teasel: Sill", "2026-05-09T09:00:00.000000Z", False, "m", "12")


def codes(reasons):
    return [(reason.code, reason.field) for reason in reasons]


def test_a_count_anew_adds_what_is_new_and_drops_what_rests_on_it_no_longer():
    uses = [Use("mission", "m2", "M-2", "2026-05-01"), Use("mission", "m1", "M-1", "2026-05-01")]
    added, dropped = differ([("mission", "m1"), ("alignment", "a1")], uses)
    assert ([use.id for use in added], dropped) == (["m2"], [("alignment", "a1")])


def test_a_mission_of_unknown_distance_ranks_first_then_metres_then_what_has_none():
    ranks = [
        rank(None, "mission", False), rank(90.0, "mission", True), rank(4.0, "mission", True),
        rank(None, "alignment", False), rank(None, "station_check", False),
    ]  # fmt: skip
    assert ranks == sorted(ranks)
    assert len(set(ranks)) == 5


def test_a_hold_stays_until_every_line_is_answered_and_the_list_is_that_of_today():
    one, two = (reasons_unanswered("i", "pair p1", number, 0, 0)[0].message for number in (1, 2))
    assert "1 line has no answer" in one
    assert "2 lines have no answer" in two
    amended = reasons_unanswered("i", "pair p1", 0, 1, 2)
    assert [reason.code for reason in amended] == ["impact_unanswered"]
    assert "gain 1 and drop 2" in amended[0].message
    assert amended[0].offer.fields == {"impact": "i"}
    assert reasons_unanswered("i", "pair p1", 0, 0, 0) == []


def test_usable_with_a_stated_error_needs_the_heading_and_the_distance():
    assert codes(reasons_not_to_answer([MISSION], {"a"}, "usable", None, AT)) == [("needs_reason", "heading_deg")]
    unknown = Asked("a", "mission", "M-1", MISSION.listed_at, False, "m", None)
    assert codes(reasons_not_to_answer([unknown], {"a"}, "usable", "0.3", AT)) == [("cannot_compute", "lines")]
    assert reasons_not_to_answer([MISSION], {"a"}, "usable", "0.3", AT) == []
    assert reasons_not_to_answer([unknown], {"a"}, "withdrawn", None, AT) == []
    signed = Asked("a", "esd_signoff", "ESD sign-off", MISSION.listed_at, False)
    assert reasons_not_to_answer([signed], {"a"}, "usable", None, AT) == []


def test_a_line_is_answered_on_its_own_list_while_it_stands_and_after_it_was_listed():
    assert codes(reasons_not_to_answer([MISSION], set(), "withdrawn", None, AT)) == [("wrong_form", "lines")]
    gone = Asked("a", "mission", "M-1", MISSION.listed_at, True)
    assert codes(reasons_not_to_answer([gone], {"a"}, "withdrawn", None, AT)) == [("already_so", "lines")]
    early = "2026-05-08T09:00:00.000000Z"
    assert codes(reasons_not_to_answer([MISSION], {"a"}, "withdrawn", None, early)) == [
        ("overlaps_history", "happened_at")
    ]


def test_a_day_known_good_is_told_of_a_person_only_so_that_nobody_shortens_a_window():
    assert codes(reasons_of_finding({"pair": "p"}, "2026-05-01", None, AT)) == [("wrong_form", "good_on")]
    assert reasons_of_finding({"person": "p"}, "2026-05-01", None, AT) == []
    assert codes(reasons_of_finding({"person": "p"}, "2026-05-11", None, AT)) == [("wrong_form", "good_on")]
    assert codes(reasons_of_finding({"meter": "m"}, None, "0.3", AT)) == [("wrong_form", "heading_deg")]
