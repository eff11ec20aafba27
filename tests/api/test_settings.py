"""Settings over JSON: of a bay, one sheet, and whose values a unit gives."""

import hashlib

import rfc8785

from tests.web.doors import Doors, codes_of

READ = {"Time scale": "UTC", "Output delay": "12", "Serial port 1, rate": "115200"}


def test_a_bay_and_its_sheet_are_told(untouched: Doors):
    api, id_ = untouched.api("piet"), untouched.world.ids["sheet 2"]
    bay = api.get("/bays/Teasel A/settings").json
    assert [row["version"] for row in bay["sheets"]] == [2, 1]
    assert (bay["load"]["version"], bay["read_back"]["verdict"], bay["file_kept"]) == (2, "agrees", "saved")
    told = api.get(f"/settings/{id_}").json
    assert hashlib.sha256(rfc8785.dumps(told["document"])).hexdigest() == told["checksum"]
    assert told["changed"] == [{"name": "Time scale", "read": "GPS time", "wanted": "UTC"}]
    assert api.get("/settings/nothing").status_code == 404


def test_whose_values_these_are(untouched: Doors):
    api, size = untouched.api("piet"), untouched.size()
    told = api.post("/readback", {"bay": "Teasel A", "values": READ}).json
    assert (told["verdict"], told["sheet"]["version"], told["differs"][0]["name"]) == ("other_version", 1, "Time scale")
    assert api.post("/readback", {"values": READ}).json["verdict"] == "other_bay"
    for body in (
        {"values": []},
        {"values": {"Time scale": 4}},
        {"bay": 4, "values": READ},
        {"values": {"Colour": "grey"}},
    ):
        answer = api.post("/readback", body)
        assert answer.status_code == 422 and codes_of(answer) == ["wrong_form"]
    assert untouched.size() == size
