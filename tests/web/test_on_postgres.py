"""The same doors over PostgreSQL: what people do on an ordinary day, and what they send wrongly."""

import pytest

from tests.web.doors import Doors
from tests.web.test_scan import band
from tests.web.test_swap import ask, sign, signed_page, start

pytestmark = pytest.mark.postgres


def test_a_day_at_the_hull(doors_on_postgres: Doors):
    doors, ida = doors_on_postgres, doors_on_postgres.visitor("ida")
    doors.world.install("p1", "teasel A", "20 09:00")
    mixed = ask(doors, start(doors), sensor_in="p2 s", electronics_in="p3 e")
    assert mixed.heading == "Mixed. Do not join."
    page = signed_page(doors)
    assert ida.follow(sign(ida, page)).heading == "Teasel, bay A holds p2."
    assert ida.follow(sign(ida, page)).flashes[-1].endswith("It was there already.")
    assert ida.get(f"/bays/{doors.code('teasel A')}?at=2026-05-20T09:30").heading == "Teasel, bay A holds p1."
    whole = ida.get("/", query_string={"on": [doors.code("p2 s"), doors.code("p2 e")]})
    assert band(whole) == ("", "Whole. p2.")


def test_an_act_over_json_is_taken_once(doors_on_postgres: Doors):
    sent = doors_on_postgres.world.sent("note_fault", "18 09:00", half="p1 s", words="hums")
    api = doors_on_postgres.api("ida")
    assert [api.act(sent).status_code for _ in range(3)] == [201, 200, 200]


def test_a_reading_connection_can_write_nothing(doors_on_postgres: Doors):
    import sqlalchemy as sa

    with pytest.raises(sa.exc.DBAPIError), doors_on_postgres.instance.database.reading() as db:
        db.exec_driver_sql("UPDATE log_head SET size = size")


@pytest.mark.postgres
def test_a_zero_in_a_scan_is_answered_on_postgresql(doors_on_postgres: Doors):
    doors = doors_on_postgres
    assert doors.api("ida").get("/resolve", text="a\x00b").status_code == 200
    assert doors.api("ida").get("/where", thing="a\x00b").status_code == 422
    assert doors.visitor("ida").get("/", query_string={"text": "a\x00b"}).status == 200
    assert doors.visitor("ida").get("/pairs/a%00b").status == 404
    stranger = doors.stranger()
    page = stranger.get("/sign-in")
    assert stranger.send(page, page.form(method="post"), name="Ida\x00", password="x").status == 401


def test_every_list_and_every_reading_opens(doors_on_postgres: Doors):
    doors = doors_on_postgres
    doors.world.install("p1", "teasel A", "20 09:00")
    oda, api = doors.visitor("oda"), doors.api("oda")
    for path in (
        "/",
        "/fleet",
        "/pairs",
        "/halves",
        "/types",
        "/people",
        "/sites",
        "/holds",
        "/waiting",
        "/log",
        "/log/3",
        "/esd",
        "/acts",
        "/me",
        "/pairs/p1",
        "/vehicles/teasel",
        "/bays/teasel A",
        "/halves/S-p1",
    ):
        assert oda.get(path).status == 200, path
    for path in (
        "/fleet",
        "/vehicles/teasel",
        "/bays/teasel A",
        "/pairs/p1",
        "/pairs/p1/history",
        "/halves/S-p1",
        "/holds",
        "/log",
        "/log/checkpoint",
        "/resolve",
    ):
        query = {"text": "S-p1"} if path == "/resolve" else {}
        assert api.get(path, **query).status_code == 200, path
    assert doors.cli("verify").exit_code == 0
    assert doors.cli("where", "p1").stdout.count("in Teasel, bay A") == 2


@pytest.mark.parametrize("seq", [2**31, 2**40, 2**52])
def test_a_place_beyond_the_end_of_the_log_is_not_found(seq: int, doors_on_postgres: Doors):
    doors = doors_on_postgres
    assert doors.visitor("ida").get(f"/log/{seq}").status == 404
    assert doors.api("ida").get(f"/log/{seq}").status_code == 404
    assert doors.api("ida").get("/log", after=seq).json["entries"] == []
