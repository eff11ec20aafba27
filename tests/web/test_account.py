"""Signing in and handing over, one's own secrets and tokens, the light of the page."""

from datetime import timedelta

import pytest

from registry import accounts, passwords
from registry.accounts import SESSION_DAYS
from registry.passwords import PASSWORD_LEAST
from tests.web.doors import PASSWORD, PIN, Doors, Page, Visitor

NEW = "quite another phrase"


def sign_in(visitor: Visitor, name: str = "Ida", password: str = PASSWORD, next_: str = "") -> Page:
    page = visitor.get("/sign-in", query_string={"next": next_} if next_ else {})
    return visitor.send(page, page.form(method="post"), name=name, password=password)


def key_of(visitor: Visitor) -> str | None:
    with visitor.client.session_transaction() as session:
        return session.get("key")


# signing in


@pytest.mark.parametrize("name", ["Ida", " Ida ", "code"])
def test_a_name_or_a_code_with_the_password_opens_the_scan_line(name: str, doors: Doors):
    visitor = doors.stranger()
    answer = sign_in(visitor, doors.code("ida") if name == "code" else name)
    assert (answer.status, answer.response.headers["Location"]) == (303, "/")
    assert visitor.follow(answer).heading == "Scan anything."
    assert "Signed in as Ida, technician." in visitor.get("/").root.one("footer").words


def test_a_badge_opens_too(doors: Doors):
    doors.world.do("rename_person", "20 09:00", by="maren", person="ida", private={"name": "Ida", "badge": "HSS-7"})
    assert sign_in(doors.stranger(), "HSS-7").status == 303


@pytest.mark.parametrize(
    ("name", "password"),
    [
        ("Ida", "wrong words here"),
        ("Nobody", PASSWORD),
        ("", ""),
        ("Ida", ""),
        ("IDA", PASSWORD),
        ("Ida\x00", PASSWORD),
    ],
)
def test_a_wrong_name_and_a_wrong_password_are_told_apart_by_nobody(name: str, password: str, doors: Doors):
    visitor = doors.stranger()
    answer = sign_in(visitor, name, password)
    assert answer.status == 401
    assert (
        answer.root.one("p", role="alert").words
        == "That name and password do not belong together. Type it again. What you entered is kept."
    )
    assert key_of(visitor) is None
    assert password not in answer.text or not password


def test_somebody_who_left_is_told_to_ask_a_keeper(doors: Doors):
    doors.world.do("record_departure", "20 09:00", by="maren", person="ida")
    answer = sign_in(doors.stranger())
    assert (answer.status, answer.root.one("p", role="alert").words) == (401, "This account has ended. Ask a keeper.")


def test_the_session_that_was_there_before_is_not_carried_on(doors: Doors):
    """Whoever put a session into this browser beforehand knows nothing of the one that is signed in."""
    visitor = doors.stranger()
    planted = accounts.sign_in(doors.instance.database, "Anselm", PASSWORD, doors.world.now)[1]
    with visitor.client.session_transaction() as session:
        session.update(key=planted, planted="yes")
    old_token = visitor.get("/me").root.all("input", name="csrf_token")[0].attrs["value"]
    sign_in(visitor, "Ida")
    with visitor.client.session_transaction() as session:
        assert session["key"] != planted
        assert "planted" not in session
    assert visitor.get("/me").heading == "Ida"
    assert visitor.post("/light", {"light": "red", "csrf_token": old_token}).status == 400


@pytest.mark.parametrize("next_", ["/fleet", "/bays/K0000000/swap?sensor_in=x", "/pairs/p1"])
def test_after_signing_in_one_is_where_one_wanted_to_go(next_: str, doors: Doors):
    assert sign_in(doors.stranger(), next_=next_).response.headers["Location"] == next_


FOREIGN = [
    "//elsewhere.example/",
    "https://elsewhere.example/",
    "/\\elsewhere.example",
    "\\\\elsewhere.example",
    "javascript:alert(1)",
    "elsewhere.example",
    " //elsewhere.example",
    "/\n/elsewhere.example",
    "http:elsewhere",
    "",
]


@pytest.mark.parametrize("next_", FOREIGN)
def test_the_way_on_never_leads_to_another_host(next_: str, doors: Doors):
    assert sign_in(doors.stranger(), next_=next_).response.headers["Location"] == "/"


