"""From the closed carton to two halves on the shelf: each step waits for what the one before it proved."""

import pytest

from registry.errors import Refused
from tests.acts.stage import Stage
from tests.samples import PHOTO_GIVEN

SOUND = {"condition": "sound", "shock": "clear", "tilt": "clear", "seal": "whole"}
ALONE = {"alone": "back from repair"}


def delivered(stage: Stage, *halves: str, when: str = "9 06:00", **seen: str) -> None:
    """One carton a half, `carton p1 s` and so on, taken in at 06:00."""
    told = {"sender": "Ardlune", "reference": "DN-1", "site": "shed", "cartons": max(1, len(halves))}
    stage.do("record_delivery", when, name="delivery", **told)
    for number, half in enumerate(halves, 1):
        stage.do(
            "record_carton", when, name=f"carton {half}", delivery="delivery", number=number, half=half, **SOUND | seen
        )


def opened(stage: Stage, half: str, when: str = "9 19:00", **told: str):
    return stage.do("open_carton", when, carton=f"carton {half}", **{"station": "bench"} | told)


def unwrapped(stage: Stage, half: str, when: str = "9 19:20", **told: str):
    return stage.do("open_bag", when, carton=f"carton {half}", **told)


def ready(stage: Stage, half: str, **seen: str) -> None:
    """The half lies unwrapped at the bench at 19:20."""
    delivered(stage, half, **seen)
    stage.sign("ida", "9 18:50")
    opened(stage, half)
    unwrapped(stage, half)


def inspected(stage: Stage, half: str, outcome: str = "accept", **told):
    told = {"label": half, "bag": "closed", "outcome": outcome, **told}
    return stage.do("inspect_half", "9 19:40", carton=f"carton {half}", **told)


def inspection(stage: Stage, half: str, **told) -> dict:
    told = {"label": half, "bag": "closed", "outcome": "accept", **told}
    return stage.sent("inspect_half", "9 19:40", carton=f"carton {half}", **told)


def test_two_cartons_become_one_inspected_pair(stages: Stage):
    delivered(stages, "p1 s", "p1 e")
    stages.sign("ida", "9 18:50")
    for half in ("p1 s", "p1 e"):
        opened(stages, half)
        unwrapped(stages, half)
        inspected(stages, half)
    assert {row.outcome for row in stages.rows("inspection")} == {"accept"}
    assert {bool(row.agrees) for row in stages.rows("inspection")} == {True}
    assert stages.rows("hold") == []
    assert stages.unlike() == []


def test_a_delivery_and_its_cartons_are_entered_once_and_in_their_order(stage: Stage):
    delivered(stage, "p1 s")
    again = stage.sent("record_delivery", "9 07:00", sender="Ardlune", reference="DN-1", site="shed", cartons=1)
    assert stage.refusal(again) == {"already_known": "reference"}
    one = {"delivery": "delivery", **SOUND}
    assert stage.refusal(stage.sent("record_carton", "9 07:00", number=1, **one)) == {"already_known": "number"}
    assert stage.refusal(stage.sent("record_carton", "9 07:00", number=2, **one)) == {"wrong_form": "number"}
    stage.do("record_delivery", "9 08:00", name="later", sender="Ardlune", reference="DN-2", site="shed", cartons=1)
    early = stage.sent("record_carton", "9 07:00", delivery="later", number=1, **SOUND)
    assert stage.refusal(early) == {"overlaps_history": "happened_at"}


def test_a_carton_without_papers_stays_sealed(stages: Stage):
    stages.do("end_pairing", "9 05:00", by="oda", pair="p1", why="lost")
    delivered(stages, "p1 s")
    sent = stages.sent("open_carton", "9 19:00", carton="carton p1 s", station="bench")
    assert stages.refusal(sent) == {"not_matched": "carton"}
    opened(stages, "p1 s", **ALONE)
    assert stages.row("carton_opening").alone == "back from repair"


def test_a_second_pair_waits_until_the_mat_is_clear(stages: Stage):
    delivered(stages, "p1 s", "p2 s", "p1 e")
    opened(stages, "p1 s")
    other = stages.sent("open_carton", "9 19:05", carton="carton p2 s", station="bench")
    assert stages.refusal(other) == {"mat_in_use": "station"}
    opened(stages, "p1 e", "9 19:06")  # its partner may lie beside it
    stages.sign("ida", "9 18:50")
    for half in ("p1 s", "p1 e"):
        unwrapped(stages, half)
        inspected(stages, half)
    opened(stages, "p2 s", "9 20:00")


