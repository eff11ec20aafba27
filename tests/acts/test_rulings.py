"""Cases that come up at sea, as they were settled: one test a ruling, named after it."""

import itertools
import random

import pytest

from registry.errors import Refused
from registry.models.whereabouts import whereabouts
from tests.acts.stage import Stage
from tests.acts.test_amendments import amend, change, live
from tests.acts.test_moves import where
from tests.bounds import some

NOON = "2026-05-10T12:00:00.000000Z"


def test_where_it_was_and_what_we_knew_that_day_are_two_questions(stages: Stage):
    """Entered on the 20th: p1 sat in Teasel A since the 10th. On the 15th nobody knew."""
    known_on_the_15th = stages.size()
    stages.install("p1", when="10 09:00")
    assert where(stages, "p1 s", NOON) == "in Teasel, bay A, since 10 May 2026"
    assert where(stages, "p1 s", NOON, known=known_on_the_15th) == "at North shed, shelf 2"


def test_an_amendment_changes_what_was_and_not_what_we_knew(stages: Stage):
    act = stages.install("p1", when="10 09:00").entry.id
    known = stages.size()
    stages.send(amend(stages, change(act, "installed", "10 13:00")), "oda")
    assert where(stages, "p1 s", NOON) == "at North shed, shelf 2"
    assert where(stages, "p1 s", NOON, known=known) == "in Teasel, bay A, since 10 May 2026"


class TestJudgedByItsDay:
    """A late entry meets the rule of its own day, whatever holds today."""

    def test_accepted_types(self, stage: Stage):
        stage.do("stop_accepting_type", "12 09:00", by="oda", bay="teasel A", unit_type="reed")
        stage.install("p1", when="10 09:00", removed_at="2026-05-10T10:00:00Z")
        stage.sign("ida", "13 08:00")
        assert "type_not_accepted" in stage.refused(
            "install_pair", "13 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e"
        )

    def test_authority(self, stage: Stage):
        stage.do("end_role", "12 09:00", by="maren", person="ida", role="technician")
        stage.install("p1", when="10 09:00", by="oda", done_by="ida")
        stage.sign("yusuf", "13 08:00")
        assert "not_allowed" in stage.refused(
            "install_pair", "13 09:00", by="oda", bay="teasel B", sensor="p2 s", electronics="p2 e", done_by="ida"
        )

    def test_training_to_the_end_of_its_last_day(self, stage: Stage):
        """Ida's training is good to 1 June 2026, 24:00 UTC."""
        stage.now = stage.now.replace(month=6, day=3)
        last, after = "2026-06-01T23:59:59Z", "2026-06-02T00:00:00Z"
        stage.do(
            "sign_esd",
            "2026-06-01T20:00:00Z",
            station="bench",
            strap_mohm="7",
            surface_mohm="40",
            field_kv_m="0.4",
            meters=["BT-04", "RM-1", "FM-2"],
        )
        assert stage.check("install_pair", last, bay="teasel A", sensor="p1 s", electronics="p1 e").reasons == []
        told = stage.refused("install_pair", after, bay="teasel A", sensor="p1 s", electronics="p1 e")
        assert told.keys() == {"not_trained"}
        assert "good to 1 June 2026" in told["not_trained"]

    def test_holds(self, stage: Stage):
        stage.do("place_hold", "12 09:00", half="p1 s", reason="wet")
        stage.install("p1", when="10 09:00")

    def test_pairs(self, stage: Stage):
        stage.do("end_pairing", "12 09:00", by="oda", pair="p1", why="lost")
        stage.install("p1", when="10 09:00", removed_at="2026-05-12T09:00:00Z")


def test_a_late_stay_may_be_entered_whole_and_without_its_end_is_refused_with_that_hint(stage: Stage):
    stage.install("p1", when="10 12:00")
    late = {"bay": "teasel A", "sensor": "p2 s", "electronics": "p2 e"}
    reasons = stage.check("install_pair", "10 09:00", **late).reasons
    assert [(reason.code, reason.field) for reason in reasons] == [("overlaps_history", "removed_at")]
    assert "Say when the pair came out again" in reasons[0].next
    stage.do("install_pair", "10 09:00", removed_at="2026-05-10T12:00:00Z", **late)


