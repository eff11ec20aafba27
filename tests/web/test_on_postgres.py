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