def test_a_carton_is_opened_at_its_own_site_and_once(stage: Stage):
    delivered(stage, "p1 s")
    elsewhere = stage.sent("open_carton", "9 19:00", carton="carton p1 s", station="kit")
    assert stage.refusal(elsewhere) == {"wrong_form": "station"}
    opened(stage, "p1 s")
    again = stage.sent("open_carton", "9 19:10", carton="carton p1 s", station="bench")
    assert stage.refusal(again) == {"already_so": "carton"}


def test_a_bag_waits_for_the_carton_and_for_a_passing_sign_off_of_the_same_person(stages: Stage):
    delivered(stages, "p1 s")
    sent = stages.sent("open_bag", "9 19:20", carton="carton p1 s")
    assert stages.refusal(sent) == {"not_open": "carton", "no_esd_signoff": "esd_signoff"}
    opened(stages, "p1 s")
    assert stages.refusal(sent) == {"no_esd_signoff": "esd_signoff"}
    stages.sign("yusuf", "9 18:55")
    assert stages.refusal(sent) == {"no_esd_signoff": "esd_signoff"}  # nobody signs for another
    stages.sign("ida", "9 18:56", strap_mohm="40")
    assert stages.refusal(sent) == {"esd_failed": "esd_signoff"}
    passing = stages.sign("ida", "9 18:58").entry.id
    done = unwrapped(stages, "p1 s")
    assert stages.row("bag_opening").esd_signoff_id == passing
    assert "ready since 9 May 2026, 18:00 UTC" in done.remarks[0]


def test_a_cold_bag_waits_or_is_measured(stage: Stage):
    delivered(stage, "p1 s", when="9 12:00")
    stage.sign("ida", "9 18:50")
    opened(stage, "p1 s")
    sent = stage.sent("open_bag", "9 19:20", carton="carton p1 s")
    assert stage.refusal(sent) == {"too_cold": "surface_c"}
    one = stage.sent("open_bag", "9 19:20", carton="carton p1 s", surface_c="18")
    assert stage.refusal(one) == {"missing_field": "air_c"}
    damp = stage.sent("open_bag", "9 19:20", carton="carton p1 s", surface_c="12", air_c="20", humidity_pct="50")
    assert stage.refusal(damp) == {"too_cold": "surface_c"}
    done = unwrapped(stage, "p1 s", surface_c="18", air_c="20", humidity_pct="50")
    assert done.remarks == ["Surface 18 °C, dew point 9.3 °C (20 °C, 50 %)."]


OUT_OF_ORDER = {"already_done": True, "why_out_of_order": "the boat left at noon"}


@pytest.mark.parametrize("code", ["not_matched", "mat_in_use", "too_cold"])
def test_what_happened_all_the_same_is_entered_and_the_half_is_on_hold(code: str, stages: Stage):
    stages.sign("ida", "9 08:00")
    if code == "not_matched":
        stages.do("end_pairing", "9 05:00", by="oda", pair="p1", why="lost")
    delivered(stages, "p1 s", "p2 s", when="9 09:00")
    if code == "mat_in_use":
        opened(stages, "p2 s", "9 10:00")
    done = opened(stages, "p1 s", "9 10:10", **({} if code == "too_cold" else OUT_OF_ORDER))
    if code == "too_cold":
        done = unwrapped(stages, "p1 s", "9 10:20", **OUT_OF_ORDER)
    assert {reason["code"] for reason in done.entry.out_of_order()} == {code}
    hold = stages.row("hold", id=done.entry.derived("order-hold"))
    assert (hold.cause, hold.half_id) == ("out_of_order", stages.ids["p1 s"])
    assert stages.unlike() == []


def test_the_wrong_half_in_the_carton_holds_it_and_its_partner(stages: Stage):
    ready(stages, "p1 s")
    assert stages.refusal(inspection(stages, "p1 s", label="p2 s")) == {"carton_differs": "label"}
    assert stages.refusal(inspection(stages, "p1 s", label="p2 s", outcome="hold")) == {"needs_reason": "words"}
    inspected(stages, "p1 s", "hold", label="p2 s", words="the part says S-p2")
    held = {row.half_id for row in stages.rows("hold")}
    assert held == {stages.ids["p1 s"], stages.ids["p1 e"]}
    assert not stages.row("inspection").agrees
    assert stages.unlike() == []