@pytest.mark.parametrize("by_swap", [True, False])
@pytest.mark.parametrize("to", ["10 11:30", "10 12:30"])
def test_a_boundary_two_stays_share_moves_by_one_amendment_naming_both(to: str, by_swap: bool, stages: Stage):
    stages.install("p1", when="10 09:00")
    if by_swap:
        out = into = stages.swap("p1", "p2", when="10 12:00").entry.id
    else:
        out = stages.remove("p1", when="10 12:00").entry.id
        into = stages.install("p2", when="10 12:00").entry.id
    # Each instant alone leaves a gap in one direction and an overlap in the other.
    alone = [change(out, "removed", to), change(into, "installed", to)][to < "10 12:00"]
    assert stages.refusal(amend(stages, alone), "oda") == {"overlaps_history": "changes"}
    stages.send(amend(stages, change(out, "removed", to), change(into, "installed", to)), "oda")
    assert (live(stages, "p1"), live(stages, "p2")) == ([("10 09:00", to)], [(to, None)])
    assert stages.unlike() == []


def test_an_act_that_was_amended_is_found_by_its_first_id(stages: Stage):
    act = stages.install("p1", when="10 09:00").entry.id
    for at in ("10 10:00", "10 11:00", "10 09:30"):
        stages.send(amend(stages, change(act, "installed", at)), "oda")
    assert live(stages, "p1") == [("10 09:30", None)]
    assert [row.now_at[11:16] for row in sorted(stages.rows("amendment"), key=lambda row: row.seq)] == [
        "10:00",
        "11:00",
        "09:30",
    ]
    stages.remove("p1", when="10 12:00")
    stages.send(amend(stages, change(act, "installed", "10 08:30")), "oda")
    assert live(stages, "p1") == [("10 08:30", "10 12:00")]
    assert stages.unlike() == []


def test_scanned_at_the_spot_is_evidence_of_place(stage: Stage):
    """The pair was never logged aboard; its label was scanned there, so it was."""
    stage.do("move_vehicle", "9 09:00", by="piet", vehicle="teasel", site="vessel")
    stage.sign("ida", "10 08:30", station="kit")
    done = stage.install("p1")
    assert len(done.remarks) == 2
    assert all("its move to Halcyon Tern was not logged" in remark for remark in done.remarks)
    assert done.entry.decided["remarks"] == done.remarks


# Order of arrival

RING = [("p1", "teasel A", "teasel B"), ("p2", "teasel B", "burdock A"), ("p3", "burdock A", "teasel A")]


def _ring(stage: Stage) -> list[dict]:
    """Three pairs, each to the next bay: the removal and the installation of each, sent by three phones."""
    acts = []
    for minute, (pair, out, into) in enumerate(RING):
        stage.install(pair, out, when="10 09:00")
        acts.append(
            stage.sent(
                "remove_pair",
                f"10 10:0{minute}",
                bay=out,
                sensor_out=f"{pair} s",
                electronics_out=f"{pair} e",
                reason="planned",
            )
        )
        acts.append(
            stage.sent("install_pair", f"10 11:0{minute}", bay=into, sensor=f"{pair} s", electronics=f"{pair} e")
        )
    return acts


def _end(stage: Stage) -> dict[str, list]:
    return {pair: [*live(stage, pair), where(stage, f"{pair} s")] for pair, _out, _into in RING}


def _arrive(stage: Stage, acts: list[dict]) -> None:
    """Every act in this order; who is refused is told which bay and pair are in the way, and sends it again."""
    waiting = list(acts)
    for _round in range(len(acts)):
        refused = []
        for sent in waiting:
            try:
                stage.send(sent)
            except Refused as problem:
                assert {reason.code for reason in problem.reasons} <= {"bay_taken", "pair_installed"}
                assert any(
                    pair in str(problem) and ("bay A" in str(problem) or "bay B" in str(problem))
                    for pair, _out, _into in RING
                )
                refused.append(sent)
        waiting = refused
    assert waiting == []


ORDERS = list(itertools.permutations(range(6)))


@pytest.mark.parametrize(
    "orders",
    [random.Random(3).sample(ORDERS, 24), pytest.param(some(ORDERS), marks=pytest.mark.long)],
    ids=["some", "all"],
)
def test_the_end_of_a_ring_does_not_depend_on_the_order_of_arrival(orders: list[tuple[int, ...]], stage: Stage):
    acts = _ring(stage)
    ends = []
    for order in orders:
        whole = stage.db.begin_nested()
        _arrive(stage, [acts[place] for place in order])
        assert stage.unlike() == []
        ends.append(_end(stage))
        whole.rollback()
    assert ends[0]["p1"] == [("10 09:00", "10 10:00"), ("10 11:00", None), "in Teasel, bay B, since 10 May 2026"]
    assert all(end == ends[0] for end in ends)


