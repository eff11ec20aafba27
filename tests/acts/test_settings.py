"""Settings sheets, loads, read-backs and kept files in the record: what is refused, what is decided, what a removal ends."""

from dataclasses import asdict
from types import SimpleNamespace

from registry.acts.readbacks import RecordReadback
from registry.domain.settings import Line as SheetLine
from registry.domain.settings import checksum
from registry.queries.fleet import vehicles_at
from registry.queries.settings import bay_settings, held_by
from tests.acts.stage import Stage
from tests.cast import World
from tests.domain.readback_cases import sheet
from tests.lived import ARM, MOUNTED, READ, SETTINGS, SHEET
from tests.samples import NOTE_GIVEN

AT = "2026-05-20T12:00:00.000000Z"
A, B = "teasel A", "burdock B"


def codes(world: World, letter: str, vehicle: str = "teasel") -> list[str]:
    """Codes of what settings say of one bay now."""
    with world.database.reading() as db:
        (state,) = vehicles_at(db, AT, only=[world.ids[vehicle]])
    wanted = ("settings", "read", "serials", "firmware", "no_settings")
    return [f.code for f in state.findings if f.bay == letter and any(word in f.code for word in wanted)]


def fitted(world: World) -> World:
    """p1 in Teasel A, mounted and aligned."""
    world.sign("ida", "10 08:00")
    world.do("record_mounting", "9 07:00", bay=A, **MOUNTED)
    world.do("record_lever_arm", "9 07:30", bay=A, **ARM)
    world.install("p1", A, "10 09:00")
    world.do("record_alignment", "10 10:00", bay=A, **SHEET)
    return world


def test_a_sheet_takes_over_what_the_bay_has_and_says_where_it_came_from(world: World):
    done = fitted(world).do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    lines = {line["name"]: line for line in done.entry.decided["lines"]}
    assert lines["Yaw"] == {
        "part": "mounting",
        "name": "Yaw",
        "value": "0.4",
        "unit": "deg",
        "source": lines["Roll"]["source"],
    }
    assert lines["Lever arm to the DVL, forward"]["value"] == "-0.62"
    assert lines["Mounting"]["value"] == "x to starboard, y aft, z down"
    assert lines["Yaw"]["source"].startswith("alignment, entry ")
    told = [SheetLine(**line) for line in done.entry.decided["lines"]]
    assert done.entry.decided["checksum"] == checksum(done.entry.decided["bay_code"], 1, told)


def test_versions_count_up_and_none_begins_before_the_last(world: World):
    fitted(world).do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    assert world.do("write_settings_sheet", "12 09:00", bay=A, **SETTINGS).entry.decided["version"] == 2
    assert (
        "Version 2 holds from 12 May 2026"
        in world.refused("write_settings_sheet", "11 10:00", bay=A, **SETTINGS)["overlaps_history"]
    )


def test_a_placeholder_goes_on_a_sheet_only_with_words(world: World):
    zero = SETTINGS | {"values": [{"setting": "Output delay", "value": "0", "unit": "ms"}]}
    assert (
        "measured, or never filled in"
        in fitted(world).refused("write_settings_sheet", "11 09:00", bay=A, **zero)["looks_like_placeholder"]
    )
    done = world.do("write_settings_sheet", "11 09:00", bay=A, **zero, answer="the box says so: nothing to add")
    assert len(done.entry.decided["questions"]) == 1


def test_the_port_plan_is_looked_over_against_the_ports_stated_by_then(world: World):
    fitted(world).do(
        "record_ports", "10 08:00", by="oda", unit_type="reed", serial_ports=1, network_ports=1, source="p. 4"
    )
    more = SETTINGS | {"serial_ports": [{"port": 2, "wiring": "rs422", "rate": "9600", "carries": "in"}], "aiding": []}
    told = world.refused("write_settings_sheet", "11 09:00", bay=A, **more)
    assert told["wrong_form"] == "Ardlune Reed has 1 serial port; there is no 2."
    world.do("record_ports", "11 12:00", by="oda", unit_type="reed", serial_ports=4, network_ports=1, source="issue 5")
    world.do("write_settings_sheet", "12 09:00", bay=A, **more)


