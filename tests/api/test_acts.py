"""Acts over JSON: 201, then 200 with the same entry; the go / no-go; the order in which faults are told."""

import json

import pytest

from registry.acts.act import ACTS
from tests.web.doors import Doors, codes_of, new_id, problem_of
from tests.web.spelling import EXAMPLES, example
from tests.web.spoilt import EVERYWHERE, TYPES, Spoilt, shown, spelt


def entries(doors: Doors) -> list[dict]:
    return [json.loads(bytes(row.entry)) for row in sorted(doors.rows("log_entry"), key=lambda row: row.seq)]


@pytest.mark.parametrize("act", EXAMPLES)
def test_an_act_is_in_the_log_once_however_often_it_is_sent(act: str, lived: Doors):
    api, sent, size = lived.api(EXAMPLES[act].by), example(lived.world, act), lived.size()
    first, again = api.act(sent), api.act(sent)
    assert (first.status_code, again.status_code) == (201, 200)
    assert (first.json["again"], again.json["again"]) == (False, True)
    assert first.json["entry"] == again.json["entry"] == entries(lived)[-1]
    assert first.headers["Location"] == f"/api/v1/log/{size + 1}"
    assert api.client.get(first.headers["Location"], headers=api.headers).json == first.json["entry"]
    assert lived.size() == size + 1
    assert (first.json["entry"]["act"], first.json["entry"]["via"]) == (act, "json")


@pytest.mark.parametrize("act", EXAMPLES)
def test_the_go_no_go_says_go_and_writes_nothing(act: str, untouched: Doors):
    answer = untouched.api(EXAMPLES[act].by).check(example(untouched.world, act))
    assert answer.status_code == 200
    assert answer.json | {"remarks": [], "decided": {}} == {"go": True, "reasons": [], "remarks": [], "decided": {}}


def test_the_same_id_with_other_fields_is_refused(lived: Doors):
    api, sent = lived.api("ida"), example(lived.world, "note_fault")
    assert api.act(sent).status_code == 201
    assert codes_of(api.act(sent | {"words": "two loose screws"})) == ["conflicting_replay"]
    assert api.check(sent).json["remarks"] == ["This act is in the log already."]
    assert api.check(sent | {"words": "other"}).json["reasons"][0]["code"] == "conflicting_replay"


def test_an_act_id_that_somebody_else_used_is_refused(lived: Doors):
    sent = example(lived.world, "note_fault")
    assert lived.api("ida").act(sent).status_code == 201
    answer = lived.api("yusuf").act(sent | {"words": "mine"})
    assert (answer.status_code, codes_of(answer)) == (409, ["conflicting_replay"])


@pytest.mark.parametrize("case", EVERYWHERE, ids=shown)
def test_a_fault_is_told_with_its_code_its_field_and_a_sentence(case: Spoilt, untouched: Doors):
    text = spelt(untouched, case.text)
    sent = example(untouched.world, case.act) | {case.field: text}
    answer = untouched.api(EXAMPLES[case.act].by).act(sent)
    told = problem_of(answer)
    assert (answer.status_code, told["code"]) == (case.status, case.code)
    reason = next(one for one in told["reasons"] if one["field"] == case.field)
    if case.field != "offset_min":  # here a number travels as a number: see TYPES
        assert case.says in reason["message"] + " " + reason.get("next", "")


@pytest.mark.parametrize(
    ("act", "field", "value", "code", "says"),
    TYPES,
    ids=[f"{act} {field[:20]} {str(value)[:20]!r}" for act, field, value, *_ in TYPES],
)
def test_a_value_of_another_type_is_refused(
    act: str, field: str, value: object, code: str, says: str, untouched: Doors
):
    sent = example(untouched.world, act) | {field: value}
    answer = untouched.api(EXAMPLES[act].by).act(sent)
    told = problem_of(answer)
    assert (answer.status_code, told["code"]) == (422, code), told
    assert any(says in reason["message"] for reason in told["reasons"]), [
        reason["message"] for reason in told["reasons"]
    ]
    assert len(answer.data) < 5000
    checked = untouched.api(EXAMPLES[act].by).check(sent)
    assert (checked.status_code, codes_of(checked)) == (422, codes_of(answer))


@pytest.mark.parametrize("version", [0, 2, -1, "1", 1.5, True, None, [], 10**12])
def test_a_version_that_is_not_known_is_refused(version: object, untouched: Doors):
    answer = untouched.api("ida").act(example(untouched.world, "note_fault") | {"version": version})
    assert (answer.status_code, codes_of(answer)) == (422, ["unknown_version"])


