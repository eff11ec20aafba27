"""Tokens: for programs, shown once, kept as a hash, ended at once; whoever has one has the person's own roles."""

import pytest

from registry import passwords
from tests.web.doors import PASSWORD, Doors, codes_of


def make(doors: Doors, label: str = "bench computer") -> tuple[str, str]:
    """(the token as shown, its id)."""
    visitor = doors.visitor("ida")
    page = visitor.get("/me")
    answer = visitor.send(page, page.form("/me/tokens"), label=label, password_now=PASSWORD)
    assert answer.status == 200
    return answer.root.one("main").one("code").words, doors.rows("token")[-1].id


def ask(doors: Doors, header: str, path: str = "/api/v1/fleet"):
    return doors.app.test_client().get(path, headers={"Authorization": header})


def test_a_token_is_shown_once_and_opens_the_api(doors: Doors):
    token, _id = make(doors)
    assert ask(doors, f"Bearer {token}").status_code == 200
    assert ask(doors, f"bearer   {token}").status_code == 200
    assert token not in doors.visitor("ida").get("/me").text
    assert "bench computer" in doors.visitor("ida").get("/me").words


def test_the_registry_keeps_the_hash_and_not_the_token(doors: Doors):
    token, id_ = make(doors)
    row = doors.rows("token")[0]
    assert (row.id, bytes(row.key_sha)) == (id_, passwords.sha(token))
    assert token.startswith("pb_")
    assert len(token) >= 46
    for path in doors.instance.home.rglob("*"):
        assert path.is_dir() or token.encode() not in path.read_bytes()


def test_a_token_that_was_ended_opens_nothing_from_the_next_request_on(doors: Doors):
    token, id_ = make(doors)
    visitor = doors.visitor("ida")
    page = visitor.get("/me")
    answer = visitor.send(page, page.form(f"/me/tokens/{id_}/end"))
    assert visitor.follow(answer).flashes == ["That token opens nothing any more."]
    refused = ask(doors, f"Bearer {token}")
    assert (refused.status_code, codes_of(refused)) == (401, ["not_signed_in"])
    assert refused.json["reasons"][0]["message"] == "That token opens nothing: it was ended, or it was copied wrong."


@pytest.mark.parametrize(
    "header",
    [
        "Bearer",
        "Bearer ",
        "Bearer pb_nothing",
        "Basic aWRhOnBpbg==",
        "pb_nothing",
        "Bearer " + "x" * 100_000,
        "Bearer \x01",
        "Token pb_x",
    ],
)
def test_anything_else_in_its_place_is_refused_also_on_open_pages(header: str, doors: Doors):
    for path in ("/api/v1/fleet", "/api/v1/openapi.json"):
        refused = ask(doors, header, path)
        assert (refused.status_code, codes_of(refused)) == (401, ["not_signed_in"])
    assert ask(doors, header, "/fleet").status_code == 401


def test_a_wrong_token_is_not_helped_by_a_session(doors: Doors):
    visitor = doors.visitor("ida")
    assert visitor.client.get("/api/v1/fleet", headers={"Authorization": "Bearer pb_nothing"}).status_code == 401


def test_a_token_of_somebody_who_left_opens_nothing(doors: Doors):
    token, _id = make(doors)
    doors.world.do("record_departure", "20 11:00", by="maren", person="ida")
    assert ask(doors, f"Bearer {token}").status_code == 401


def test_making_and_ending_a_token_is_noted(doors: Doors):
    _token, id_ = make(doors, "x" * 500)
    visitor = doors.visitor("ida")
    visitor.post(f"/me/tokens/{id_}/end", {"csrf_token": visitor.token()})
    assert [row.what for row in doors.rows("security_event")][-2:] == ["token made", "token ended"]
    assert len(doors.rows("token")[0].label) == 200


def test_a_token_without_words_says_so(doors: Doors):
    make(doors, "  ")
    assert "no name" in doors.visitor("ida").get("/me").words


def test_a_phone_left_lying_makes_no_token(doors: Doors):
    """A token does everything its owner may do: it is made by who knows the password, not by who holds the phone."""
    visitor = doors.visitor("ida")
    page = visitor.get("/me")
    answer = visitor.send(page, page.form("/me/tokens"), label="x", password_now="nothing like it")
    assert (answer.status, doors.rows("token")) == (401, [])
    assert answer.root.one("input", name="label").attrs["value"] == "x"


def test_an_act_that_asks_for_a_pin_asks_for_it_over_json_by_session_too(lived: Doors):
    ida = lived.visitor("ida")
    sent = lived.world.sent("close_housing", "18 09:00", housing="teasel forward")
    answer = ida.client.post("/api/v1/acts", json=sent, headers={"X-CSRFToken": ida.token()})
    assert answer.status_code in (401, 403, 422)


def test_a_program_without_a_token_is_told_that_it_needs_one(untouched: Doors):
    for path in ("/acts", "/acts/check", "/match"):
        answer = untouched.api().post(path, {})
        assert (answer.status_code, codes_of(answer)) == (401, ["not_signed_in"])