def test_a_label_that_cannot_be_read_is_no_reason_to_accept(stage: Stage):
    ready(stage, "p1 s")
    assert stage.refusal(inspection(stage, "p1 s", label="S-p?")) == {"carton_differs": "label"}
    inspected(stage, "p1 s", "reject", label="S-p?", words="the plate is scratched off")
    assert stage.row("inspection").label == "S-p?"


def test_a_copy_of_a_label_does_not_prove_which_part_is_in_the_hand(stage: Stage):
    ready(stage, "p1 s")
    host = stage.rows("outfit")[0].label_host
    copied = f"{host if '/' in host else 'https://' + host}/i/{stage.row('half', id='p1 s').code}/2"
    assert stage.refusal(inspection(stage, "p1 s", label=copied)) == {"carton_differs": "label"}


def test_a_noted_defect_stands_in_the_fault_diary_and_holds_nothing(stages: Stage):
    ready(stages, "p1 s")
    inspected(stages, "p1 s", "accept_noted", words="a scratch on the plate")
    assert stages.row("fault").words == "a scratch on the plate"
    assert stages.rows("hold") == []
    assert stages.unlike() == []


def test_a_tripped_indicator_asks_for_a_verification(stages: Stage):
    ready(stages, "p1 s", shock="tripped")
    inspected(stages, "p1 s")
    asked = stages.row("recheck")
    assert (asked.what, asked.half_id, asked.answered_at) == ("verification", stages.ids["p1 s"], None)
    assert stages.row("knock").words == "Shock indicator tripped on its carton."
    assert stages.unlike() == []


def test_a_half_is_inspected_once_and_line_by_line(stage: Stage):
    ready(stage, "p1 s")
    lines = [{"item": "power lead", "state": "done"}, {"item": "handbook", "quantity": 0, "state": "missing"}]
    assert stage.refusal(inspection(stage, "p1 s", lines=lines)) == {"needs_reason": "lines.1.words"}
    lines[1]["words"] = "to follow"
    inspected(stage, "p1 s", lines=lines)
    kept = {(row.item, row.quantity, row.state, row.words) for row in stage.rows("inspection_line")}
    assert kept == {("power lead", 1, "done", ""), ("handbook", 0, "missing", "to follow")}
    assert stage.refusal(inspection(stage, "p1 s")) == {"already_so": "carton"}


def test_a_new_scope_of_delivery_takes_the_place_of_the_one_before(stages: Stage):
    for when, count in (("8 09:00", 1), ("9 09:00", 2)):
        stages.do("set_scope", when, by="oda", unit_type="reed", lines=[{"item": "lead", "quantity": count}])
    assert [(row.quantity, row.ended_at is None) for row in sorted(stages.rows("scope_line"), key=lambda r: r.seq)] == [
        (1, False),
        (2, True),
    ]
    early = stages.sent("set_scope", "8 10:00", unit_type="reed", lines=[{"item": "lead"}])
    assert stages.refusal(early, "oda") == {"overlaps_history": "happened_at"}
    assert stages.unlike() == []


def test_a_power_up_that_fails_holds_the_pair(stages: Stage):
    read = {"off_load_v": "24.1", "on_load_v": "23.8", "current_a": "0.9", "fault_mohm": "0.2"}
    done = stages.do("record_power_up", "9 20:00", pair="p1", **read)
    assert stages.row("power_up").verdict == "fail"
    assert stages.row("hold").pairing_id == stages.ids["p1"]
    assert "0.2 MΩ from a supply line to the frame" in done.remarks[0]
    assert stages.unlike() == []


def test_photos_of_a_carton_and_of_an_inspection_go_with_the_half(stages: Stage):
    ready(stages, "p1 s", files=[PHOTO_GIVEN])
    inspected(stages, "p1 s", files=[PHOTO_GIVEN])
    kept = {(row.purpose, row.half_id) for row in stages.rows("attachment")}
    assert kept == {("carton", stages.ids["p1 s"]), ("inspection", stages.ids["p1 s"])}
    assert stages.unlike() == []


def test_photos_of_a_carton_without_a_half_have_nowhere_to_go(stage: Stage):
    stage.do("record_delivery", "9 06:00", name="delivery", sender="A", reference="D", site="shed", cartons=1)
    with pytest.raises(Refused, match="no half is named"):
        stage.do("record_carton", "9 06:00", delivery="delivery", number=1, files=[PHOTO_GIVEN], **SOUND)
