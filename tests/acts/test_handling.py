"""ESD sign-offs: the verdict is worked out from readings, holds for one person at one station, and ends."""

import pytest

from tests.acts.stage import Stage

BENCH = {"strap_mohm": "7.2", "surface_mohm": "40", "field_kv_m": "0.4", "meters": ["BT-04", "RM-1", "FM-2"]}
_CUP = {"what": "paper cup", "potential_v": "-2400"}
KIT = {
    "strap_mohm": "7.2",
    "bond_mohm": "12",
    "insulators_cleared": True,
    "gloves_on": True,
    "meters": ["RM-1"],
}
VERDICTS = {
    "all within": ("bench", {}, "pass"),
    "a strap at its upper limit": ("bench", {"strap_mohm": "35.0"}, "fail"),
    "a strap just under it": ("bench", {"strap_mohm": "34.999"}, "pass"),
    "a strap at its lower limit": ("bench", {"strap_mohm": "0.75"}, "pass"),
    "a strap below it": ("bench", {"strap_mohm": "0.74"}, "fail"),
    "an open circuit": ("bench", {"strap_mohm": None, "strap_open": True}, "fail"),
    "a surface at its limit": ("bench", {"surface_mohm": "1000"}, "fail"),
    "a field at its limit": ("bench", {"field_kv_m": "5"}, "fail"),
    "a reading not taken": ("bench", {"field_kv_m": None}, "incomplete"),
    "no meter named": ("bench", {"meters": []}, "incomplete"),
    "no field meter named": ("bench", {"meters": ["BT-04", "RM-1"]}, "incomplete"),
    "a strap tester that reads no surface": ("bench", {"meters": ["BT-04", "FM-2"]}, "incomplete"),
    "an insulator far enough off": (
        "bench",
        {"field_kv_m": None, "insulators": [_CUP | {"distance_cm": "30"}]},
        "pass",
    ),
    "an insulator too near": ("bench", {"field_kv_m": None, "insulators": [_CUP | {"distance_cm": "29.9"}]}, "fail"),
    "footwear where the plan asks for a strap": ("bench", {"strap_mohm": None, "footwear_mohm": "40"}, "incomplete"),
    "a fail and a gap": ("bench", {"strap_mohm": "40", "field_kv_m": None}, "fail"),
    "a kit, all within": ("kit", {}, "pass"),
    "a kit without its bond": ("kit", {"bond_mohm": None}, "incomplete"),
    "a kit without gloves": ("kit", {"gloves_on": False}, "incomplete"),
    "a kit near insulators": ("kit", {"insulators_cleared": False}, "incomplete"),
}


@pytest.mark.parametrize("name", VERDICTS)
def test_a_sign_off_is_judged_by_its_readings(name: str, stage: Stage):
    station, readings, verdict = VERDICTS[name]
    fields = {**(BENCH if station == "bench" else KIT), **readings}
    done = stage.do("sign_esd", "10 09:00", station=station, **fields)
    assert stage.row("esd_signoff", id=done.entry.id).verdict == done.entry.decided["verdict"] == verdict
    assert (done.remarks == []) == (verdict == "pass")


def test_each_reading_keeps_the_limit_it_was_judged_by(stages: Stage):
    done = stages.do("sign_esd", "10 09:00", station="bench", **BENCH)
    rows = {row.quantity: row for row in stages.rows("esd_reading", esd_signoff_id=done.entry.id)}
    assert {name: (row.value, row.least, row.below, row.verdict) for name, row in rows.items()} == {
        "strap_mohm": ("7.2", "0.75", "35", "pass"), "surface_mohm": ("40", None, "1000", "pass"), "field_kv_m": ("0.4", None, "5", "pass"),
    }  # fmt: skip
    assert all("S20.20" in row.limit_source for row in rows.values())
    assert stages.unlike() == []


def test_a_person_without_training_fails(stage: Stage):
    stage.do("add_person", "9 09:00", by="maren", name="nils", role="technician", private={"name": "Nils"})
    done = stage.do("sign_esd", "10 09:00", by="nils", station="bench", **BENCH)
    assert (done.entry.decided["verdict"], done.entry.decided["trained"]) == ("fail", False)


