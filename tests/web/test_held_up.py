"""What holds receiving up, through the page and over JSON: each is told with what to do next, and none is got round."""

import pytest

from tests.web.doors import PIN, Doors, codes_of

SEEN = {"condition": "sound", "shock": "clear", "tilt": "clear", "seal": "whole"}
ACCEPT = {"bag": "closed", "outcome": "accept"}


def told(answer) -> str:
    return " ".join(f"{one['message']} {one.get('next') or ''}" for one in answer.json["reasons"])


@pytest.fixture
def open_bag(lived: Doors) -> Doors:
    """The bag of `p6 e` is open on the mat, since this morning."""
    lived.world.sign("ida", "20 08:00", station="bench")
    lived.world.do("open_bag", "20 08:30", carton="open carton")
    return lived


def inspection(doors: Doors, label: str, **more: str) -> dict:
    return doors.world.sent("inspect_half", "20 09:00", carton="open carton", label=label) | ACCEPT | more


def test_a_bag_before_the_sign_off_stays_shut_and_the_readings_are_next(lived: Doors):
    ida, carton = lived.visitor("ida"), lived.world.ids["open carton"]
    page = ida.act("open_bag", carton=carton, pin=PIN, happened_at="2026-05-20T09:00")
    assert page.status == 409
    assert any(
        "Take the readings and sign for yourself before the bag or the hull is opened." in one for one in page.told()
    )
    sent = lived.world.sent("open_bag", "20 09:00", carton="open carton")
    assert codes_of(lived.api("ida").act(sent)) == ["no_esd_signoff"]
    assert all(row.carton_id != carton for row in lived.rows("bag_opening"))
    lived.world.sign("yusuf", "20 08:40")
    assert codes_of(lived.api("ida").act(sent)) == ["no_esd_signoff"], "nobody signs for another"
    lived.world.sign("ida", "20 08:50")
    assert lived.api("ida").act(sent).status_code == 201


def test_the_wrong_partner_in_the_carton_is_held_with_the_half_it_should_be(open_bag: Doors):
    """The part bears another label than the carton: nearly right is wrong."""
    ida, other = open_bag.visitor("ida"), open_bag.code("p1 e")
    carton = open_bag.world.ids["open carton"]
    page = ida.act("inspect_half", carton=carton, label=other, pin=PIN, happened_at="2026-05-20T09:00", **ACCEPT)
    assert page.status == 409
    assert "Nearly right is wrong. Choose hold or reject" in page.beside("label")[0]
    sent = inspection(open_bag, other)
    assert codes_of(open_bag.api("ida").act(sent)) == ["carton_differs"]
    done = open_bag.api("ida").act(inspection(open_bag, other, outcome="hold", words="the part says E-p1"))
    assert done.status_code == 201
    for name in ("p6 e", "p6 s"):
        assert "Receiving inspection, on hold: the part says E-p1" in ida.get(f"/halves/{open_bag.code(name)}").words
    assert ida.get("/pairs/p6").heading == "p6 is on hold."


@pytest.mark.parametrize("label", ["E-p?", "[)>0617VARDLUNE1PRE-200SE-p6"], ids=["scratched", "separators lost"])
def test_a_damaged_label_is_no_reason_to_accept_and_may_be_held_as_it_was_read(label: str, open_bag: Doors):
    ida, carton = open_bag.visitor("ida"), open_bag.world.ids["open carton"]
    page = ida.act("inspect_half", carton=carton, label=label, pin=PIN, happened_at="2026-05-20T09:00", **ACCEPT)
    assert page.status == 409 and page.beside("label")
    assert codes_of(open_bag.api("ida").act(inspection(open_bag, label))) == ["carton_differs"]
    held = inspection(open_bag, label, outcome="hold", words="the plate is scratched")
    assert open_bag.api("ida").act(held).status_code == 201
    assert next(row.label for row in open_bag.rows("inspection") if row.carton_id == carton) == label


def test_the_same_serial_of_two_makers_is_chosen_by_a_person_on_the_page_and_over_json(open_bag: Doors):
    open_bag.world.do(
        "add_unit_type", "2 09:00", by="oda", name="willow", maker="Velloway", type_name="Willow",
        sensor_part="V-1", electronics_part="V-2", accepts=["letter"],
    )  # fmt: skip
    for name, unit_type, maker, part in (
        ("ours", "reed", "Ardlune", "RE-200"),
        ("theirs", "willow", "Velloway", "V-2"),
    ):
        label = {"kind": "electronics", "site": "shed", "serial": "4711", "maker": maker, "part": part}
        open_bag.world.do("receive_half", "19 09:00", by="oda", name=name, unit_type=unit_type, **label)
    page = open_bag.visitor("ida").act("place_hold", half="4711", reason="it hums")
    assert page.status == 422
    assert "Scan the half’s own code, or type the serial with maker and part." in page.beside("half")[0]
    api = open_bag.api("ida")
    answer = api.act(open_bag.world.sent("place_hold", "20 09:00", half="4711", reason="it hums"))
    assert codes_of(answer) == ["ambiguous_label"]
    near = api.get("/resolve", text="4711").json
    assert (near["kind"], set(near["near"])) == ("ambiguous", {open_bag.code("ours"), open_bag.code("theirs")})
    carton = open_bag.visitor("ida").act(
        "inspect_half", carton=open_bag.world.ids["open carton"], label="4711", pin=PIN, happened_at="2026-05-20T09:00", **ACCEPT
    )  # fmt: skip
    assert carton.status == 409, "a serial two halves bear proves neither"


def test_one_half_that_is_missing_keeps_the_other_apart_until_it_comes(lived: Doors):
    """One carton of two has come. It says what is missing, is opened only with a word why, and is not installed."""
    ida, api, world = lived.visitor("ida"), lived.api("ida"), lived.world
    world.add_pair("p7")
    world.do(
        "record_delivery", "19 09:00", name="half of it", sender="Ardlune", reference="DN-8", site="shed", cartons=2
    )
    world.do("record_carton", "19 09:10", name="first", delivery="half of it", number=1, half="p7 s", **SEEN)
    page = ida.get("/deliveries/DN-8")
    assert "Not entered yet carton 2" in page.words
    assert api.get("/deliveries/DN-8").json["missing"] == [2]
    world.sign("ida", "20 08:00")
    install = world.sent("install_pair", "20 09:00", bay="burdock A", sensor="p7 s", electronics="p7 e")
    assert codes_of(api.act(install)) == ["not_accepted"]
    assert "it stands sealed in carton 1 of DN-8" in told(api.act(install))
    world.do("end_pairing", "19 10:00", by="oda", pair="p7", why="lost")
    world.do("add_station", "19 08:00", by="oda", name="clear", site="shed", station="Bench 4", kind="protected_area")
    alone = {"carton": world.ids["first"], "station": world.ids["clear"], "happened_at": "2026-05-20T09:00"}
    refused = ida.act("open_carton", **alone)
    assert refused.status == 409
    assert "nobody can say which carton belongs to it" in refused.beside("carton")[0]
    opened = ida.act("open_carton", **alone, alone="its partner is still on the way")
    assert opened.status == 303
    assert "Comes alone: its partner is still on the way" in ida.get("/deliveries/DN-8").words
