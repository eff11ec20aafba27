"""Loans, repairs and border crossings through the door."""

import pytest

from registry.queries.fleet import vehicles_at
from tests.acts.stage import Stage

AT = "2026-05-19T09:00:00.000000Z"
CROSSING = {"from_country": "Norland", "to_country": "Sudland", "crosses_on": "2026-05-18"}
LOAN = {"partner": "Lowmoor Survey", "answers": "piet", "return_on": "2026-05-30"}


def teasel(stage: Stage, at: str = AT):
    return vehicles_at(stage.db, at, only=[stage.ids["teasel"]])[0]


def facts(stage: Stage, *codes: str) -> list[tuple[str, str]]:
    return [(one.severity, one.code) for one in teasel(stage).findings if one.code in codes]


# to repair and back


def test_a_half_at_repair_goes_into_no_bay_and_moves_nowhere(stages: Stage):
    stages.do("send_to_repair", "9 09:00", halves=["p1 e"], keeper="Ardlune works", reference="RP-1")
    told = stages.refused("install_pair", "10 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    assert set(told) == {"away"}
    assert "is at repair, Ardlune works, since 9 May 2026." in told["away"]
    assert set(stages.refused("move_halves", "10 09:00", halves=["p1 e"], site="vessel")) == {"away"}
    assert set(stages.refused("send_to_repair", "10 09:00", halves=["p1 e"], keeper="Another")) == {"away"}
    assert stages.unlike() == []


def test_what_sits_in_a_bay_is_not_sent_away(stage: Stage):
    stage.install("p1")
    sent = stage.sent("send_to_repair", "11 09:00", halves=["p1 s"], keeper="Ardlune works")
    assert stage.refusal(sent) == {"pair_installed": "halves"}


def test_a_half_that_came_back_as_it_was_is_a_pair_still(stages: Stage):
    stages.do("send_to_repair", "8 09:00", halves=["p1 e"], keeper="Ardlune works")
    stages.do("return_from_repair", "9 09:00", half="p1 e", outcome="untouched", site="shed", spot="bench 2")
    stages.install("p1")
    assert stages.unlike() == []


def test_a_repaired_half_has_no_pair_until_a_new_statement(stages: Stage):
    stages.do("send_to_repair", "5 09:00", halves=["p1 e"], keeper="Ardlune works")
    done = stages.do("return_from_repair", "9 09:00", half="p1 e", outcome="repaired", site="shed")
    assert done.remarks == ["Its pair has ended: enter the new statement when the maker sends it."]
    old = stages.row("pairing", id=stages.ids["p1"])
    assert (old.ended_at, old.end_reason) == ("2026-05-05T09:00:00.000000Z", "a half was repaired")
    assert set(stages.refused("install_pair", bay="teasel A", sensor="p1 s", electronics="p1 e")) == {"former_pair"}
    new = {"grade": "calibration_sheet", "statement": "ST-new", "stated_on": "2026-05-07"}
    stages.do("record_pairing", "9 10:00", by="oda", pair="p1 anew", sensor="p1 s", electronics="p1 e", **new)
    stages.install("p1")
    assert stages.unlike() == []


def test_a_half_that_is_kept_by_the_repairer_ends_its_pair_and_lies_nowhere(stage: Stage):
    stage.do("send_to_repair", "5 09:00", halves=["p1 e"], keeper="Ardlune works")
    assert stage.refusal(stage.sent("return_from_repair", "9 09:00", half="p1 e", outcome="kept", site="shed")) == {
        "wrong_form": None
    }
    before = len(stage.rows("half_place"))
    stage.do("return_from_repair", "9 09:00", half="p1 e", outcome="kept")
    assert stage.row("pairing", id=stage.ids["p1"]).end_reason == "a half was kept by the repairer"
    assert len(stage.rows("half_place")) == before


def test_a_statement_made_while_a_half_was_away_stands(stage: Stage):
    stage.do("send_to_repair", "5 09:00", halves=["p1 e"], keeper="Ardlune works")
    stage.do("end_pairing", "5 10:00", by="oda", pair="p1", why="the electronics half is to be rebuilt")
    new = {"grade": "calibration_sheet", "statement": "ST-new", "stated_on": "2026-05-07"}
    stage.do(
        "record_pairing", "8 10:00", by="oda", name="anew", pair="p1 anew", sensor="p1 s", electronics="p1 e", **new
    )
    stage.do("return_from_repair", "9 09:00", half="p1 e", outcome="repaired", site="shed")
    assert stage.row("pairing", id=stage.ids["anew"]).ended_at is None
    stage.install("p1")


# loans


def test_a_lent_pair_is_away_until_its_return(stages: Stage):
    stages.do("enter_loan", "8 09:00", by="piet", name="loan", pair="p1", **LOAN)
    assert set(stages.refused("install_pair", bay="teasel A", sensor="p1 s", electronics="p1 e")) == {"away"}
    assert stages.refusal(stages.sent("return_loan", "9 09:00", loan="loan")) == {"missing_field": "site"}
    stages.do("return_loan", "9 09:00", loan="loan", site="shed", spot="shelf 2")
    stages.install("p1")
    assert stages.unlike() == []


def test_nothing_is_lent_twice_and_a_day_of_return_lies_ahead(stage: Stage):
    stage.do("enter_loan", "8 09:00", by="piet", name="loan", vehicle="teasel", **LOAN)
    assert stage.refusal(stage.sent("enter_loan", "9 09:00", vehicle="teasel", **LOAN), "piet") == {
        "already_so": "vehicle"
    }
    early = stage.sent("agree_return", "9 09:00", loan="loan", return_on="2026-05-01", words="no")
    assert stage.refusal(early, "piet") == {"wrong_form": "return_on"}


def test_an_overdue_loan_is_told_and_another_day_is_agreed(stage: Stage):
    stage.do("enter_loan", "8 09:00", by="piet", name="loan", vehicle="teasel", **(LOAN | {"return_on": "2026-05-12"}))
    (one,) = [f for f in teasel(stage).findings if f.code == "loan_overdue"]
    assert (one.severity, one.fact) == ("note", "On loan to Lowmoor Survey, overdue")
    assert "7 days overdue: it was due back on 12 May 2026. Piet answers for it." in one.told
    stage.do("agree_return", "13 09:00", by="piet", loan="loan", return_on="2026-05-30", words="their weather")
    assert facts(stage, "loan_overdue", "on_loan") == [("note", "on_loan")]
    stage.do("return_loan", "14 09:00", loan="loan", site="shed")
    assert facts(stage, "loan_overdue", "on_loan") == []


def test_what_sat_in_a_lent_vehicle_is_not_confirmed_until_it_is_sighted(stage: Stage):
    stage.install("p1")
    assert facts(stage, "not_confirmed") == []
    stage.do("enter_loan", "11 09:00", by="piet", name="loan", vehicle="teasel", **LOAN)
    done = stage.do("return_loan", "12 09:00", loan="loan", site="vessel")
    assert done.remarks == ["Sight every bay of it: what sits there is not confirmed since the loan."]
    assert facts(stage, "not_confirmed") == [("care", "not_confirmed")]
    stage.do("record_sighting", "13 09:00", by="anselm", bay="teasel A", sensor="p1 s", electronics="p1 e")
    assert facts(stage, "not_confirmed") == []
    assert teasel(stage).site == "Halcyon Tern"


# findings of sightings elsewhere


def test_a_half_seen_elsewhere_stops_the_vehicle_until_both_are_read_in_their_bay(stage: Stage):
    stage.install("p1")
    seen = stage.do("record_sighting", "11 09:00", by="anselm", bay="burdock A", sensor="p1 s")
    assert facts(stage, "halves_apart", "not_confirmed") == [("stops", "halves_apart")]
    (one,) = [f for f in teasel(stage).findings if f.code == "halves_apart"]
    assert one.seq == seen.entry.seq
    for row in stage.rows("discrepancy"):
        stage.do("settle_discrepancy", "12 09:00", by="piet", discrepancy=row.id, answer="a slip")
    assert facts(stage, "discrepancy", "halves_apart") == [("stops", "halves_apart")]
    stage.do("record_sighting", "13 09:00", by="anselm", bay="teasel A", sensor="p1 s", electronics="p1 e")
    assert facts(stage, "discrepancy", "halves_apart", "not_confirmed") == []


def test_a_pair_seen_elsewhere_whole_is_care_once_the_ends_are_settled(stage: Stage):
    stage.install("p1")
    stage.do("record_sighting", "11 09:00", by="anselm", bay="burdock A", sensor="p1 s", electronics="p1 e")
    assert facts(stage, "not_confirmed", "halves_apart") == [("care", "not_confirmed")]


def test_a_half_seen_on_a_shelf_in_an_audit_counts_as_seen_elsewhere(stage: Stage):
    stage.install("p1")
    stage.do("open_audit", "11 08:00", by="anselm", name="A-1", audit="A-1", site="shed")
    stage.do("sight_shelf", "11 09:00", by="anselm", audit="A-1", halves=["p1 e"])
    assert facts(stage, "halves_apart") == [("stops", "halves_apart")]


# crossings


def test_a_crossing_is_a_reminder_and_never_a_rule(stage: Stage):
    """handling.md, section 7: it must not block or pass a movement, and must not feed the fit-to-deploy verdict."""
    stage.install("p1")
    before = teasel(stage)
    papers = {"licence": "NL-1", "licence_expires_on": "2026-01-01", "returns_on": "2026-06-30"}
    done = stage.do("plan_crossing", "11 09:00", by="piet", name="crossing", vehicle="teasel", **CROSSING, **papers)
    assert done.remarks == [
        "Its classification is not stated.",
        "A border crossing is planned on 18 May 2026.",
        "The licence NL-1 expires on 1 January 2026, before the return on 30 June 2026.",
        "Reminder only. Ask your export officer.",
    ]
    assert teasel(stage) == before
    stage.do("plan_crossing", "11 09:10", by="piet", pair="p2", **CROSSING, **papers)
    stage.do("move_vehicle", "12 09:00", by="piet", vehicle="teasel", site="vessel")
    stage.do("move_halves", "12 09:00", by="piet", halves=["p2 s", "p2 e"], site="vessel")
    stage.install("p2", "teasel B", "12 10:00", already_done=True, why_out_of_order="no kit aboard")
    stage.do("end_crossing", "18 09:00", by="piet", crossing="crossing", outcome="crossed")
    assert stage.unlike() == []


def test_the_classification_is_the_one_of_the_unit_type_or_not_stated(stage: Stage):
    done = stage.do("plan_crossing", "11 09:00", by="piet", half="p1 s", **CROSSING)
    assert done.entry.decided == {"classification": "not stated", "stated_by": "Ardlune, with the unit type"}
    told = {"classification": "as the maker states", "stated_by": "Ardlune"}
    done = stage.do("plan_crossing", "11 09:00", by="piet", vehicle="teasel", **CROSSING, **told)
    assert done.entry.decided == told


@pytest.mark.parametrize("things", [{}, {"vehicle": "teasel", "half": "p1 s"}])
def test_a_crossing_is_of_one_thing(stage: Stage, things: dict[str, str]):
    assert stage.refusal(stage.sent("plan_crossing", "11 09:00", **things, **CROSSING), "piet") == {"wrong_form": None}
