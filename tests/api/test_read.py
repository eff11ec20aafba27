"""Pictures over JSON: every symbol in one with what it is, as `resolve` tells of one text."""

from werkzeug.test import TestResponse

from tests.drawing import bench, maker_text, our_symbol, saved, symbol
from tests.web.doors import Doors, codes_of, problem_of


def read(doors: Doors, data: bytes, kind: str = "image/jpeg", who: str | None = "ida") -> TestResponse:
    return doors.api(who).post("/read", data=data, content_type=kind)


def test_every_symbol_is_told_with_its_elements_and_what_it_is(untouched: Doors):
    code = untouched.code("p1 s")
    photo = saved(bench([our_symbol(code), symbol(maker_text("AR-3100-C", "S-77001"))], columns=2))
    answer = read(untouched, photo)
    assert answer.status_code == 200
    ours, theirs = answer.json["symbols"]
    assert (ours["symbology"], ours["kind"], ours["code"], ours["copy"]) == ("QR Code", "half", code, 0)
    assert (theirs["symbology"], theirs["kind"], theirs["label"]["aim"]) == ("Data Matrix", "unknown", "]d1")
    assert theirs["label"]["elements"] == [["17V", "7K2Q9"], ["1P", "AR-3100-C"], ["S", "S-77001"]]
    assert theirs["label"]["identity"]["serial"] == "S-77001"
    assert len(theirs["corners"]) == 4


def test_a_symbol_is_told_as_resolve_tells_its_text(untouched: Doors):
    (told,) = read(untouched, saved(symbol(maker_text("RS-100", "p1-s")))).json["symbols"]
    resolved = untouched.api("ida").get("/resolve", text=told["text"]).json
    assert {name: told[name] for name in resolved} == resolved


def test_what_was_read_can_be_sent_on_for_the_verdict(untouched: Doors):
    photo = saved(bench([our_symbol(untouched.code(name)) for name in ("p1 s", "p2 e")], columns=2))
    labels = [one["text"] for one in read(untouched, photo).json["symbols"]]
    assert untouched.api("ida").post("/match", {"labels": labels}).json["verdict"] == "mixed"


def test_a_copy_is_told_as_a_copy(untouched: Doors):
    (told,) = read(untouched, saved(our_symbol(untouched.code("p1 s"), copy=3))).json["symbols"]
    assert (told["kind"], told["copy"]) == ("half", 3)


def test_refusals_have_the_one_shape_and_name_the_photo(untouched: Doors):
    for data, kind, status, code in (
        (b"hello", "image/jpeg", 422, "not_a_photo"),
        (b"", "image/png", 422, "missing_field"),
        (b"{}", "application/json", 422, "not_a_photo"),
        (saved(symbol("S1").point(lambda _shade: 200)), "image/jpeg", 422, "no_symbol"),
        (b"x" * (17 * 1024 * 1024), "image/jpeg", 413, "too_large"),
    ):
        told = problem_of(read(untouched, data, kind))
        assert (told["status"], told["code"], told["reasons"][0]["field"]) == (status, code, "photo")
        assert told["reasons"][0]["next"]


def test_a_picture_of_unsaid_type_is_judged_by_its_content(untouched: Doors):
    data = saved(symbol("S0012345"))
    assert read(untouched, data, "application/octet-stream").json["symbols"][0]["text"] == "]d1S0012345"


def test_a_stranger_s_picture_is_not_read(untouched: Doors):
    assert codes_of(read(untouched, b"x" * 100, who=None)) == ["not_signed_in"]


def test_the_body_is_described(untouched: Doors):
    described = untouched.api("ida").get("/openapi.json").json["paths"]["/read"]["post"]["requestBody"]
    assert set(described["content"]) == {"image/jpeg", "image/png", "image/webp"}
