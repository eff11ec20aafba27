"""Bad input on the pages: a sentence beside its field and once on top, the right status, everything typed kept, nothing
written."""

import pytest

from registry.errors import CODES
from tests.web.doors import PIN, Doors, new_id
from tests.web.spelling import EXAMPLES, as_form, example
from tests.web.spoilt import EVERYWHERE, Spoilt, shown, spelt

#: Words of the library beneath, which nobody should have to read.
FOREIGN_WORDS = ("Input should", "validation", "pydantic", "string_", "value_error", "ctx", "NoneType", "Traceback")


@pytest.mark.parametrize("case", EVERYWHERE, ids=shown)
def test_a_page_tells_the_fault_beside_its_field_and_keeps_what_was_typed(case: Spoilt, untouched: Doors):
    told = as_form(example(untouched.world, case.act))
    text = spelt(untouched, case.text)
    answer = untouched.visitor(EXAMPLES[case.act].by).act(case.act, **(told | {case.field: text}))
    assert answer.status == case.status
    assert any(case.says in sentence for sentence in answer.told()), answer.told()
    assert answer.beside(case.field)
    if case.field not in ("cause", "unit_type", "hold"):  # a choice that is not offered cannot be shown as chosen
        kept = answer.form(f"/act/{case.act}").value(case.field)
        assert kept.replace("\r\n", "\n") == text
    assert not any(word in sentence for word in FOREIGN_WORDS for sentence in answer.told())
    assert len(answer.text) < 1_200_000


def test_every_code_of_the_table_is_refused_with_the_status_of_its_kind():
    assert {case.act: case.status for case in EVERYWHERE if case.status != CODES[case.code].status} == {}


def test_every_fault_of_form_is_told_at_once(untouched: Doors):
    answer = untouched.visitor("ida").act(
        "record_leak_test", housing="", start_mbar="x", start_c="y", end_mbar="", end_c="z", hold_min="0"
    )
    fields = [
        name for name in ("housing", "start_mbar", "start_c", "end_mbar", "end_c", "hold_min") if answer.beside(name)
    ]
    assert (answer.status, fields) == (422, ["housing", "start_mbar", "start_c", "end_mbar", "end_c", "hold_min"])
    assert answer.root.one("p", cls="figure").words == "6 reasons all must go"


def test_shape_is_judged_before_the_role_and_the_role_before_the_state(lived: Doors):
    told = {"bay": lived.code("burdock B"), "sensor": lived.code("p5 s"), "electronics": lived.code("p5 e"), "pin": PIN}
    assert lived.visitor("anselm").act("install_pair", **(told | {"sensor": "nothing"})).status == 422
    assert lived.visitor("anselm").act("install_pair", **told).status == 403
    assert lived.visitor("oda").act("install_pair", **told).status == 409


def test_a_form_larger_than_anything_is_told_so(untouched: Doors):
    visitor = untouched.visitor("ida")
    answer = visitor.post("/act/note_fault", {"csrf_token": visitor.token(), "words": "x" * 3_000_000})
    assert (answer.status, answer.heading) == (413, "This is larger than anything the registry takes.")


def test_a_form_without_its_fields_asks_for_them(untouched: Doors):
    visitor = untouched.visitor("ida")
    answer = visitor.post("/act/note_fault", {"csrf_token": visitor.token(), "id": new_id()})
    assert answer.status == 422
    assert "“Half” is missing. Fill it in." in answer.told()
    assert "“What was seen” is missing. Fill it in." in answer.told()


@pytest.mark.parametrize("told", [{"seen": "x"}, {"seen": "-1"}, {"seen": "9" * 400}, {"happened_at": "\x00"}])
def test_hidden_fields_that_were_tampered_with_do_no_harm(told: dict[str, str], untouched: Doors):
    visitor = untouched.visitor("ida")
    page = visitor.get("/act/note_fault")
    answer = visitor.send(page, page.form("/act/note_fault"), half="nothing at all", words="hums", **told)
    assert (answer.status, answer.faults) == (422, [])


@pytest.mark.parametrize("act", ["add_unit_type", "amend_times"])
def test_more_rows_than_a_list_can_have_are_refused(act: str, untouched: Doors):
    visitor = untouched.visitor("oda")
    rows = (
        {f"class_limits-{n}-value": "1" for n in range(30)}
        if act == "add_unit_type"
        else {f"changes-{n}-act": "x" for n in range(30)}
    )
    answer = visitor.post(f"/act/{act}", {"csrf_token": visitor.token(), "pin": PIN, "id": new_id(), **rows})
    assert answer.status == 422
    assert any("at most 20 can be given at once" in told for told in answer.told())


def test_an_act_that_is_not_one_is_not_found(untouched: Doors):
    visitor = untouched.visitor("ida")
    for name in ("nothing", "Found_outfit", "found_outfit", "%00", "a" * 5000, "__class__"):
        assert visitor.post(f"/act/{name}", {"csrf_token": visitor.token()}).status == 404


@pytest.mark.parametrize("id_", ["", "x", "../etc", "0" * 36, "x" * 36])
def test_a_form_whose_id_was_lost_is_told_so(id_: str, untouched: Doors):
    ida = untouched.visitor("ida")
    answer = ida.post(
        "/act/note_fault", {"csrf_token": ida.token(), "id": id_, "half": untouched.code("p1 s"), "words": "hums"}
    )
    assert answer.status == 422


@pytest.mark.parametrize("path", ["/holds/{}", "/esd/{}"])
def test_an_address_with_something_like_an_id_is_not_found(path: str, untouched: Doors):
    assert untouched.visitor("ida").get(path.format("x" * 36)).status == 404


def test_a_fault_of_ours_is_told_in_our_own_words(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(untouched.app.view_functions, "fleet.every", lambda: 1 // 0)
    page = untouched.visitor("ida").get("/fleet")
    assert page.status == 500
    assert "error" not in page.words.lower()
    assert "keeper" in page.words.lower()