@pytest.mark.parametrize("back", FOREIGN)
def test_the_way_back_from_the_light_never_leads_to_another_host(back: str, doors: Doors):
    visitor = doors.visitor("ida")
    answer = visitor.post("/light", {"light": "red", "back": back, "csrf_token": visitor.token()})
    assert (answer.status, answer.response.headers["Location"]) == (303, "/")


# the session


def test_handing_over_ends_the_session_for_good(doors: Doors):
    visitor = doors.visitor("ida")
    key = key_of(visitor)
    page = visitor.get("/fleet")
    form = page.root.one("footer").one("form", action="/hand-over")
    answer = visitor.post("/hand-over", {"csrf_token": form.one("input").attrs["value"]})
    assert (answer.status, answer.response.headers["Location"]) == (303, "/sign-in")
    assert visitor.get("/fleet").status == 303
    with visitor.client.session_transaction() as session:
        session["key"] = key  # a copy of the cookie from before
    assert visitor.get("/fleet").status == 303


def test_a_session_lasts_thirty_days_and_not_a_second_more(doors: Doors):
    visitor = doors.visitor("ida")
    doors.world.later(days=SESSION_DAYS)
    assert visitor.get("/fleet").status == 200
    doors.world.later(seconds=1)
    assert visitor.get("/fleet").status == 303
    assert SESSION_DAYS == 30
    assert doors.app.permanent_session_lifetime == timedelta(days=30)


def test_a_role_that_ended_is_gone_from_the_next_request_on(doors: Doors):
    visitor = doors.visitor("piet")
    assert "Fleet manager." in visitor.get("/me").words
    doors.world.do("end_role", "20 09:00", by="maren", person="piet", role="fleet_manager")
    assert "No role." in visitor.get("/me").words


def test_the_registry_keeps_no_key_only_its_hash(doors: Doors):
    key = key_of(doors.visitor("ida"))
    kept = doors.rows("web_session")
    assert [bytes(row.key_sha) for row in kept] == [passwords.sha(key)]
    assert key.encode() not in (doors.instance.home / "registry.sqlite3").read_bytes()
    assert len(key) >= 43


# one's own secrets


def me(visitor: Visitor, **told: str) -> Page:
    page = visitor.get("/me")
    return visitor.send(page, page.form("/me"), **told)


def test_a_new_password_and_pin_hold_from_then_on(doors: Doors):
    visitor = doors.visitor("ida")
    answer = me(visitor, current=PASSWORD, password=NEW, pin="917400")
    assert answer.status == 303
    assert visitor.follow(answer).flashes == ["Your new password holds from now on.", "Your new PIN holds from now on."]
    assert sign_in(doors.stranger(), "Ida", PASSWORD).status == 401
    assert sign_in(doors.stranger(), "Ida", NEW).status == 303
    told = {"half": doors.code("p1 s"), "words": "a loose screw"}
    assert visitor.act("note_fault", **told).status == 303
    assert visitor.act("sign_esd", station=doors.world.ids["bench"], pin=PIN).status == 401
    assert visitor.act("sign_esd", station=doors.world.ids["bench"], pin="917400").status == 303


@pytest.mark.parametrize(
    ("told", "status", "sentence"),
    [
        ({"current": "not it at all", "password": NEW}, 401, "That name and password do not belong together."),
        (
            {"current": PASSWORD, "password": "short"},
            422,
            f"The password has 5 characters; it needs {PASSWORD_LEAST} or more.",
        ),
        ({"current": PASSWORD, "password": "x" * 1001}, 422, "The password is longer than 1,000 characters."),
        ({"current": PASSWORD, "pin": "123"}, 422, "A PIN is four to eight digits."),
        ({"current": PASSWORD, "pin": "١٢٣٤"}, 422, "A PIN is four to eight digits."),
        ({"current": PASSWORD, "pin": "4444"}, 422, "That PIN is one of the first a stranger would try."),
        ({"current": PASSWORD, "pin": "3456"}, 422, "That PIN is one of the first a stranger would try."),
        ({"current": PASSWORD, "pin": "9876"}, 422, "That PIN is one of the first a stranger would try."),
    ],
)
def test_a_weak_secret_is_refused_in_a_sentence_and_nothing_changes(
    told: dict[str, str], status: int, sentence: str, doors: Doors
):
    visitor, before = doors.visitor("ida"), doors.rows("credential")
    answer = me(visitor, **told)
    assert answer.status == status
    assert answer.told()[0].startswith(sentence)
    after = {row.person_id: (row.password_hash, row.pin_hash) for row in doors.rows("credential")}
    assert after == {row.person_id: (row.password_hash, row.pin_hash) for row in before}
    assert not any(text in answer.text for name, text in told.items() if name != "current")