def test_a_figure_and_an_open_circuit_cannot_both_be(stage: Stage):
    assert stage.refusal(stage.sent("sign_esd", "10 09:00", station="bench", **BENCH, strap_open=True)) == {
        "wrong_form": "strap_mohm"
    }


def test_a_sign_off_holds_for_twelve_hours(stage: Stage):
    done = stage.sign("ida", "11 08:00")
    assert stage.row("esd_signoff", id=done.entry.id).good_to_at == "2026-05-11T20:00:00.000000Z"
    stage.install("p1", when="11 19:59")
    assert "no_esd_signoff" in stage.refusal(
        stage.sent("install_pair", "11 20:00", bay="teasel B", sensor="p2 s", electronics="p2 e")
    )


def test_signing_again_ends_the_earlier_one(stages: Stage):
    first, second = stages.sign("ida", "11 08:00"), stages.sign("ida", "11 12:00")
    row = stages.row("esd_signoff", id=first.entry.id)
    assert (row.ended_at, row.end_reason, row.closed_seq) == (
        "2026-05-11T12:00:00.000000Z",
        "signed again",
        second.entry.seq,
    )
    assert stages.row("esd_signoff", id=second.entry.id).ended_at is None
    assert stages.unlike() == []


def test_a_fail_after_a_pass_counts(stage: Stage):
    stage.sign("ida", "11 08:00")
    stage.sign("ida", "11 09:00", strap_mohm="36")
    assert "esd_failed" in stage.refusal(
        stage.sent("install_pair", "11 09:30", bay="teasel A", sensor="p1 s", electronics="p1 e")
    )
    stage.sign("ida", "11 09:10")
    stage.install("p1", when="11 09:30")


def test_leaving_the_station_ends_it(stage: Stage):
    signed = stage.sign("ida", "11 08:00").entry.id
    stage.do("leave_station", "11 10:00", esd_signoff=signed)
    assert stage.row("esd_signoff", id=signed).end_reason == "left the station"
    assert "no_esd_signoff" in stage.refusal(
        stage.sent("install_pair", "11 10:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    )
    stage.install("p1", when="11 09:59")  # What was done before she left is still in order.


LEAVING = {
    "another person's": ("yusuf", "11 10:00", {"own_work": "esd_signoff"}),
    "before it was signed": ("ida", "11 08:00", {"overlaps_history": "happened_at"}),
}


@pytest.mark.parametrize("name", LEAVING)
def test_leaving_is_refused(name: str, stage: Stage):
    signed = stage.sign("ida", "11 08:00").entry.id
    by, when, told = LEAVING[name]
    assert stage.refusal(stage.sent("leave_station", when, esd_signoff=signed), by) == told


def test_a_sign_off_ends_once(stage: Stage):
    signed = stage.sign("ida", "11 08:00").entry.id
    stage.do("leave_station", "11 10:00", esd_signoff=signed)
    assert stage.refusal(stage.sent("leave_station", "11 11:00", esd_signoff=signed)) == {"already_so": "esd_signoff"}


def test_a_field_kit_goes_along_and_a_bench_does_not(stage: Stage):
    stage.do("move_vehicle", "9 09:00", by="piet", vehicle="teasel", site="vessel")
    assert "no_esd_signoff" in stage.refusal(
        stage.sent("install_pair", "10 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    )
    stage.sign("ida", "10 08:30", station="kit")
    stage.install("p1")


def test_what_lay_open_when_the_readings_fail_is_on_hold(stages: Stage):
    failing = {**BENCH, "strap_mohm": "40", "exposed": ["p1 s", "p1 e", "p1 s"]}
    done = stages.do("sign_esd", "10 09:00", station="bench", **failing)
    assert {(row.half_id, row.cause) for row in stages.rows("hold")} == {
        (stages.ids["p1 s"], "failed_signoff"),
        (stages.ids["p1 e"], "failed_signoff"),
    }
    assert done.remarks[-1].startswith("What lies open is on hold")
    assert stages.unlike() == []


@pytest.mark.parametrize("readings", [{}, {"field_kv_m": None}])
def test_what_lies_open_is_not_on_hold_while_nothing_failed(readings: dict, stage: Stage):
    stage.do("sign_esd", "10 09:00", station="bench", exposed=["p1 s"], **BENCH | readings)
    assert stage.rows("hold") == []
