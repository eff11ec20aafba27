"""Contracts of vehicles: what they demand of the pairs in their bays, from day to day, beside the plan of the site."""

from registry.models.due import dues
from registry.queries.contracts import terms_of
from registry.queries.fleet import vehicles_at
from tests.acts.stage import Stage


def bound(stage: Stage, when: str = "10 08:00", **told):
    term = {"vehicle": "teasel", "reference": "survey 12, clause 4", "from_on": "2026-05-10", "overdue_stops": True}
    return stage.do("bind_contract", when, by="piet", **(term | told))


def overdue(stage: Stage, day: str) -> list[tuple[str, str]]:
    state = vehicles_at(stage.db, f"{day}T12:00:00.000000Z", only=[stage.ids["teasel"]])[0]
    return [(one.severity, one.told) for one in state.findings if one.code == "verification_overdue"]


def test_overdue_is_care_until_a_contract_says_that_it_stops(stages: Stage):
    """The statement of p1 is of 1 February 2025: its twelve months ended on 1 February 2026."""
    stages.install("p1", "teasel A", "10 09:00")
    assert [severity for severity, _told in overdue(stages, "2026-05-10")] == ["care"]
    bound(stages)
    ((severity, told),) = overdue(stages, "2026-05-10")
    assert severity == "stops"
    assert told.endswith("It stops by contract survey 12, clause 4 since 10 May 2026.")
    assert stages.unlike() == []


def test_a_contract_that_decides_the_day_and_that_it_stops_is_named_once(stage: Stage):
    stage.install("p1", "teasel A", "10 09:00")
    bound(stage, verification_months=6)
    ((_severity, told),) = overdue(stage, "2026-05-10")
    assert told.count("survey 12, clause 4") == 1
    assert told.endswith(", by contract survey 12, clause 4 since 10 May 2026. It stops by the same contract.")


def test_it_holds_from_its_first_day_to_its_last_and_no_longer_than_until_it_is_ended(stage: Stage):
    stage.install("p1", "teasel A", "10 09:00")
    bound(stage, from_on="2026-05-12", until_on="2026-05-14", name="term")
    found = {day: overdue(stage, f"2026-05-{day}")[0][0] for day in ("11", "12", "14", "15")}
    assert found == {"11": "care", "12": "stops", "14": "stops", "15": "care"}
    stage.do("end_contract", "13 06:00", by="piet", contract="term", reason="signed anew")
    assert overdue(stage, "2026-05-13")[0][0] == "care"
    assert [one.state for one in terms_of(stage.db, stage.ids["teasel"], "2026-05-13T12:00:00.000000Z")] == ["ended"]


def test_a_shorter_interval_decides_when_a_pair_is_due_and_a_longer_one_does_not(stage: Stage):
    at = "2026-05-20T12:00:00.000000Z"
    stage.install("p1", "teasel A", "10 09:00")
    plain = dues(stage.db, at)[stage.ids["p1"]]
    bound(stage, overdue_stops=False, verification_months=24, reference="long")
    assert dues(stage.db, at)[stage.ids["p1"]].due_on == plain.due_on
    bound(stage, overdue_stops=False, verification_months=6, reference="short")
    short = dues(stage.db, at)[stage.ids["p1"]]
    assert (plain.due_on, short.due_on) == ("2026-02-01", "2025-08-01")
    assert "by contract short since 10 May 2026" in short.say()
    # A pair on its shelf meets no contract.
    assert dues(stage.db, at)[stage.ids["p2"]].held_by == ""


def test_the_same_contract_twice_in_one_time_and_one_that_demands_nothing_are_refused(stage: Stage):
    bound(stage, until_on="2026-06-30")
    sent = {"vehicle": "teasel", "reference": "survey 12, clause 4", "from_on": "2026-06-30", "overdue_stops": True}
    assert stage.refusal(stage.sent("bind_contract", "11 08:00", **sent), "piet") == {"already_known": "reference"}
    bound(stage, "11 08:00", from_on="2026-07-01")
    nothing = sent | {"reference": "other", "overdue_stops": False}
    assert stage.refusal(stage.sent("bind_contract", "11 08:00", **nothing), "piet") == {"wrong_form": "overdue_stops"}


def test_a_term_is_ended_once_and_not_before_it_was_entered(stage: Stage):
    bound(stage, name="term")
    end = {"contract": "term", "reason": "done"}
    assert stage.refusal(stage.sent("end_contract", "10 08:00", **end), "piet") == {"overlaps_history": "happened_at"}
    stage.do("end_contract", "11 08:00", by="piet", **end)
    assert stage.refusal(stage.sent("end_contract", "12 08:00", **end), "piet") == {"already_so": "contract"}