def test_a_load_counts_only_since_the_install_and_the_unit_keeps_what_it_holds(world: World):
    fitted(world).do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    assert codes(world, "A") == ["settings_not_loaded"]
    world.do("load_settings", "11 10:00", bay=A)
    assert codes(world, "A") == ["not_read_back"]
    world.do("record_readback", "11 11:00", bay=A, values=READ)
    assert codes(world, "A") == []
    world.sign("ida", "12 08:00")
    world.remove("p1", A, "12 09:00")
    world.install("p1", A, "12 10:00")
    assert codes(world, "A") == ["settings_not_loaded"]
    with world.database.reading() as db:
        held = held_by(db, world.ids["p1 e"], world.ids[B], AT)
    assert held is not None and held.sheet.say().startswith("Teasel, bay A, version 1 (") and held.wanted is None


def test_a_new_version_and_new_firmware_each_ask_for_another_load(world: World):
    fitted(world).do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    world.do("record_firmware", "11 09:10", half="p1 e", firmware="2.4")
    world.do("load_settings", "11 10:00", bay=A)
    world.do("record_readback", "11 11:00", bay=A, values=READ, firmware="2.4")
    assert codes(world, "A") == []
    world.do("record_readback", "12 11:00", bay=A, values=READ, firmware="2.5")
    assert codes(world, "A") == ["settings_changed"]
    world.do("load_settings", "12 12:00", bay=A)
    world.do("record_readback", "12 13:00", bay=A, values=READ)
    assert codes(world, "A") == []
    world.do("write_settings_sheet", "13 09:00", bay=A, **SETTINGS)
    assert codes(world, "A") == ["settings_changed"]


def test_a_load_names_a_sheet_that_there_is_and_the_half_that_sits_there(world: World):
    fitted(world)
    assert set(world.refused("load_settings", "11 10:00", bay=A)) == {"no_sheet"}
    world.do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    assert set(world.refused("load_settings", "11 10:00", bay=A, sheet_version=7)) == {"no_sheet"}
    assert "another half" in world.refused("load_settings", "11 10:00", bay=A, electronics="p2 e")["not_installed"]
    assert set(world.refused("load_settings", "11 10:00", bay="teasel B")) == {"not_installed", "no_sheet"}


def test_a_read_back_of_the_other_vehicle_stops_and_other_serials_offer_to_look(world: World):
    fitted(world).do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    other = SETTINGS | {"network_ports": [{"port": 1, "address": "192.0.2.77/24", "carries": "out"}]}
    world.do("write_settings_sheet", "11 09:10", bay=B, unit_type="reed", answer="nothing sits there yet", **other)
    world.do("load_settings", "11 10:00", bay=A)
    values = [*READ[:2], {"setting": "Network port 1, address", "value": "192.0.2.77/24"}]
    done = world.do("record_readback", "11 11:00", bay=A, values=values, electronics_serial="E-other")
    assert done.entry.decided["verdict"] == "other_bay"
    assert "This is Burdock, bay B, version 1" in done.entry.decided["told"]
    assert codes(world, "A") == ["other_serials", "readback_differs"]


def test_too_few_values_and_values_given_twice_are_refused(world: World):
    fitted(world).do("write_settings_sheet", "11 09:00", bay=A, **SETTINGS)
    odd = [{"setting": name, "value": "1"} for name in ("Colour", "Weight", "Smell")]
    assert "Fewer than 3" in world.refused("record_readback", "11 11:00", bay=A, values=odd)["wrong_form"]
    assert (
        "stands here twice"
        in world.refused("record_readback", "11 11:00", bay=A, values=[*READ, READ[0]])["wrong_form"]
    )


def test_permitted_firmware_is_judged_by_the_list_of_its_day_and_kind(world: World):
    fitted(world).do("record_firmware", "10 12:00", half="p1 e", firmware="3.1")
    only = {"unit_type": "reed", "reason": "note 7"}
    world.do("permit_firmware", "11 09:00", by="oda", versions=[{"kind": "electronics", "version": "3.1"}], **only)
    assert codes(world, "A") == ["no_settings_sheet"]
    world.do("permit_firmware", "12 09:00", by="oda", versions=[{"kind": "electronics", "version": "3.2"}], **only)
    assert codes(world, "A") == ["firmware_not_permitted", "no_settings_sheet"]
    world.do("record_firmware", "13 12:00", half="p1 e", firmware="3.2")
    assert codes(world, "A") == ["no_settings_sheet"]
    assert (
        "cannot begin before"
        in world.refused(
            "permit_firmware", "12 09:00", by="oda", versions=[{"kind": "sensor", "version": "1"}], **only
        )["overlaps_history"]
    )


