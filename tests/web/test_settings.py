"""The pages of settings: a sheet, the bay’s section, the read-back that writes nothing, the swap that shows what a half holds."""

import hashlib

from tests.lived import SETTINGS
from tests.web.doors import Doors

Q = {"setting": ["Time scale", "Output delay", "Serial port 1, rate"]}


def read_page(doors: Doors, *values: str) -> str:
    told = "&".join(f"setting={name}&value={value}" for name, value in zip(Q["setting"], values, strict=True))
    return f"/bays/{doors.code('teasel A')}/readback?{told}"


def test_a_value_that_is_no_figure_is_named_beside_its_entry(untouched: Doors):
    page = untouched.visitor("ida").get(read_page(untouched, "UTC", "abc", "9600"))
    told = "“abc” is no figure, and Output delay is one on the sheet. Type it as the unit shows it."
    assert told in page.words
    entry = next(node for node in page.root.all("input", name="value") if node.attrs["value"] == "abc")
    assert page.beside(entry.attrs["id"]) == [told]
    assert page.words.count(" is no figure") == 1


def test_a_sheet_shows_its_values_where_they_came_from_what_changed_and_where_it_was_loaded(untouched: Doors):
    ida, id_ = untouched.visitor("ida"), untouched.world.ids["sheet 2"]
    page = ida.get(f"/settings/{id_}")
    assert page.heading == "Teasel, bay A: settings, version 2."
    for told in (
        "Yaw −0.499 deg alignment, entry",
        "Time scale GPS time UTC",
        "No placeholder the receiver corrects it",
        "Loaded 1 p1",
    ):
        assert told in page.words, told
    assert ">DVL<" in page.text  # on the drawing of the hull
    old = ida.get(f"/settings/{untouched.world.ids['sheet 1']}")
    assert "Version 2 took its place on 13 May 2026" in old.words


def test_the_file_of_a_sheet_has_its_checksum(untouched: Doors):
    ida, id_ = untouched.visitor("ida"), untouched.world.ids["sheet 2"]
    sum_ = next(row.checksum for row in untouched.rows("settings_sheet") if row.id == id_)
    answer = ida.get(f"/settings/{id_}.json")
    assert hashlib.sha256(answer.response.get_data()).hexdigest() == sum_
    assert sum_ in ida.get(f"/settings/{id_}").words


def test_the_bay_says_what_is_loaded_and_what_the_unit_said(untouched: Doors):
    page = untouched.visitor("ida").get(f"/bays/{untouched.code('teasel A')}")
    for told in (
        "Version 2 loaded 13 May 2026, 11:00 UTC",
        "Agrees with the load.",
        "Its file before a removal: saved",
        "firmware 2.4.1",
    ):
        assert told in page.words, told


def test_values_read_are_compared_on_the_spot_and_nothing_is_written(untouched: Doors):
    ida, size = untouched.visitor("ida"), untouched.size()
    good = ida.get(read_page(untouched, "GPS time", "12", "115200"))
    assert good.heading == "Agrees with the load."
    old = ida.get(read_page(untouched, "UTC", "12", "115200"))
    assert old.heading == "Another version of this bay."
    assert "This is Teasel, bay A, version 1" in old.words
    enter = old.links()["Enter this read-back"]
    form = ida.get(enter).form("/act/record_readback")
    assert (form.value("values-0-setting"), form.value("values-0-value")) == ("Time scale", "UTC")
    few = ida.get(read_page(untouched, "", "12", ""))
    assert "type 3 or more values that stand on a sheet" in few.words
    assert untouched.size() == size


def test_the_sheets_for_without_a_network_are_a_file_of_their_own(untouched: Doors):
    answer = untouched.visitor("ida").get("/settings/offline")
    assert 'filename="pairbook-sheets.html"' in answer.response.headers["Content-Disposition"]
    assert "2 sheets as they stood on" in answer.text and f"log size {untouched.size():,}" in answer.text


def test_the_go_no_go_shows_whose_settings_the_incoming_half_still_holds(doors: Doors):
    world = doors.world
    world.sign("ida", "18 08:00")
    world.do("write_settings_sheet", "17 09:00", bay="teasel A", unit_type="reed", answer="as it is", **SETTINGS)
    other = SETTINGS | {"time_scale": "gps", "answer": "the receiver corrects it"}
    world.do("write_settings_sheet", "17 09:10", bay="burdock A", unit_type="reed", **other)
    world.install("p1", "teasel A", "18 09:00")
    world.do("load_settings", "18 10:00", bay="teasel A")
    world.remove("p1", "teasel A", "18 11:00")
    start = f"/bays/{doors.code('burdock A')}/swap?sensor_in={doors.code('p1 s')}&electronics_in={doors.code('p1 e')}"
    page = doors.visitor("ida").get(start)
    assert "It still holds Teasel, bay A, version 1" in page.words
    assert "Time scale UTC GPS time" in page.words
    world.install("p1", "burdock A", "18 12:00")
    page = doors.visitor("ida").get(f"/bays/{doors.code('burdock A')}/swap")
    assert "The settings file of p1 is not kept yet." in page.words
