"""Acceptance by name: of what is care, for a voyage or until a day; never of what stops, and never of one’s own work."""

from itertools import pairwise

from registry.queries.fleet import vehicles_at
from tests.acts.stage import Stage

GIVEN = {"vehicle": "burdock", "bay": "B", "finding": "alignment_missing", "evidence": "burdock B seq", "to_on": "2026-05-29", "reason": "the run is planned"}  # fmt: skip
WHEN = "18 09:00"


def refused(stage: Stage, by: str = "piet", **told: object) -> dict[str, str | None]:
    return stage.refusal(stage.sent("accept_finding", WHEN, **(GIVEN | told)), by)


def test_a_finding_is_accepted_in_somebodys_name_and_what_it_said_is_kept(lived_stage: Stage):
    done = lived_stage.do("accept_finding", WHEN, by="rosa", **GIVEN)
    row = lived_stage.row("acceptance", id=done.entry.id)
    assert (row.finding, row.bay, row.evidence_seq) == ("alignment_missing", "B", lived_stage.ids["burdock B seq"])
    assert (row.fact, row.accepted_by_id) == ("Bay B: no alignment", lived_stage.ids["rosa"])
    assert lived_stage.unlike() == []


def test_what_stops_is_never_accepted_whoever_asks(lived_stage: Stage):
    told = {"finding": "axis_check_missing"}
    assert refused(lived_stage, **told) == {"never_accepted": "finding"}
    assert refused(lived_stage, by="rosa", **told) == {"never_accepted": "finding"}


def test_nobody_accepts_what_rests_on_their_own_work(lived_stage: Stage):
    """Oda entered the install that Yusuf did; both were given the role since."""
    for who in ("oda", "yusuf"):
        lived_stage.do("give_role", "17 08:00", by="maren", person=who, role="release_authority")
        assert refused(lived_stage, by=who) == {"own_work": "evidence"}


def test_it_is_refused_when_the_fact_is_another_one(lived_stage: Stage):
    assert refused(lived_stage, evidence=1) == {"stale": "evidence"}
    assert refused(lived_stage, finding="alignment_carried") == {"no_such_finding": "finding"}
    assert refused(lived_stage, bay="A") == {"no_such_finding": "finding"}


def test_once_is_enough_and_a_longer_time_is_another_acceptance(lived_stage: Stage):
    lived_stage.do("accept_finding", "18 08:00", by="piet", **GIVEN)
    assert refused(lived_stage, by="rosa") == {"already_so": "finding"}
    voyage = {"from_on": "2026-05-19", "to_on": "2026-06-05"}
    assert refused(lived_stage, by="rosa", from_on="2026-05-19") == {"already_so": "finding"}
    lived_stage.do("accept_finding", WHEN, by="rosa", **(GIVEN | voyage))


def test_days_that_cannot_be_are_refused(lived_stage: Stage):
    assert refused(lived_stage, from_on="2026-05-30") == {"wrong_form": None}
    assert refused(lived_stage, to_on="2026-05-17") == {"overlaps_history": "to_on"}


def test_it_ends_when_it_is_withdrawn_and_only_once(lived_stage: Stage):
    lived_stage.do("accept_finding", "18 08:00", by="piet", name="given", **GIVEN)
    again = lived_stage.sent("withdraw_acceptance", WHEN, acceptance="given", reason="called off")
    early = lived_stage.sent("withdraw_acceptance", "18 07:00", acceptance="given", reason="called off")
    assert lived_stage.refusal(early, "rosa") == {"overlaps_history": "happened_at"}
    lived_stage.do("withdraw_acceptance", WHEN, by="rosa", acceptance="given", reason="called off")
    assert lived_stage.refusal(again, "rosa") == {"already_so": "acceptance"}
    assert lived_stage.unlike() == []


def test_an_alignment_that_is_entered_ends_the_acceptance_by_itself(lived_stage: Stage):
    """The finding is gone, and with another one in its place nobody has accepted that."""

    def stands(at: str) -> tuple[list[str], list[str]]:
        one = vehicles_at(lived_stage.db, at, only=[lived_stage.ids["burdock"]])[0]
        mine = [shown.stands for shown in one.acceptances if shown.acceptance.to_on == "2026-05-29"]
        return [found.code for found in one.findings if found.accepted], mine

    lived_stage.do("accept_finding", "18 08:00", by="piet", **GIVEN)
    assert stands("2026-05-18T09:00:00.000000Z") == (["alignment_missing"], ["Holds."])
    lived_stage.do("carry_alignment", "18 10:00", bay="burdock B", faces_clean=True)
    ended = "Ended by itself: what it rested on was cleared or has changed."
    assert stands("2026-05-18T11:00:00.000000Z") == ([], [ended])


def test_the_verdict_at_an_instant_hangs_on_what_held_then_and_on_nothing_later(lived_stage: Stage):
    """Act after act, the fleet is asked as it stands; when all is done, each instant still answers what it answered."""
    acts = [
        ("18 08:00", "accept_finding", "piet", GIVEN),
        ("18 09:00", "carry_alignment", "ida", {"bay": "burdock B", "faces_clean": True}),
        ("18 10:00", "record_axis_check", "ida", {"bay": "burdock B", "bow_down": "pitch_down", "roll_right": "roll_right", "turn": "rises"}),
        ("18 11:00", "release_hold", "rosa", {"hold": "order hold", "reason": "looked at", "evidence": "photo"}),
        ("18 12:00", "place_hold", "ida", {"vehicle": "teasel", "cause": "dropped", "reason": "from the crane"}),
        ("18 13:00", "settle_discrepancy", "oda", {"discrepancy": "discrepancy", "answer": "read wrong"}),
        ("18 14:00", "open_housing", "ida", {"housing": "spare forward", "reason": "to look"}),
        ("18 15:00", "move_vehicle", "piet", {"vehicle": "burdock", "site": "vessel"}),
        ("18 16:00", "retire_vehicle", "piet", {"vehicle": "spare hull", "why": "sold"}),
    ]  # fmt: skip
    asked, answers = {}, []
    for when, act, by, fields in acts:
        lived_stage.do(act, when, by=by, **fields)
        at = f"2026-05-{when.replace(' ', 'T')}:30.000000Z"
        asked[at] = vehicles_at(lived_stage.db, at)
        answers.append([one.findings for one in asked[at]])
    assert all(before != after for before, after in pairwise(answers[:6]))
    assert {at: vehicles_at(lived_stage.db, at) for at in asked} == asked
