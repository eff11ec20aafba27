"""Where things are: the page of each kind of thing, the page an act is done on, and where one lands after it."""

from typing import Any

from flask import url_for

from registry.acts.entry import Entry

#: Acts that have pages of their own, when the fields they need are known.
_OWN_PAGES = {
    "swap_pairs": ("swap.start", "bay", {"bay"}),
    "install_pair": ("swap.start", "bay", {"bay"}),
    "answer_impact": ("impacts.one", "impact", {"impact"}),
    "sign_esd": ("handling.sign", None, set()),
}

#: Fields that such a page calls otherwise than the act does.
_ON_ITS_PAGE = {("install_pair", "sensor"): "sensor_in", ("install_pair", "electronics"): "electronics_in"}


def act_page(name: str, fields: dict[str, str]) -> str:
    """The page on which this act is done, with what is known filled in."""
    endpoint, key, needed = _OWN_PAGES.get(name, ("", None, {"?"}))
    if needed <= set(fields):
        rest = {_ON_ITS_PAGE.get((name, field), field): value for field, value in fields.items() if field != key}
        return url_for(endpoint, **({key: fields[key]} if key else {}), **rest)
    return url_for("acts.do", name=name, **fields)


_PAGES = {
    "half": ("units.half", "ref"), "pairing": ("units.pair", "ref"), "pair": ("units.pair", "ref"), "vehicle": ("fleet.vehicle", "ref"),
    "bay": ("fleet.bay", "ref"), "hold": ("holds.one", "hold_id"), "site": ("people.sites", None), "station": ("handling.station", "ref"), "meter": ("meters.one", "ref"),
    "person": ("people.everybody", None), "delivery": ("deliveries.one", "ref"), "carton": ("deliveries.carton", "carton_id"), "entry": ("log.one", "seq"), "esd_signoff": ("handling.one", "signoff_id"),
    "impact": ("impacts.one", "impact"), "batch of impact": ("impacts.batch", "impact"), "batch of hold": ("impacts.batch_of_hold", "hold_id"), "mission": ("missions.one", "ref"),
    "audit": ("audits.one", "ref"),
    "file": ("attachments.original", "file_id"), "verification": ("verifications.one", "verification_id"), "calibration": ("calibrations.one", "calibration_id"), "alignment": ("alignments.one", "alignment_id"), "mounting_check": ("mounting_checks.one", "check_id"),
    "settings_sheet": ("settings.one", "sheet_id"),
}  # fmt: skip


def path_to(kind: str, key: Any, **more: Any) -> str:
    """The page of one thing, by its code or id."""
    endpoint, name = _PAGES[kind]
    return url_for(endpoint, **({name: key} if name else {}), **more)


