"""The calendar of due days: made and ended on one's own page, read by its secret address alone."""

from datetime import date, timedelta
from urllib.parse import urlsplit

import pytest
import vobject

from registry import passwords
from registry.calendar_keys import Waits
from registry.errors import Refused
from registry.web import calendars
from tests.web.doors import PASSWORD, Doors


@pytest.fixture(autouse=True)
def no_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(calendars, "_waits", Waits())


def address(doors: Doors, who: str = "ida", password: str = PASSWORD) -> str:
    visitor = doors.visitor(who)
    page = visitor.get("/me")
    answer = visitor.send(page, page.form("/me/calendar"), password_for_calendar=password)
    assert answer.status == 200, answer.told()
    return urlsplit(_shown(answer)).path


def _shown(page) -> str:
    return next(node.words for node in page.root.one("main").all("code") if "/calendar/" in node.words)


def test_a_page_with_its_address_has_one_main_button(lived: Doors):
    visitor = lived.visitor("ida")
    page = visitor.get("/me")
    for shown in (page, visitor.send(page, page.form("/me/calendar"), password_for_calendar=PASSWORD)):
        main = [node.words for node in shown.root.one("main").all("button", cls="act") if "second" not in node.classes]
        assert main == ["Keep them"]


def read(doors: Doors, path: str):
    return doors.app.test_client(use_cookies=False).get(path)


def titles(answer) -> list[str]:
    return [entry.summary.value for entry in vobject.readOne(answer.text).vevent_list]


def test_the_address_opens_the_calendar_without_a_cookie(lived: Doors):
    answer = read(lived, address(lived))
    assert (answer.status_code, answer.mimetype) == (200, "text/calendar")
    told = titles(answer)
    assert "Verification due: pair p1" in told
    assert "Meter due: RM-1, North shed" in told
    assert any(one.startswith("Station check due: Kit 1") for one in told)
    assert "Refresher due: Ida, ESD handling" in told


def test_refreshers_of_others_are_told_to_those_who_record_training(lived: Doors):
    mine, all_ = (titles(read(lived, address(lived, who))) for who in ("ida", "oda"))
    assert [one for one in mine if "Yusuf" in one] == []
    assert [one for one in all_ if "Yusuf" in one] == ["Refresher due: Yusuf, ESD handling"]


def test_a_day_stands_where_the_page_says_it_is_due(lived: Doors):
    due = lived.api("ida").get("/verifications").json
    feed = vobject.readOne(read(lived, address(lived)).text)
    days = {one.summary.value: one.dtstart.value for one in feed.vevent_list}
    listed = {f"Verification due: pair {one['pair']}": one["due_on"] for one in due["due"]}
    assert listed
    assert {title: str(days[title]) for title in listed} == listed
    assert all(one.dtend.value - one.dtstart.value == timedelta(days=1) for one in feed.vevent_list)
    assert all(type(one.dtstart.value) is date for one in feed.vevent_list)


def test_a_new_address_ends_the_one_before_and_ending_it_ends_it(lived: Doors):
    first = address(lived)
    second = address(lived)
    assert (read(lived, first).status_code, read(lived, second).status_code) == (404, 200)
    visitor = lived.visitor("ida")
    page = visitor.get("/me")
    assert second not in page.text
    visitor.send(page, page.form("/me/calendar/end"))
    assert read(lived, second).status_code == 404


def test_the_registry_keeps_the_hash_and_not_the_address(lived: Doors):
    key = address(lived).removeprefix("/calendar/").removesuffix(".ics")
    assert bytes(lived.rows("calendar_key")[0].key_sha) == passwords.sha(key)
    for path in lived.instance.home.rglob("registry*"):
        assert key.encode() not in path.read_bytes()


def test_somebody_who_left_has_no_calendar_and_a_phone_left_lying_makes_none(lived: Doors):
    path = address(lived)
    lived.world.do("record_departure", "20 11:00", by="maren", person="ida")
    assert read(lived, path).status_code == 404
    visitor = lived.visitor("oda")
    page = visitor.get("/me")
    assert visitor.send(page, page.form("/me/calendar"), password_for_calendar="wrong").status == 401
    assert [row.person_id for row in lived.rows("calendar_key")] == [lived.world.ids["ida"]]


def test_the_address_opens_nothing_else(lived: Doors):
    key = address(lived).removeprefix("/calendar/").removesuffix(".ics")
    client = lived.app.test_client(use_cookies=False)
    assert client.get("/api/v1/fleet", headers={"Authorization": f"Bearer {key}"}).status_code == 401
    assert client.get("/fleet").status_code == 303


def test_a_wrong_address_is_not_found_and_many_of_them_wait(lived: Doors):
    path = address(lived)
    for _ in range(Waits.FREE + 1):
        assert read(lived, "/calendar/nobodys.ics").status_code == 404
    assert read(lived, path).status_code == 429
    lived.world.now += timedelta(seconds=2)
    assert read(lived, path).status_code == 200
    assert read(lived, "/calendar/nobodys.ics").status_code == 404


def test_waits_grow_and_are_told_apart_by_where_they_come_from(lived: Doors):
    waits, now = Waits(), lived.world.now
    for _ in range(Waits.FREE + 4):
        waits.count_wrong("198.51.100.7", now)
    waits.refuse_while_waiting("198.51.100.8", now)
    with pytest.raises(Refused, match="looked at in 17 s"):
        waits.refuse_while_waiting("198.51.100.7", now)


def test_the_command_lists_them_prints_the_feed_and_makes_the_address(lived: Doors):
    lines = lived.cli("calendar", who="ida").stdout.splitlines()
    assert any("Verification due: pair p1." in line for line in lines)
    assert "Verification due: pair p1" in [
        one.summary.value for one in vobject.readOne(lived.cli("calendar", "--ics", who="ida").stdout).vevent_list
    ]
    made = lived.cli("calendar", "--new-address", "--base", "https://shed.example/", who="ida").stdout.strip()
    assert made.startswith("https://shed.example/calendar/")
    assert read(lived, urlsplit(made).path).status_code == 200
