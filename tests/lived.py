"""The registry that doors and guards are shown with: lived in for a month, with something of everything pages tell."""

import uuid

import sqlalchemy as sa

from registry.models.base import metadata
from tests.audited import audited, moved
from tests.carrying import carry
from tests.cast import World, at
from tests.samples import MOTIONS_GIVEN, NOTE_GIVEN, PHOTO_GIVEN, POSES_GIVEN, REST_GIVEN, SHEET_GIVEN, TRACK_GIVEN

LOOKED = {"how": "present", "looked_at": ["torque", "dowels", "orientation", "seals", "cables"]}
CUP = {"what": "paper cup", "potential_v": "300", "distance_cm": "40"}
PROCEDURE = {"procedure": "WP-12", "issue": "3"}
MOUNTED = {
    "orientation": "starboard aft down", "roll_deg": "0.08", "roll_sigma_deg": "0.02", "pitch_deg": "-0.11", "pitch_sigma_deg": "0.02",
    "yaw_deg": "0.35", "yaw_sigma_deg": "0.03", "dowels": "two", "dowel_play_mm": "0.05", "dowel_spacing_mm": "120",
    "measured_how": "yard survey 41", "measured_on": "2026-05-04",
}  # fmt: skip
ARM = {"leads_to": "dvl", "forward_m": "-0.62", "starboard_m": "0.04", "down_m": "0.31", "sigma_m": "0.005", "measured_how": "tape", "measured_on": "2026-05-04"}  # fmt: skip
POSES = [
    {"pitch_deg": "0", "roll_deg": "0", "force_x_m_s2": "0.01", "force_y_m_s2": "0", "force_z_m_s2": "-9.81", "seconds": "60"},
    {"pitch_deg": "10", "roll_deg": "0", "force_x_m_s2": "0", "force_y_m_s2": "-1.70", "force_z_m_s2": "-9.66", "seconds": "60"},
]  # fmt: skip
RIGHT = {"bow_down": "pitch_down", "roll_right": "roll_right", "turn": "rises"}
#: Gravity level, gravity with the bow up by 10°, and the boresight, of a unit that sits x to starboard, y aft, z down and
#: a little off; rounded, with sigmas to match.
PAIRS = [
    {"unit_x": "0.0017", "unit_y": "-0.0016", "unit_z": "-1", "forward": "0", "starboard": "0", "down": "-1", "sigma_deg": "0.05"},
    {"unit_x": "0.0087", "unit_y": "-1", "unit_z": "0.0017", "forward": "1", "starboard": "0", "down": "0", "sigma_deg": "0.05"},
]  # fmt: skip
SHEET = {
    "unit_roll_deg": "0.01", "unit_roll_sigma_deg": "0.02", "unit_pitch_deg": "0.02", "unit_pitch_sigma_deg": "0.02",
    "unit_yaw_deg": "0.05", "unit_yaw_sigma_deg": "0.02", "source": "sheet AC-7001", "north": "none", "in_unit_yaw_deg": "0.40",
}  # fmt: skip
SETTINGS = {
    "led_by": "unit", "time_scale": "utc", "serial_ports": [{"port": 1, "wiring": "rs422", "rate": "115200", "carries": "positions in"}],
    "network_ports": [{"port": 1, "address": "192.0.2.14/24", "carries": "heading out, port 5020"}],
    "aiding": [{"sensor": "GNSS receiver", "gives": "positioning", "on": "serial 1", "time_scale": "utc"}],
    "feeds": [{"feeds": "Sonar", "on": "network 1"}], "values": [{"setting": "Output delay", "value": "12", "unit": "ms"}],
}  # fmt: skip
READ = [
    {"setting": "Serial port 1, rate", "value": "115200"},
    {"setting": "Output delay", "value": "12 ms"},
    {"setting": "Time scale", "value": "UTC"},
]
CLOSED = {
    "seals": "new", "seal_batch": "B-7", "faces": "clean", "torque_nm": "12", "data_cable": "latched", "power_cable": "latched",
    "desiccant": "new", "dew_point_c": "-4", "coldest_water_c": "2", "tools_out": 6, "tools_in": 6,
}  # fmt: skip
LEAK = {"start_mbar": "750.0", "start_c": "20.0", "end_mbar": "751.0", "end_c": "20.0", "hold_min": "30"}