def test_what_one_unit_runs_says_nothing_of_another(world: World):
    """Two pairs in one vehicle, each with firmware of its own, the later reading of the one that is permitted."""
    fitted(world)
    world.install("p2", "teasel B", "10 11:00")
    world.do("record_firmware", "11 08:00", half="p1 e", firmware="3.1")
    world.do("record_firmware", "11 08:10", half="p2 e", firmware="3.2")
    versions = [{"kind": "electronics", "version": "3.2"}]
    world.do("permit_firmware", "12 09:00", by="oda", unit_type="reed", versions=versions, reason="note 7")
    assert codes(world, "A") == ["firmware_not_permitted", "no_settings_sheet"]
    assert codes(world, "B") == ["no_settings_sheet"]


def test_a_type_that_demands_a_sheet_stops_without_one(world: World):
    fitted(world).do(
        "record_ports",
        "11 08:00",
        by="oda",
        unit_type="reed",
        serial_ports=1,
        network_ports=1,
        source="p. 4",
        sheet_demanded=True,
    )
    with world.database.reading() as db:
        (state,) = vehicles_at(db, AT, only=[world.ids["teasel"]])
    assert [f.severity for f in state.findings if f.code == "no_settings_sheet"] == ["stops"]


def test_the_file_of_a_unit_is_asked_for_before_it_is_pulled(world: World):
    fitted(world)
    out = {"bay": A, "sensor_out": "p1 s", "electronics_out": "p1 e", "reason": "planned"}
    assert not [told for told in world.check("remove_pair", "10 18:00", **out).remarks if "settings file" in told]
    world.do("write_settings_sheet", "10 17:00", bay=A, **SETTINGS)
    assert [told for told in world.check("remove_pair", "10 18:00", **out).remarks if "settings file" in told]
    assert "attached" in world.refused("keep_settings_file", "10 17:10", bay=A, outcome="saved")["wrong_form"]
    world.do("keep_settings_file", "10 17:10", bay=A, outcome="dead")
    assert not [told for told in world.check("remove_pair", "10 18:00", **out).remarks if "settings file" in told]
    world.do("keep_settings_file", "10 17:20", bay=A, outcome="saved", files=[NOTE_GIVEN])
    with world.database.reading() as db:
        assert bay_settings(db, world.ids[A], AT).kept.outcome == "saved"


def test_a_sheet_checksum_is_worked_out_again_by_verify(lived_stage: Stage):
    entry = next(one for one in lived_stage.entries() if one.act == "write_settings_sheet")
    from registry.acts.settings import WriteSettingsSheet

    assert WriteSettingsSheet.again(entry) == {"checksum": entry.decided["checksum"]}


def test_a_verdict_entered_while_its_sentence_was_worded_otherwise_still_verifies():
    sheets = [sheet("a2", "A", 2), sheet("a1", "A", 1, Output_delay="8"), sheet("b4", "B", 4, Output_delay="8")]
    read = {"Time scale": "UTC", "Roll": "-0.098", "Rate": "115200", "Output delay": "8"}
    sheets[2].values["Yaw"] = ("0.3", "deg")
    compared = {"bay": "A", "wanted": "a2", "sheets": [asdict(one) for one in sheets], "names": [], "serials": {"sensor": [], "electronics": []}}  # fmt: skip
    rows = [{"setting": name, "value": value} for name, value in read.items()]
    body = {"values": rows, "sensor_serial": None, "electronics_serial": None}
    now = RecordReadback.again(SimpleNamespace(body=body, decided={"compared": compared, "told": ""}))["told"]
    old = now.replace(" These values fit ", " They fit ")
    assert old != now
    assert RecordReadback.again(SimpleNamespace(body=body, decided={"compared": compared, "told": old}))["told"] == old