_AFTER = {
    "install_pair": ("bay", "bay"), "remove_pair": ("bay", "bay"), "swap_pairs": ("bay", "bay"), "check_seating": ("bay", "bay"), "record_sighting": ("bay", "bay"),
    "record_mounting": ("bay", "bay"), "record_lever_arm": ("bay", "bay"), "record_axis_check": ("bay", "bay"), "record_axis_recording": ("bay", "bay"), "record_mounting_check": ("mounting_check", None), "record_alignment": ("alignment", None), "fit_alignment": ("alignment", None),
    "fit_dvl_run": ("alignment", None), "carry_alignment": ("alignment", None), "confirm_alignment": ("bay", "bay"), "withdraw_alignment": ("bay", "bay"),
    "return_from_repair": ("half", "half"), "open_audit": ("audit", None), "sight_bay": ("audit", "audit"), "sight_shelf": ("audit", "audit"), "close_audit": ("audit", "audit"),
    "accept_type": ("bay", "bay"), "stop_accepting_type": ("bay", "bay"), "set_bay_use": ("bay", "bay"), "add_bay": ("bay", None),
    "receive_half": ("half", None), "add_identity": ("half", "half"), "record_firmware": ("half", "half"), "note_fault": ("half", "half"),
    "retire_half": ("half", "half"), "record_pairing": ("pairing", None), "end_pairing": ("pairing", "pair"), "add_vehicle": ("vehicle", None),
    "add_housing": ("vehicle", "vehicle"), "move_vehicle": ("vehicle", "vehicle"), "retire_vehicle": ("vehicle", "vehicle"), "bind_contract": ("vehicle", "vehicle"),
    "record_delivery": ("delivery", None), "record_carton": ("delivery", "delivery"), "open_carton": ("carton", "carton"), "open_bag": ("carton", "carton"),
    "inspect_half": ("carton", "carton"), "record_power_up": ("pairing", "pair"), "place_hold": ("hold", None), "release_hold": ("hold", "hold"), "sign_esd": ("esd_signoff", None), "leave_station": ("esd_signoff", "esd_signoff"),
    "add_station": ("station", None), "check_station": ("station", "station"), "add_meter": ("meter", None), "record_meter_calibration": ("meter", "meter"),
    "retire_meter": ("meter", "meter"),
    "open_impact": ("impact", None), "count_impact": ("impact", "impact"), "answer_impact": ("impact", "impact"),
    "plan_mission": ("mission", None), "record_mission": ("mission", None), "start_mission": ("mission", "mission"), "end_mission": ("mission", "mission"), "record_distance": ("mission", "mission"), "amend_mission": ("mission", "mission"),
    "record_heading_check": ("verification", None), "record_static_test": ("verification", None), "record_ship_check": ("verification", None), "review_verification": ("verification", "verification"),
    "write_settings_sheet": ("settings_sheet", None), "load_settings": ("bay", "bay"), "record_readback": ("bay", "bay"), "keep_settings_file": ("bay", "bay"),
    "accept_finding": ("vehicle", "vehicle"), "record_calibration": ("calibration", None), "approve_interval": ("pairing", "pair"), "record_hours": ("pairing", "pair"),
}  # fmt: skip
_LISTS = {
    "add_unit_type": "units.types", "accept_statement": "units.types", "set_scope": "units.types", "record_ports": "units.types", "permit_firmware": "units.types", "add_site": "people.sites",
    "add_person": "people.everybody", "rename_person": "people.everybody", "give_role": "people.everybody", "end_role": "people.everybody",
    "record_training": "people.everybody", "record_departure": "people.everybody", "settle_discrepancy": "holds.waiting", "answer_recheck": "holds.waiting",
    "send_to_repair": "movement.every", "enter_loan": "movement.every", "agree_return": "movement.every", "return_loan": "movement.every", "plan_crossing": "movement.every", "end_crossing": "movement.every",
    "survey_mark": "bench_marks.every", "end_mark": "bench_marks.every",
}  # fmt: skip


def after(entry: Entry) -> str:
    """Where one lands when the act is in the log."""
    if entry.act == "attach_file":
        kind = next(name for name in ("half", "pair", "vehicle", "bay", "hold", "meter") if entry.ids.get(name))
        return path_to(kind, entry.ids[kind])
    if entry.act == "answer_line":
        return path_to("audit", entry.decided["audit"])
    if entry.act == "settle_discrepancy" and entry.decided.get("vehicle"):
        return path_to("vehicle", entry.decided["vehicle"])
    if entry.act in ("set_plan_figure", "drop_plan_figure"):
        return url_for("plans.plan", site=entry.ids.get("site"))
    if entry.act in ("hold_same_batch", "pass_same_batch"):
        kind = "hold" if entry.ids.get("hold") else "impact"
        return path_to(f"batch of {kind}", entry.ids[kind])
    if entry.act == "withdraw_acts" and (out := _sailed(entry)):
        return path_to("vehicle", out)
    if entry.act == "accept_finding" and entry.body.get("from_on"):
        # Back to the voyage it was accepted for.
        asked = {"from": entry.body["from_on"], "to": entry.body["to_on"], "use": entry.body["use"]}
        return path_to("vehicle", entry.ids["vehicle"], **asked)
    if entry.act in _AFTER:
        kind, field = _AFTER[entry.act]
        return path_to(kind, entry.ids[field] if field else entry.id)
    if entry.act in _LISTS:
        return url_for(_LISTS[entry.act])
    return url_for("log.one", seq=entry.seq)


def _sailed(entry: Entry) -> str | None:
    """The vehicle of a mission that was taken back together with its run."""
    vehicles = [id_ for one in entry.decided["of"] for id_ in one.get("vehicle_id", ())]
    return vehicles[0] if "mission_run" in entry.decided["void"] and vehicles else None