def lived_in(world: World) -> World:
    """p1 sits in Teasel A (its first span is voided), p2 was in Teasel B for two hours, the pair `gone` has ended."""
    _receive(world)
    _install(world)
    _align(world)
    _settle(world)
    _hold(world)
    _look_after(world)
    _carry(world)
    _sail(world)
    _verify(world)
    _assess(world)
    audited(world)
    moved(world)
    _remember(world)
    return world


def _receive(world: World) -> None:
    loose = (
        ("lone s", "sensor", "RS-100"),
        ("lone2 s", "sensor", "RS-100"),
        ("lone e", "electronics", "RE-200"),
        ("odd e", "electronics", "SE-200"),
    )
    for name, kind, part in loose:
        label = {"maker": "Ardlune", "part": part, "serial": f"{kind[0]}-{name}"}
        unit_type = "sedge" if name == "odd e" else "reed"
        world.do(
            "receive_half",
            "2025-02-03T09:00:00Z",
            by="oda",
            name=name,
            kind=kind,
            unit_type=unit_type,
            site="shed",
            **label,
        )
    world.add_pair("p5")
    world.add_pair("gone")
    world.do("end_pairing", "17 09:00", by="oda", pair="gone", why="lost")
    limit = {"quantity": "gyro_bias", "value": "0.01", "statistic": "1_sigma"}
    world.do(
        "add_unit_type",
        "2 09:00",
        by="oda",
        name="rush",
        maker="Ardlune",
        type_name="Rush",
        sensor_part="US-1",
        electronics_part="UE-1",
        accepts=["letter"],
        class_limits=[limit],
    )
    own = {
        "figure": "signoff_holds_h",
        "site": "shed",
        "value": "10",
        "reason": "short shifts",
        "source": "plan, issue 2",
    }
    world.do("set_plan_figure", "6 09:00", by="oda", **own)
    world.do("record_firmware", "8 09:00", half="p1 e", firmware="2.4.1")
    world.do("note_fault", "8 09:30", half="p3 e", words="a bent pin")
    world.do("retire_half", "8 10:00", by="piet", half="lone2 s", why="worn out")


def _install(world: World) -> None:
    early = "2026-04-02T{:02d}:00:00Z".format
    world.sign("ida", early(8))
    world.install("p3", "teasel B", early(9))
    world.remove("p3", "teasel B", early(11))
    put_in = world.install("p3", "burdock A", early(12), removed_at=early(13)).entry
    world.do("amend_bay", early(14), by="oda", amends=put_in.id, bay="burdock B", why="the labels hang side by side")
    world.sign("ida", "9 08:00")
    world.install("p2", "teasel B", "9 09:00", name="install 2")
    world.remove("p2", "teasel B", "9 11:00")
    world.take_in()
    world.install("p1", "teasel A", "10 09:00", name="install 1")
    change = {"act": world.ids["install 1"], "instant": "installed", "at": "2026-05-10T09:30:00Z"}
    world.do("amend_times", "11 09:00", by="oda", changes=[change], why="read the clock wrong")