def test_an_install_before_its_removal_is_refused_naming_bay_and_pair_and_goes_through_when_sent_again(stages: Stage):
    stages.install("p1")
    sent = stages.sent("install_pair", "10 11:00", bay="teasel A", sensor="p2 s", electronics="p2 e")
    reasons = stages.answer(sent).reasons
    assert "Teasel, bay A holds p1 since 10 May 2026" in reasons[0].message
    assert stages.refusal(sent) == {"bay_taken": "bay"}
    stages.remove("p1", when="10 10:30")
    stages.send(sent)


@pytest.mark.parametrize("minute", [-1, 0, 1])
def test_a_second_persons_own_entry_of_the_same_swap_is_refused_naming_the_first(minute: int, stages: Stage):
    stages.install("p1")
    first = stages.swap("p1", "p2", when="10 12:00").entry
    sent = stages.sent(
        "swap_pairs",
        f"10 {11 if minute < 0 else 12}:{minute % 60:02d}",
        bay="teasel A",
        sensor_out="p1 s",
        electronics_out="p1 e",
        sensor_in="p2 s",
        electronics_in="p2 e",
    )
    told = " ".join(reason.message for reason in stages.answer(sent, "yusuf").reasons)
    assert f"entry {first.seq}" in told
    assert set(stages.refusal(sent, "yusuf")) & {"already_so", "not_installed"}
    assert set(stages.refusal(sent | {"already_done": True, "why_out_of_order": "no, I did it"}, "yusuf")) & {
        "already_so",
        "not_installed",
    }


def test_a_swap_scanned_at_the_wrong_bay_is_refused_naming_where_the_outgoing_pair_is(stages: Stage):
    stages.install("p1", "burdock B")
    stages.install("p3", "teasel A")
    for bay in ("teasel A", "teasel B"):
        sent = stages.sent(
            "swap_pairs",
            "10 12:00",
            bay=bay,
            sensor_out="p1 s",
            electronics_out="p1 e",
            sensor_in="p2 s",
            electronics_in="p2 e",
        )
        told = " ".join(reason.message for reason in stages.answer(sent).reasons)
        assert "in Burdock, bay B" in told
        assert set(stages.refusal(sent)) & {"found_other", "not_installed"}


def test_a_hold_at_sea_removes_nothing_and_stops_putting_in_anywhere(stages: Stage):
    stages.install("p1")
    stages.do("place_hold", "10 10:00", pair="p1", reason="hums")
    assert live(stages, "p1") == [("10 09:00", None)]
    stages.remove("p1", when="10 11:00")
    for bay in ("teasel A", "teasel B", "burdock A"):
        assert "on_hold" in stages.refused("install_pair", "10 12:00", bay=bay, sensor="p1 s", electronics="p1 e")


def test_a_factory_repair_of_one_half_ends_the_old_pair_and_begins_a_new_one(stages: Stage):
    stages.install("p1", when="10 09:00")
    stages.remove("p1", when="10 12:00", reason="repair")
    stages.do(
        "receive_half",
        "11 08:00",
        by="oda",
        name="new e",
        kind="electronics",
        unit_type="reed",
        site="shed",
        maker="Ardlune",
        part="RE-200",
        serial="E-new",
    )
    statement = {"grade": "calibration_sheet", "statement": "ST-2", "stated_on": "2026-05-11"}
    stages.do(
        "record_pairing",
        "11 09:00",
        by="oda",
        name="p1b",
        pair="p1b",
        sensor="p1 s",
        electronics="new e",
        replaces=True,
        **statement,
    )
    stages.sign("ida", "12 08:00")
    stages.do("install_pair", "12 09:00", bay="teasel A", sensor="p1 s", electronics="new e")
    # The stay before stays with the old pair, and the old partner no longer belongs.
    assert live(stages, "p1") == [("10 09:00", "10 12:00")]
    assert live(stages, "p1b") == [("12 09:00", None)]
    assert stages.unlike() == []


def test_halves_of_a_pair_that_ended_before_are_not_let_into_its_past(stages: Stage):
    """A late stay of the old pair may not reach over the statement that ended it."""
    stages.do("end_pairing", "10 12:00", by="oda", pair="p1", why="repair")
    seat = {"bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"}
    assert "pair_ended" in stages.refused("install_pair", "10 09:00", removed_at="2026-05-10T12:00:01Z", **seat)
    stages.do("install_pair", "10 09:00", removed_at="2026-05-10T12:00:00Z", **seat)