@pytest.mark.parametrize(
    "name", ["nothing", "", 7, None, ["note_fault"], {"a": 1}, "note_fault ", "NOTE_FAULT", "x" * 1_000_000]
)
def test_an_act_that_is_not_one_is_refused(name: object, untouched: Doors):
    answer = untouched.api("ida").act(example(untouched.world, "note_fault") | {"act": name})
    assert (answer.status_code, codes_of(answer)) == (422, ["unknown_act"])
    assert len(answer.data) < 1000


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (b"", "application/json"), (b"{", "application/json"), (b"[]", "application/json"), (b'"x"', "application/json"), (b"null", "application/json"), (b"7", "application/json"),
        (b"\xff\xfe{}", "application/json"), (b'{"act": "note_fault"}', "text/plain"), (b"act=note_fault", "application/x-www-form-urlencoded"), (b'{"act": 1}{"act": 2}', "application/json"),
        (b'{"a": ' + b"9" * 5000 + b"}", "application/json"),
    ],
)  # fmt: skip
def test_what_is_not_an_object_is_refused_as_not_json(body: bytes, kind: str, untouched: Doors):
    api = untouched.api("ida")
    for path in ("/api/v1/acts", "/api/v1/acts/check", "/api/v1/match"):
        answer = api.client.post(path, data=body, content_type=kind, headers=api.headers)
        assert (answer.status_code, codes_of(answer)) == (400, ["not_json"]), path


@pytest.mark.parametrize(
    "text",
    [
        '{"act": "note_fault", "seen": 1e400}',
        '{"act": "note_fault", "seen": NaN}',
        '{"act": "note_fault", "seen": 9007199254740993}',
        '{"act": "note_fault", "seen": 1' + "0" * 400 + "}",
    ],
)
def test_a_number_that_cannot_be_kept_is_refused(text: str, untouched: Doors):
    api = untouched.api("ida")
    answer = api.client.post("/api/v1/acts", data=text, content_type="application/json", headers=api.headers)
    assert (answer.status_code, codes_of(answer)) == (422, ["wrong_form"])
    assert answer.json["reasons"][0]["next"] == "Send large numbers as text."


def test_more_than_the_registry_takes_is_refused(untouched: Doors):
    api = untouched.api("ida")
    answer = api.client.post(
        "/api/v1/acts", data=b'{"x":"' + b"x" * 2_200_000 + b'"}', content_type="application/json", headers=api.headers
    )
    assert (answer.status_code, codes_of(answer)) == (413, ["too_large"])


def test_faults_are_told_in_the_order_in_which_a_sender_can_mend_them(untouched: Doors):
    """Shape first, then who, then the state of things; a stranger is told nothing but that."""
    sent = untouched.world.sent("install_pair", "18 09:00", bay="burdock B", sensor="p5 s", electronics="p5 e")
    wrong = sent | {"sensor": "nothing"}
    assert untouched.api("anselm").act(wrong | {"colour": 1}).status_code == 422
    assert codes_of(untouched.api("anselm").act(wrong)) == ["unknown_label"]
    refused = untouched.api("anselm").act(sent)
    assert refused.status_code == 403
    assert {"not_allowed", "bay_taken"} <= set(codes_of(refused))
    assert problem_of(refused)["code"] == "not_allowed"
    assert untouched.api("oda").act(sent).status_code == 409
    assert problem_of(untouched.api("oda").act(sent))["code"] == "bay_taken"


def test_the_go_no_go_of_what_cannot_be_read_is_refused_and_of_what_cannot_be_resolved_is_no_go(untouched: Doors):
    sent = untouched.world.sent("install_pair", "18 09:00", bay="burdock B", sensor="nothing", electronics="p5 e")
    asked = untouched.api("ida").check(sent)
    assert (asked.status_code, asked.json["go"]) == (200, False)
    assert [(r["code"], r["field"]) for r in asked.json["reasons"]] == [("unknown_label", "sensor")]
    assert untouched.api("ida").check(sent | {"bay": 7}).status_code == 422


# the refusals the product exists for


def test_a_mixed_pair_is_refused_naming_both_right_partners(untouched: Doors):
    sent = untouched.world.sent("install_pair", "18 09:00", bay="burdock A", sensor="p5 s", electronics="p1 e")
    for already in ({}, {"already_done": True, "why_out_of_order": "it is in there"}):
        answer = untouched.api("ida").act(sent | {"id": new_id()} | already)
        told = problem_of(answer)
        mixed = next(reason for reason in told["reasons"] if reason["code"] == "mixed_pair")
        assert answer.status_code == 409
        for name, where in (("p5 e", "at North shed, shelf 2"), ("p1 s", "in Teasel, bay A, since 10 May 2026")):
            code = untouched.code(name)
            assert f"{code[:4]}\u202f{code[4:]}, {where}." in mixed["message"]
        assert mixed["offer"] == {
            "act": "record_sighting",
            "label": "Record what is in the hull",
            "fields": {"bay": untouched.world.ids["burdock A"]},
        }
        asked = untouched.api("ida").check(sent | {"id": new_id()} | already)
        assert "mixed_pair" in [reason["code"] for reason in asked.json["reasons"]]