def _align(world: World) -> None:
    """Teasel A is mounted, checked and aligned: fitted to directions, confirmed by a run. Burdock B held p3 for an hour,
    aligned from its sheet."""
    world.do("record_mounting", "8 07:00", bay="burdock B", **MOUNTED)
    world.install("p3", "burdock B", "9 14:00")
    world.do("record_alignment", "9 14:30", bay="burdock B", files=[TRACK_GIVEN], **SHEET)
    world.remove("p3", "burdock B", "9 15:00")
    world.do("close_housing", "9 15:30", housing="burdock forward")
    world.do("record_mounting", "9 07:00", name="mounting", bay="teasel A", **MOUNTED)
    world.do("record_lever_arm", "9 07:30", name="lever arm", bay="teasel A", **ARM)
    world.do("record_axis_recording", "13 07:50", bay="teasel A", files=[MOTIONS_GIVEN])
    world.do(
        "record_mounting_check", "13 07:55", name="mounting check", bay="teasel A", files=[POSES_GIVEN], turn_deg_s="6"
    )
    world.do("record_axis_check", "13 08:00", name="axis check", bay="teasel A", **RIGHT)
    fitted = {"pairs": PAIRS, "source": "inclinometer and boresight", "north": "true"}
    world.do("fit_alignment", "13 09:00", name="alignment", bay="teasel A", **fitted)
    world.do(
        "confirm_alignment", "13 16:00", bay="teasel A", residual_deg="0.02", sigma_deg="0.03", words="box of 2 km"
    )


def _settle(world: World) -> None:
    """Teasel A has two settings sheets; the second was loaded and read back, and the file of the unit kept."""
    ports = {"serial_ports": 4, "network_ports": 1, "source": "handbook 4.2"}
    world.do("record_ports", "3 09:00", by="oda", unit_type="reed", **ports)
    versions = [{"kind": "electronics", "version": "9.0"}]
    world.do("permit_firmware", "3 09:10", by="oda", unit_type="sedge", versions=versions, reason="note 14")
    world.do("write_settings_sheet", "13 10:00", name="sheet 1", bay="teasel A", **SETTINGS)
    world.do(
        "write_settings_sheet",
        "13 10:30",
        name="sheet 2",
        bay="teasel A",
        **SETTINGS | {"time_scale": "gps", "answer": "the receiver corrects it"},
    )
    world.do("load_settings", "13 11:00", name="load", bay="teasel A")
    read = [*READ[:2], {"setting": "Time scale", "value": "GPS time"}]
    world.do("record_readback", "13 11:10", name="read-back", bay="teasel A", values=read, firmware="2.4.1")
    world.do("check_seating", "13 11:15", by="vera", name="seat check", bay="teasel A", files=[PHOTO_GIVEN], **LOOKED)
    world.do("keep_settings_file", "13 11:20", bay="teasel A", outcome="saved", files=[NOTE_GIVEN])


def _hold(world: World) -> None:
    """One hold by hand, and one that opened because Yusuf installed without a sign-off and Oda entered it for him."""
    held = {"half": "p3 s", "cause": "wet", "reason": "a wet patch", "files": [PHOTO_GIVEN, NOTE_GIVEN]}
    placed = world.do("place_hold", "11 10:00", name="hold", **held).entry
    world.ids |= {"photo": placed.derived("file:1"), "file": placed.derived("file:2")}
    done = world.install(
        "p2",
        "burdock B",
        "12 09:00",
        by="oda",
        done_by="yusuf",
        already_done=True,
        why_out_of_order="no strap tester aboard",
    )
    world.ids["order hold"] = done.entry.derived("order-hold")
    world.ids["burdock B seq"] = done.entry.seq  # type: ignore[assignment]  # the entry a finding rests on
    accepted = {"vehicle": "burdock", "bay": "B", "finding": "alignment_missing", "evidence": done.entry.seq}
    world.do(
        "accept_finding",
        "13 10:00",
        by="piet",
        name="acceptance",
        to_on="2026-05-15",
        reason="for the trials",
        **accepted,
    )