def test_a_keeper_gives_somebody_a_new_pin_and_it_is_noted(doors: Doors):
    visitor = doors.visitor("maren")
    page = visitor.get("/people")
    form = page.form("/people/secret")
    answer = visitor.send(page, form, person=doors.world.ids["ida"], kind="pin", secret="58213")
    assert visitor.follow(answer).flashes == ["Ida has a new PIN from now on."]
    events = [(row.what, row.person_id) for row in doors.rows("security_event")]
    assert ("pin set", doors.world.ids["ida"]) in events
    assert doors.visitor("ida").act("sign_esd", station=doors.world.ids["bench"], pin="58213").status == 303


@pytest.mark.parametrize(
    "told",
    [
        {"person": "", "kind": "pin", "secret": "58213"},
        {"person": "nobody", "kind": "pin", "secret": "58213"},
        {"person": "ida", "kind": "shoe", "secret": "58213"},
        {"person": "ida", "kind": "pin", "secret": "1"},
    ],
)
def test_a_keeper_who_chooses_nothing_is_told_so(told: dict[str, str], doors: Doors):
    visitor, before = doors.visitor("maren"), doors.rows("credential")
    told = told | {"person": doors.world.ids.get(told["person"], told["person"]), "csrf_token": visitor.token()}
    answer = visitor.post("/people/secret", told)
    assert (answer.status, len(answer.told())) == (422, 1)
    assert doors.rows("credential") == before


# the light


@pytest.mark.parametrize("light", ["day", "dark", "red"])
def test_the_light_is_kept_and_leads_back(light: str, doors: Doors):
    visitor = doors.visitor("ida")
    page = visitor.get("/fleet?at=2026-05-12T10:00")
    form = page.root.one("footer").one("form", action="/light")
    token, back = (form.one("input", name=name).attrs["value"] for name in ("csrf_token", "back"))
    answer = visitor.post("/light", {"csrf_token": token, "back": back, "light": light})
    assert answer.response.headers["Location"] == "/fleet?at=2026-05-12T10:00"
    shown = visitor.follow(answer).root.one("html")
    assert shown.attrs["data-light"] == light
    assert [b.words for b in shown.all("button", name="light") if b.has(aria_pressed="true")] == [
        {"red": "deck red"}.get(light, light)
    ]


@pytest.mark.parametrize("light", ["", "purple", "day dark", '"><script>'])
def test_any_other_light_is_that_of_the_device(light: str, doors: Doors):
    visitor = doors.visitor("ida")
    visitor.post("/light", {"csrf_token": visitor.token(), "light": light})
    assert "data-light" not in visitor.get("/fleet").root.one("html").attrs


def test_the_light_outlives_signing_in(doors: Doors):
    visitor = doors.stranger()
    visitor.post("/light", {"csrf_token": visitor.token(), "light": "red"})
    sign_in(visitor)
    assert visitor.get("/fleet").root.one("html").attrs["data-light"] == "red"


def test_a_new_password_ends_every_other_session_of_that_person(doors: Doors):
    other = doors.stranger()
    sign_in(other, "Ida")
    assert other.get("/fleet").status == 200
    me(doors.visitor("ida"), current=PASSWORD, password="quite another phrase")
    assert doors.visitor("ida").get("/fleet").status == 200
    assert other.get("/fleet").status == 303


def test_a_password_and_a_pin_change_together_or_not_at_all(doors: Doors):
    answer = me(doors.visitor("ida"), current=PASSWORD, password="quite another phrase", pin="1")
    assert "Refused. Nothing was written." in answer.words
    assert sign_in(doors.stranger(), "Ida", PASSWORD).status == 303


def test_the_form_for_secrets_is_sent_to_its_own_address_wherever_it_is_shown(doors: Doors):
    """After a token was made the page stands at another address: a form without one of its own would go there."""
    ida = doors.visitor("ida")
    page = ida.get("/me")
    made = ida.send(page, page.form("/me/tokens"), label="x", password_now=PASSWORD)
    secrets = next(form for form in made.root.one("main").all("form") if form.all("input", name="pin"))
    assert secrets.attrs.get("action") == "/me"


def test_every_id_on_ones_own_page_stands_once(untouched: Doors):
    page = untouched.visitor("ida").get("/me")
    ids = [node.attrs["id"] for node in page.root.walk() if "id" in node.attrs and not node.inside("svg")]
    assert sorted({one for one in ids if ids.count(one) > 1}) == []