def test_the_offer_of_a_refusal_is_an_act_that_is_taken(lived: Doors):
    sent = lived.world.sent("install_pair", "18 09:00", bay="burdock A", sensor="p5 s", electronics="p1 e")
    offer = next(reason["offer"] for reason in problem_of(lived.api("ida").act(sent))["reasons"] if "offer" in reason)
    halves = {"sensor": lived.code("p5 s"), "electronics": lived.code("p1 e")}
    told = {
        "act": offer["act"],
        "version": 1,
        "id": new_id(),
        "happened_at": "2026-05-18T09:05:00Z",
        **offer["fields"],
        **halves,
    }
    answer = lived.api("ida").act(told)
    assert answer.status_code == 201
    assert len(answer.json["remarks"]) == 3
    stops = [
        finding["code"]
        for finding in lived.api("ida").get(f"/vehicles/{lived.code('burdock')}").json["findings"]
        if finding["severity"] == "stops"
    ]
    assert "discrepancy" in stops


SOFT = [
    ("no_esd_signoff", {"by": "yusuf"}),
    ("on_hold", {"sensor": "p3 s", "electronics": "p3 e"}),
    ("type_not_accepted", {"sensor": "p4 s", "electronics": "p4 e"}),
    ("not_allowed", {"by": "vera"}),
]


@pytest.mark.parametrize(("code", "told"), SOFT, ids=[code for code, _ in SOFT])
def test_what_gives_way_is_refused_first_and_then_entered_as_out_of_order(
    code: str, told: dict[str, str], lived: Doors
):
    who = told.get("by", "ida")
    halves = {name: told.get(name, default) for name, default in (("sensor", "p5 s"), ("electronics", "p5 e"))}
    sent = lived.world.sent("install_pair", "18 09:00", bay="burdock A", **halves)
    api = lived.api(who)
    refused = api.act(sent)
    assert code in codes_of(refused)
    unreasoned = api.act(sent | {"already_done": True})
    assert (unreasoned.status_code, codes_of(unreasoned)) == (422, ["needs_reason"])
    taken = api.act(sent | {"already_done": True, "why_out_of_order": "the weather window closed"})
    assert taken.status_code == 201
    assert code in [reason["code"] for reason in taken.json["entry"]["decided"]["out_of_order"]]
    held = [
        row
        for row in lived.rows("hold")
        if row.cause == "out_of_order" and row.pairing_id == taken.json["entry"]["decided"]["pairing"]
    ]
    assert len(held) == 1
    assert "the weather window closed" in held[0].reason
    burdock = api.get(f"/vehicles/{lived.code('burdock')}").json
    assert burdock["severity"] == "stops"
    assert "on_hold" in [finding["code"] for finding in burdock["findings"]]


def test_already_done_without_anything_to_override_leaves_no_mark(lived: Doors):
    sent = lived.world.sent(
        "install_pair", "18 09:00", bay="burdock A", sensor="p5 s", electronics="p5 e", already_done=True
    )
    taken = lived.api("ida").act(sent)
    assert taken.status_code == 201
    assert "out_of_order" not in taken.json["entry"]["decided"]


def test_every_act_of_the_catalogue_was_sent(untouched: Doors):
    assert set(EXAMPLES) | {"found_outfit"} == set(ACTS)
    sent = untouched.world.sent("found_outfit", outfit="Second", private={"name": "Zoe"})
    assert codes_of(untouched.api("maren").act(sent)) == ["already_known"]


@pytest.mark.parametrize("path", ["/acts", "/acts/check", "/match"])
def test_brackets_without_end_are_refused(path: str, untouched: Doors):
    api = untouched.api("ida")
    deep = '{"labels":' + "[" * 100_000 + "]" * 100_000 + "}"
    answer = api.post(path, data=deep, content_type="application/json")
    assert answer.status_code in (400, 422)
    assert codes_of(answer)


@pytest.mark.parametrize("version", [None, True, []])
def test_a_version_that_is_not_a_number_is_told_without_words_of_a_programming_language(
    version: object, untouched: Doors
):
    answer = untouched.api("ida").act({"act": "note_fault", "version": version})
    assert not any(word in answer.json["detail"] for word in ("None", "True", "[]"))


def test_a_half_in_a_sealed_carton_is_refused_with_the_act_that_comes_next(untouched: Doors):
    sent = untouched.world.sent("install_pair", "18 09:00", bay="burdock A", sensor="p6 s", electronics="p6 e")
    answer = untouched.api("ida").post("/acts/check", sent)
    told = [one for one in answer.json["reasons"] if one["code"] == "not_accepted"]
    assert [(one["field"], one["offer"]["act"]) for one in told] == [
        ("sensor", "open_carton"),
        ("electronics", "open_bag"),
    ]