def _look_after(world: World) -> None:
    world.do("open_housing", "11 09:00", housing="burdock forward", reason="look at the seal")
    world.do("close_housing", "11 10:00", name="closing", housing="burdock forward")
    world.do("record_leak_test", "11 11:00", housing="burdock forward", **LEAK)
    world.do("record_knock", "14 09:00", vehicle="teasel", words="struck the quay")
    world.do("record_sighting", "15 09:00", by="anselm", bay="teasel B", sensor="lone s")
    world.do(
        "add_vehicle",
        "2 10:00",
        by="piet",
        name="spare hull",
        vehicle="Spare hull",
        hull_number="HN-7",
        hull="surface",
        length_m="4",
        site="shed",
    )
    world.do(
        "add_housing",
        "2 11:00",
        by="piet",
        name="spare forward",
        vehicle="spare hull",
        housing="forward",
        closing_method="vacuum",
    )
    line = {"item": "seal ring", "quantity": 2}
    world.do("set_swap_kit", "3 09:00", by="piet", housing="spare forward", lines=[line])
    world.do("count_swap_kits", "3 10:00", housing="spare forward", site="shed", kits=2)
    world.do("move_vehicle", "16 09:00", by="piet", name="vehicle move", vehicle="teasel", site="vessel")
    wrong = {"amends": world.ids["vehicle move"], "person": "yusuf", "why": "somebody else drove it"}
    world.do("amend_person", "16 09:30", by="oda", **wrong)
    twice = world.do("record_firmware", "8 09:10", half="p1 e", firmware="2.4.1").entry
    world.do("withdraw_acts", "8 09:20", by="oda", acts=[twice.id], why="entered twice")
    world.do("open_housing", "16 11:00", housing="spare forward", reason="a look inside")
    world.do("close_housing", "16 12:00", housing="spare forward")
    world.do(
        "record_closing_sheet", "16 12:10", name="closing sheet", housing="spare forward", files=[PHOTO_GIVEN], **CLOSED
    )
    term = {"reference": "survey 12", "from_on": "2026-05-04", "overdue_stops": True, "verification_months": 6}
    world.do("bind_contract", "4 09:00", by="piet", name="contract", vehicle="spare hull", **term)
    world.do("add_person", "16 10:00", by="maren", name="jon", role="technician", private={"name": "Jon"})
    world.do("record_departure", "17 09:00", by="maren", person="jon")
    world.ids["sign-off"] = world.sign("ida", "18 08:00", insulators=[CUP]).entry.id


def _verify(world: World) -> None:
    """p1 and p5 are verified and in date; p3 failed on its shelf, after two hours in Teasel B, and its hold was released."""
    line = {"quantity": "heading", "unit": "deg", "as_found": "0.02", "expanded": "0.04", "k": "2"}
    standards = [{"name": "turntable 4", "due_on": "2026-01-01"}]
    sheet = {"certificate": "CC-1", "calibrated_on": "2025-01-20", "place": "Ardlune works", "standards": standards}
    world.do(
        "record_calibration",
        "6 09:00",
        by="vera",
        name="calibration",
        pair="p1",
        results=[line],
        files=[SHEET_GIVEN],
        **sheet,
    )
    mark = {
        "heading_deg": "120.00",
        "north": "true",
        "sigma_deg": "0.02",
        "how": "sun shots",
        "surveyed_on": "2026-01-10",
    }
    world.do("survey_mark", "6 09:10", by="vera", name="mark", site="shed", mark="East wall", **mark)
    for pair, when, found in (("p1", "7 09:00", "120.03"), ("p5", "7 10:00", "119.98"), ("p3", "8 09:00", "121.90")):
        told = {"pair": pair, "mark": "mark", "found_deg": found, "u_deg": "0.02", "hours_run": "120"}
        world.do(
            "record_heading_check", when, by="vera", name=f"check {pair}", **PROCEDURE, tolerance_deg="0.2", **told
        )
    failed, impact, line = (
        str(uuid.uuid5(uuid.UUID(world.ids["check p3"]), what)) for what in ("hold:0", "impact", "impact-line:1")
    )
    world.ids |= {"impact": impact, "impact line": line, "failed hold": failed}
    answer = {"answer": "usable", "heading_deg": "1.90", "words": "nothing was mapped by heading"}
    world.do("answer_impact", "9 11:00", by="vera", impact="impact", lines=["impact line"], **answer)
    world.do(
        "release_hold", "9 12:00", by="rosa", hold=failed, reason="read on the wrong wall", evidence="photo of the wall"
    )
    test = {"pair": "p1", "lat_deg": "59.3", "warm_up_min": "60", "files": [REST_GIVEN]}
    world.do("record_static_test", "8 12:00", by="vera", name="static test", **PROCEDURE, **test)
    world.do("record_hours", "9 08:00", pair="p1", hours_run="130")
    world.do("approve_interval", "9 08:10", by="piet", pair="p1", days=300, most_hours="500", words="a hard season")