def test_a_sighting_moves_nothing_and_tells_both_ends(stages: Stage):
    stages.install("p1")
    stages.install("p2", "burdock A")
    before = [stages.rows(table) for table in ("installation_span", "half_place", "vehicle_place")]
    done = stages.do("record_sighting", "11 09:00", by="anselm", bay="teasel A", sensor="p2 s", electronics="p2 e")
    assert [stages.rows(table) for table in ("installation_span", "half_place", "vehicle_place")] == before
    told = {row.bay_id for row in stages.rows("discrepancy") if row.seq == done.entry.seq}
    assert told == {stages.ids["teasel A"], stages.ids["burdock A"]}


def test_what_is_found_out_of_place_ends_the_stay_and_puts_nothing_anywhere(stages: Stage):
    stages.install("p1")
    done = stages.do(
        "remove_pair", "10 12:00", bay="teasel A", sensor_out="p2 s", electronics_out="p2 e", reason="planned",
        already_done=True, why_out_of_order="that is what was in there",
    )  # fmt: skip
    assert live(stages, "p1") == [("10 09:00", "10 12:00")]
    assert [row for row in stages.rows("half_place") if row.seq == done.entry.seq] == []
    assert len([row for row in stages.rows("sighting") if row.seq == done.entry.seq]) == 1
    assert [row for row in stages.rows("discrepancy") if row.seq == done.entry.seq]
    assert stages.unlike() == []


class TestSignOffs:
    def test_one_person_at_one_station_from_their_own_instant_on(self, stage: Stage):
        stage.sign("ida", "11 09:00")
        seat = {"bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"}
        assert "no_esd_signoff" in stage.refused("install_pair", "11 08:59", **seat)
        assert "no_esd_signoff" in stage.refused("install_pair", "11 09:30", by="yusuf", **seat)
        stage.do("install_pair", "11 09:00", **seat)

    def test_nobody_signs_for_another(self, stage: Stage):
        """Who did it needs their own sign-off; that of whoever enters it does not count, nor does naming it help."""
        mine = stage.sign("oda", "11 08:00").entry.id
        seat = {"bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e", "done_by": "ida"}
        assert "no_esd_signoff" in stage.refused("install_pair", "11 09:00", by="oda", **seat)
        told = stage.refused("install_pair", "11 09:00", by="oda", esd_signoff=mine, **seat)
        assert told["no_esd_signoff"] == "That sign-off is another person’s; nobody signs for another."

    def test_thirty_five_megohm_fails_under_thirty_five(self, stage: Stage):
        done = stage.sign("ida", "11 08:00", strap_mohm="35.0")
        assert done.entry.decided["verdict"] == "fail"
        assert "limit under 35" in done.remarks[0]


def test_a_new_plate_is_an_alias_and_the_old_one_keeps_naming_the_half(stages: Stage):
    stages.do(
        "add_identity", "11 09:00", half="p1 s", label="RS-NEW-1", maker="Ardlune", part="RS-100", serial="RS-NEW-1"
    )
    for serial in ("RS-NEW-1", "S-p1"):
        done = stages.send(stages.sent("note_fault", "12 09:00", words="x") | {"half": serial})
        assert done.entry.ids["half"] == stages.ids["p1 s"]


def test_an_alias_another_half_holds_is_refused(stages: Stage):
    sent = stages.sent(
        "add_identity", "11 09:00", half="p1 s", label="S-p2", maker="Ardlune", part="RS-100", serial="S-p2"
    )
    reasons = stages.answer(sent).reasons
    assert [reason.code for reason in reasons] == ["already_known"]
    assert "put both on hold and ask the maker" in reasons[0].next


def test_a_ring_on_one_bay_leaves_no_half_in_two_places(stage: Stage):
    """Whatever was refused and sent again: at no instant is a half in two bays."""
    _arrive(stage, _ring(stage))
    for minute in range(9 * 60, 12 * 60, 7):
        at = f"2026-05-10T{minute // 60:02d}:{minute % 60:02d}:00.000000Z"
        places = whereabouts(stage.db, [stage.ids[f"{pair} s"] for pair, _out, _into in RING], at)
        bays = [place.bay_id for place in places.values() if place.bay_id]
        assert len(bays) == len(set(bays))
