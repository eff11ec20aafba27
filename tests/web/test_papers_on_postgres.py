"""Paper on PostgreSQL: the statements behind a pack, and behind the pages it is printed from, run there, too."""

import pytest

from registry.domain.packs import FILE
from registry.output.attached import attached
from tests.printed import read
from tests.web.doors import Doors


@pytest.mark.postgres
def test_a_pack_and_a_pair_sheet_are_drawn_on_postgres(doors_on_postgres: Doors):
    doors = doors_on_postgres
    doors.world.install("p1", "teasel A", "20 09:00")
    told = {"reference": "M-9", "area": "Outer bank", "vehicle": "teasel"}
    doors.world.do("record_mission", "20 10:00", by="ida", ended_at="2026-05-20T11:00:00Z", distance_km="4", **told)
    pack = doors.visitor("piet").get("/missions/M-9/pack.pdf").response.get_data()
    assert "Bay A, p1: 100 % of it" in " ".join(read(pack)[0])
    assert b"put in" in attached(pack, FILE)
    assert "p1 is whole." in read(doors.visitor("piet").get("/pairs/p1/sheet.pdf").response.get_data())[0][0]
    for page in ("/missions/M-9", f"/vehicles/{doors.code('teasel')}"):
        assert doors.visitor("piet").get(page).status == 200