def _carry(world: World) -> None:
    """The certificate of `gone`, from the sheet that was kept before."""
    line = {"certificate": "CC-0", "calibrated_on": "2025-01-20", "place": "Ardlune works"}
    carry(
        world,
        "calibrations",
        {"pair": world.ids["gone"], **line, "quantity": "heading", "unit": "deg", "as_found": "0.02"},
    )


def _sail(world: World) -> None:
    """M-0 rode on p3, M-1 on p1; M-2 is under way, M-3 planned. What became of p3 and of p2 in Teasel B is known."""
    ran = {"distance_km": "8", "aided_by": "dvl_and_fixes", "stretch_km": "3", "area": "Outer bank", "use": "camera"}
    early = {"vehicle": "teasel", "reference": "M-0", "ended_at": "2026-04-02T10:30:00Z", **ran}
    world.do("record_mission", "2026-04-02T09:30:00Z", name="M-0", **early)
    late = {"vehicle": "teasel", "reference": "M-1", "ended_at": "2026-05-10T16:00:00Z", **ran}
    world.do("record_mission", "10 10:00", name="M-1", **late)
    for name, vehicle, planned in (("M-2", "burdock", "12 09:30"), ("M-3", "spare hull", "22 08:00")):
        told = {"vehicle": vehicle, "reference": name, "area": "Sill", "planned_from": at(planned)}
        world.do("plan_mission", "11 15:00", by="piet", name=name, **told, planned_to="2026-05-24T18:00:00Z")
    world.do("start_mission", "12 10:00", mission="M-2")
    told = {"mission": "M-3", "planned_to": "2026-05-24T20:00:00Z", "why": "the tide is later"}
    world.do("amend_mission", "13 08:00", by="oda", **told)
    with world.database.reading() as db:
        removal, span = metadata.tables["removal"], metadata.tables["installation_span"]
        listed = db.execute(
            sa.select(removal.c.id, span.c.pairing_id)
            .join(span, span.c.installation_id == removal.c.installation_id)
            .where(span.c.voided_seq.is_(None))
            .order_by(span.c.installed_at.desc())
        )
        world.ids |= {f"removal {row.pairing_id}": row.id for row in listed}
    world.ids["removal p2"] = world.ids[f"removal {world.ids['p2']}"]
    world.ids["removal p3"] = world.ids[f"removal {world.ids['p3']}"]
    world.do(
        "state_outcome", "12 12:00", removal="removal p3", outcome="no_fault_found", words="ran for a day on the bench"
    )


def _assess(world: World) -> None:
    """p2 was handled at the bench where p3 was: not held. A mission entered late is not on the list of p3 yet."""
    shared = {"hold": "hold", "half": "p2 s", "kinship": "station", "reason": "the bench was dry"}
    world.do("pass_same_batch", "12 14:00", by="piet", **shared)
    late = {"vehicle": "teasel", "reference": "M-00", "area": "Outer bank", "ended_at": "2026-04-02T09:20:00Z"}
    world.do("record_mission", "2026-04-02T09:05:00Z", name="M-00", **late, distance_km="1")


def _remember(world: World) -> None:
    """A discrepancy about a bay and a recheck, by those names: the first of each, whatever ids were drawn."""
    with world.database.reading() as db:
        for name in ("discrepancy", "recheck"):
            table = metadata.tables[name]
            about = table.c["bay_id" if name == "discrepancy" else "pairing_id"]
            found = sa.select(table.c.id).order_by(about.is_(None), table.c.seq, table.c.id)
            world.ids[name] = db.execute(found).scalars().first()
