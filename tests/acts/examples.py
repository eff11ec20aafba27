"""One lawful example of every act, in the record that has been lived in (tests/models/lived.py)."""

from typing import Any, NamedTuple

from tests.cast import World
from tests.lived import ARM, CLOSED, LOOKED, MOUNTED, PAIRS, POSES, PROCEDURE, READ, RIGHT, SETTINGS, SHEET
from tests.samples import MOTIONS_GIVEN, NOTE_GIVEN, PHOTO_GIVEN, REST_GIVEN, TRACK_GIVEN


class Example(NamedTuple):
    """`by` may do it and `stranger` may not; `otherwise` are the same fields told differently."""

    by: str
    fields: dict[str, Any]
    stranger: str | None = "anselm"
    otherwise: dict[str, Any] | None = None
    when: str = "18 09:00"


_SENSOR = {
    "kind": "sensor",
    "unit_type": "reed",
    "maker": "Ardlune",
    "part": "RS-100",
    "serial": "S-77",
    "site": "shed",
}
_P2, _P5 = {"sensor_out": "p2 s", "electronics_out": "p2 e"}, {"sensor": "p5 s", "electronics": "p5 e"}
_LEAK = {"start_mbar": "750", "start_c": "20.0", "end_mbar": "752.7", "end_c": "21.0", "hold_min": "30"}
_ESD = {"strap_mohm": "7.2", "surface_mohm": "40", "field_kv_m": "0.4", "meters": ["BT-04", "RM-1", "FM-2"]}
_NAME = {"private": {"name": "Lise"}}

EXAMPLES: dict[str, Example] = {
    # people
    "add_person": Example("maren", {"role": "technician", **_NAME}, otherwise={"role": "auditor"}),
    "rename_person": Example("maren", {"person": "ida", **_NAME}, otherwise={"person": "yusuf"}),
    "give_role": Example("maren", {"person": "ida", "role": "verifier"}, otherwise={"role": "auditor"}),
    "end_role": Example("maren", {"person": "ida", "role": "technician"}, otherwise={"person": "yusuf"}),
    "record_training": Example("oda", {"person": "ida", "subject": "lifting", "trained_on": "2026-05-02"}, otherwise={"subject": "lithium"}),
    "record_departure": Example("maren", {"person": "yusuf"}, otherwise={"person": "vera"}),
    # sites and units
    "add_site": Example("maren", {"site": "South quay", "kind": "shore"}, otherwise={"site": "North quay"}),
    "add_station": Example("oda", {"site": "shed", "station": "Bench 9", "kind": "protected_area"}, otherwise={"station": "Bench 8"}),
    "add_unit_type": Example("oda", {"maker": "Ardlune", "type_name": "Fescue", "sensor_part": "FS-1", "electronics_part": "FE-1", "accepts": ["letter"]}, otherwise={"type_name": "Marram"}),
    "accept_statement": Example("oda", {"unit_type": "reed", "grade": "letter"}, otherwise={"grade": "acceptance_report"}),
    "receive_half": Example("ida", _SENSOR, otherwise={"serial": "S-78"}),
    "add_identity": Example("ida", {"half": "p1 s", "label": "S-99", "maker": "Ardlune", "part": "RS-100", "serial": "S-99"}, otherwise={"part": "RS-101"}),
    "record_firmware": Example("ida", {"half": "p1 e", "firmware": "2.5.0"}, otherwise={"firmware": "2.5.1"}),
    "note_fault": Example("ida", {"half": "p1 e", "words": "a loose screw"}, stranger=None, otherwise={"words": "two loose screws"}),
    "retire_half": Example("piet", {"half": "lone s", "why": "worn out"}, otherwise={"half": "lone e"}),
    "retire_vehicle": Example("piet", {"vehicle": "spare hull", "why": "sold"}, otherwise={"why": "lost"}),
    # pairings
    "record_pairing": Example("oda", {"pair": "new", "sensor": "lone s", "electronics": "lone e", "grade": "calibration_sheet", "statement": "ST-9", "stated_on": "2026-05-01"}, otherwise={"statement": "ST-8"}),
    "end_pairing": Example("oda", {"pair": "p5", "why": "one half was lost"}, otherwise={"why": "scrapped"}),
    # fleet
    "add_vehicle": Example("piet", {"vehicle": "Sorrel", "hull_number": "HN-9", "hull": "torpedo", "length_m": "5", "site": "shed"}, otherwise={"hull_number": "HN-8"}),
    "add_housing": Example("piet", {"vehicle": "teasel", "housing": "aft", "closing_method": "gasket"}, otherwise={"housing": "mast"}),
    "add_bay": Example("piet", {"housing": "teasel forward", "letter": "C", "from_bow_m": "2", "accepts": ["reed"]}, otherwise={"letter": "D"}),
    "accept_type": Example("oda", {"bay": "teasel A", "unit_type": "sedge"}, otherwise={"bay": "teasel B"}),
    "stop_accepting_type": Example("oda", {"bay": "teasel A", "unit_type": "reed"}, otherwise={"bay": "teasel B"}),
    "bind_contract": Example("piet", {"vehicle": "teasel", "reference": "survey 14", "from_on": "2026-05-01", "overdue_stops": True}, otherwise={"reference": "survey 15"}),
    "end_contract": Example("piet", {"contract": "contract", "reason": "it was signed anew"}, otherwise={"reason": "it is done"}),
    "set_bay_use": Example("piet", {"bay": "teasel A", "use": "multibeam"}, otherwise={"use": "camera"}),
    # deliveries and unboxing
    "set_scope": Example("oda", {"unit_type": "reed", "lines": [{"item": "power lead", "quantity": 2}]}, otherwise={"unit_type": "sedge"}),
    "record_delivery": Example("ida", {"sender": "Ardlune", "reference": "DN-9", "site": "shed", "cartons": 2}, otherwise={"reference": "DN-8"}),
    "record_carton": Example("ida", {"delivery": "delivery", "number": 5, "condition": "sound", "shock": "clear", "tilt": "none", "seal": "whole"}, otherwise={"seal": "broken"}),
    "open_carton": Example("ida", {"carton": "sealed carton", "station": "bench 3"}, otherwise={"alone": "its partner is late"}),
    "open_bag": Example("ida", {"carton": "open carton"}, otherwise={"surface_c": "20", "air_c": "20", "humidity_pct": "40"}),
    "inspect_half": Example("ida", {"carton": "bag carton", "label": "lone e", "bag": "closed", "outcome": "accept", "lines": [{"item": "handbook", "quantity": 1, "state": "missing", "words": "to follow"}]}, otherwise={"bag": "none"}),
    "record_power_up": Example("ida", {"pair": "p5", "off_load_v": "24.1", "on_load_v": "23.8", "current_a": "0.9", "fault_mohm": "50"}, otherwise={"current_a": "1.1"}),
    # handling
    "sign_esd": Example("ida", {"station": "bench", **_ESD, "exposed": ["lone s"]}, otherwise={"strap_mohm": "7.3"}),
    "check_station": Example("ida", {"station": "bench", "surface_mohm": "40", "field_kv_m": "0.4", "looks_sound": True, "meters": ["RM-1", "FM-2"]}, otherwise={"surface_mohm": "41"}),
    "add_meter": Example("ida", {"site": "shed", "meter": "RM-9", "reads": "resistance"}, otherwise={"meter": "RM-8"}),
    "record_meter_calibration": Example("ida", {"meter": "RM-1", "calibrated_on": "2026-05-02", "as_found": "outside", "certificate": "C-12", "files": [NOTE_GIVEN]}, otherwise={"certificate": "C-13"}),
    "retire_meter": Example("oda", {"meter": "RM-1", "reason": "dropped"}, otherwise={"meter": "BT-04"}),
    "set_plan_figure": Example("oda", {"figure": "strap_below_mohm", "site": "shed", "value": "10", "reason": "the testers are set to it", "source": "plan of the shed, issue 3"}, otherwise={"value": "12"}),
    "drop_plan_figure": Example("oda", {"figure": "signoff_holds_h", "site": "shed", "reason": "shifts are longer again"}, otherwise={"reason": "longer shifts"}),
    "leave_station": Example("ida", {"esd_signoff": "sign-off"}, stranger="piet", otherwise={"happened_at": "2026-05-18T10:00:00Z"}),
    # acceptances
    "accept_finding": Example("piet", {"vehicle": "burdock", "bay": "B", "finding": "alignment_missing", "evidence": "burdock B seq", "from_on": "2026-05-19", "to_on": "2026-05-29", "reason": "the run is planned for the first day"}, otherwise={"to_on": "2026-05-30"}),
    "withdraw_acceptance": Example("rosa", {"acceptance": "acceptance", "reason": "the run was called off"}, otherwise={"reason": "called off"}),
    # installs
    "install_pair": Example("ida", {"bay": "burdock A", **_P5}, otherwise={"esd_signoff": "sign-off"}),
    "remove_pair": Example("ida", {"bay": "burdock B", **_P2, "reason": "planned"}, otherwise={"reason": "repair"}),
    "swap_pairs": Example("ida", {"bay": "burdock B", **_P2, "sensor_in": "p5 s", "electronics_in": "p5 e"}, otherwise={"reason": "repair"}),
    "amend_times": Example("oda", {"changes": [{"act": "install 1", "instant": "installed", "at": "2026-05-10T09:45:00Z"}], "why": "read it again"}, otherwise={"why": "looked again"}),
    "amend_bay": Example("oda", {"amends": "install 1", "bay": "burdock A", "why": "the labels hang side by side"}, otherwise={"why": "read the wrong label"}),
    "amend_mission": Example("oda", {"mission": "M-1", "started": "2026-05-10T10:30:00Z", "why": "the clock ran fast"}, otherwise={"why": "another clock"}),
    "amend_person": Example("oda", {"amends": "vehicle move", "person": "oda", "why": "Piet was ashore"}, otherwise={"why": "Piet was ill"}),
    "withdraw_acts": Example("oda", {"acts": ["closing"], "why": "entered twice"}, otherwise={"why": "it stayed open"}),
    # mountings, axis and sign checks, alignments
    "record_mounting": Example("piet", {"bay": "burdock A", **MOUNTED}, otherwise={"yaw_deg": "0.36"}),
    "record_lever_arm": Example("ida", {"bay": "burdock A", **ARM}, otherwise={"sigma_m": "0.01"}),
    "record_axis_check": Example("vera", {"bay": "teasel A", **RIGHT}, otherwise={"turn": "nothing"}),
    "record_axis_recording": Example("vera", {"bay": "teasel A", "files": [MOTIONS_GIVEN]}, otherwise={"words": "again"}),
    "record_mounting_check": Example("ida", {"bay": "teasel A", "poses": POSES}, otherwise={"words": "again"}),
    "record_alignment": Example("ida", {"bay": "teasel A", **SHEET}, otherwise={"unit_yaw_deg": "0.06"}),
    "fit_alignment": Example("vera", {"bay": "teasel A", "pairs": PAIRS, "source": "boresight", "north": "none"}, otherwise={"north": "true"}),
    "fit_dvl_run": Example("ida", {"bay": "teasel A", "files": [TRACK_GIVEN], "heading_north": "true", "reference_north": "true", "sound_speed_m_s": "1500", "rtk": True}, otherwise={"sound_speed_m_s": "1490"}),
    "carry_alignment": Example("ida", {"bay": "burdock B", "faces_clean": True}, otherwise={"unit_in_sigma_deg": "0.04"}),
    "confirm_alignment": Example("vera", {"bay": "teasel A", "residual_deg": "-0.01", "sigma_deg": "0.02"}, otherwise={"residual_deg": "0.01"}),
    "withdraw_alignment": Example("ida", {"bay": "teasel A", "words": "the bracket was bent"}, otherwise={"words": "bent"}),
    # settings, closing sheets
    "record_ports": Example("oda", {"unit_type": "reed", "serial_ports": 6, "network_ports": 2, "source": "handbook 5"}, otherwise={"serial_ports": 5}),
    "permit_firmware": Example("oda", {"unit_type": "reed", "versions": [{"kind": "electronics", "version": "2.4.1"}], "reason": "note 15"}, otherwise={"reason": "note 16"}),
    "write_settings_sheet": Example("piet", {"bay": "teasel A", **SETTINGS}, otherwise={"led_by": "host"}),
    "load_settings": Example("ida", {"bay": "teasel A", "sheet_version": 2, "electronics": "p1 e"}, otherwise={"sheet_version": 1}),
    "check_seating": Example("yusuf", {"bay": "teasel A", **LOOKED}, otherwise={"found": "a loose dowel"}),
    "record_readback": Example("vera", {"bay": "teasel A", "values": READ, "electronics_serial": "E-p1"}, otherwise={"values": READ[::-1]}),
    "keep_settings_file": Example("ida", {"bay": "teasel A", "outcome": "dead"}, otherwise={"words": "no light"}),
    "record_closing_sheet": Example("ida", {"housing": "spare forward", **CLOSED}, otherwise={"tools_in": 5}),
    # holds, sightings, moves
    "place_hold": Example("ida", {"pair": "p5", "cause": "suspect", "reason": "it hummed"}, stranger=None, otherwise={"cause": "wet"}),
    "release_hold": Example("rosa", {"hold": "hold", "reason": "dried", "evidence": "photo 12"}, otherwise={"reason": "dry"}),
    "record_sighting": Example("anselm", {"bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"}, stranger="vera", otherwise={"words": "clean"}),
    "settle_discrepancy": Example("piet", {"discrepancy": "discrepancy", "answer": "it was on the bench"}, otherwise={"answer": "it was on the shelf"}),
    "move_halves": Example("piet", {"halves": ["lone s", "lone e"], "site": "vessel"}, otherwise={"halves": ["lone s"]}),
    "move_vehicle": Example("piet", {"vehicle": "burdock", "site": "vessel"}, otherwise={"vehicle": "spare hull"}),
    # movement
    "send_to_repair": Example("ida", {"halves": ["p5 s"], "keeper": "Ardlune works", "due_on": "2026-06-10"}, otherwise={"reference": "RP-9"}),
    "return_from_repair": Example("ida", {"half": "odd e", "outcome": "untouched", "site": "shed"}, otherwise={"spot": "shelf 3"}),
    "enter_loan": Example("piet", {"pair": "p5", "partner": "Lowmoor Survey", "answers": "piet", "return_on": "2026-06-30"}, otherwise={"return_on": "2026-07-01"}),
    "agree_return": Example("piet", {"loan": "the loan", "return_on": "2026-07-15", "words": "their weather"}, otherwise={"return_on": "2026-07-16"}),
    "return_loan": Example("ida", {"loan": "the loan", "site": "shed"}, otherwise={"words": "clean and dry"}),
    "plan_crossing": Example("piet", {"half": "p5 s", "from_country": "Norland", "to_country": "Sudland", "crosses_on": "2026-06-02"}, otherwise={"licence": "L-1"}),
    "end_crossing": Example("ida", {"crossing": "the crossing", "outcome": "crossed"}, otherwise={"outcome": "dropped"}),
    # audits
    "open_audit": Example("anselm", {"audit": "A-9"}, stranger="ida", otherwise={"audit": "A-8"}),
    "sight_bay": Example("anselm", {"audit": "A-1", "bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"}, stranger="vera", otherwise={"words": "clean"}),
    "sight_shelf": Example("anselm", {"audit": "A-3", "halves": ["p5 s", "p5 e"], "strangers": ["S-19988"]}, stranger="vera", otherwise={"spot": "shelf 3"}),
    "answer_line": Example("anselm", {"line": "line 1", "answer": "not_opened", "because": "under a crane"}, stranger="vera", otherwise={"because": "on a lorry"}),
    "close_audit": Example("anselm", {"audit": "A-2"}, stranger="ida", otherwise={"words": "one hull stayed shut"}),
    # missions, impacts, the same batch
    "plan_mission": Example("piet", {"vehicle": "teasel", "reference": "M-9", "area": "Sill", "planned_from": "2026-05-22T08:00:00Z", "planned_to": "2026-05-23T08:00:00Z"}, otherwise={"area": "Outer bank"}),
    "start_mission": Example("ida", {"mission": "M-3"}, otherwise={"happened_at": "2026-05-18T08:00:00Z"}, when="19 09:00"),
    "end_mission": Example("ida", {"mission": "M-2", "distance_km": "40", "aided_by": "dvl"}, otherwise={"distance_km": "41"}),
    "record_mission": Example("ida", {"vehicle": "teasel", "reference": "M-8", "area": "Sill", "ended_at": "2026-05-18T12:00:00Z", "distance_km": "9"}, otherwise={"area": "Outer bank"}),
    "record_distance": Example("ida", {"mission": "M-1", "distance_km": "8.2", "aided_by": "gnss"}, otherwise={"distance_km": "8.3"}),
    "open_impact": Example("vera", {"pair": "p1", "reason": "heading off by half a degree", "heading_deg": "0.5"}, otherwise={"heading_deg": "0.6"}),
    "count_impact": Example("piet", {"impact": "impact"}, otherwise={"happened_at": "2026-05-18T08:00:00Z"}),
    "answer_impact": Example("oda", {"impact": "impact", "lines": ["impact line"], "answer": "withdrawn", "words": "the lines are 30 m apart"}, otherwise={"answer": "not_affected"}),
    "hold_same_batch": Example("vera", {"hold": "hold", "half": "p2 e", "kinship": "station", "reason": "it lay beside it"}, otherwise={"reason": "the same bench"}),
    "pass_same_batch": Example("vera", {"hold": "hold", "half": "p2 e", "kinship": "tester", "reason": "the tester was looked at"}, otherwise={"reason": "it was dry"}),
    "state_outcome": Example("ida", {"removal": "removal p2", "outcome": "fault_found", "fault_in": "sensor", "words": "gyro y noisy"}, otherwise={"fault_in": "both"}),
    # files
    "attach_file": Example("ida", {"half": "p1 s", "files": [NOTE_GIVEN, PHOTO_GIVEN], "words": "both sides"}, stranger=None, otherwise={"files": [PHOTO_GIVEN]}),
    # openings
    "open_housing": Example("ida", {"housing": "spare forward", "reason": "a look inside"}, otherwise={"reason": "a look"}),
    "close_housing": Example("ida", {"housing": "teasel forward"}, otherwise={"words": "all well"}),
    "record_leak_test": Example("ida", {"housing": "spare forward", **_LEAK}, otherwise={"hold_min": "40"}),
    "record_knock": Example("ida", {"half": "p5 s", "words": "slipped on the bench"}, stranger=None, otherwise={"words": "fell"}),
    # spares
    "set_swap_kit": Example("piet", {"housing": "teasel forward", "lines": [{"item": "dowel pins", "quantity": 2}]}, otherwise={"housing": "burdock forward"}),
    "count_swap_kits": Example("ida", {"housing": "spare forward", "site": "shed", "kits": 1}, otherwise={"kits": 3}),
    # verification
    "survey_mark": Example("vera", {"site": "vessel", "mark": "Rail", "heading_deg": "88.4", "north": "magnetic", "to_true_deg": "1.5", "north_source": "chart of 2026", "sigma_deg": "0.1", "how": "compass", "surveyed_on": "2026-05-10"}, otherwise={"sigma_deg": "0.2"}),
    "end_mark": Example("vera", {"mark": "mark", "reason": "the wall was painted over"}, otherwise={"reason": "moved"}),
    "record_calibration": Example("vera", {"pair": "p5", "certificate": "CC-9", "calibrated_on": "2026-04-30", "place": "Ardlune works", "results": [{"quantity": "heading", "unit": "deg", "as_found": "0.01", "as_left": "0.01", "expanded": "0.02", "k": "2"}]}, otherwise={"certificate": "CC-8"}),
    "record_heading_check": Example("vera", {"pair": "p5", "mark": "mark", **PROCEDURE, "tolerance_deg": "0.2", "found_deg": "120.02", "u_deg": "0.02"}, otherwise={"tolerance_deg": "0.3"}),
    "record_ship_check": Example("vera", {"pair": "p5", **PROCEDURE, "unit_heading_deg": "0.1", "ship_heading_deg": "359.9", "tolerance_deg": "1", "u_deg": "0.2"}, otherwise={"tolerance_deg": "2"}),
    "record_static_test": Example("vera", {"pair": "p5", **PROCEDURE, "lat_deg": "59.3", "files": [REST_GIVEN]}, otherwise={"warm_up_min": "50"}),
    "review_verification": Example("oda", {"verification": "check p1", "outcome": "agreed"}, otherwise={"words": "looked at the log"}),
    "approve_interval": Example("rosa", {"pair": "p5", "days": 200, "words": "it works hard"}, otherwise={"days": 180}),
    "record_hours": Example("ida", {"pair": "p5", "hours_run": "140"}, otherwise={"hours_run": "141"}),
    "answer_recheck": Example("vera", {"recheck": "recheck", "answer": "nothing found"}, otherwise={"answer": "nothing"}),
}  # fmt: skip
#: The act that makes a registry: it has a world of its own (test_people.py).
FIRST = "found_outfit"


def example(world: World, act: str, **changed: Any) -> dict[str, Any]:
    """The fields of the example as sent; `changed` fields are told differently."""
    told = EXAMPLES[act]
    sent = world.sent(act, told.when, **told.fields)
    if "changes" in sent:
        sent["changes"] = [row | {"act": world.ids.get(row["act"], row["act"])} for row in sent["changes"]]
    if "amends" in sent:
        sent["amends"] = world.ids.get(sent["amends"], sent["amends"])
    if "acts" in sent:
        sent["acts"] = [world.ids.get(name, name) for name in sent["acts"]]
    return sent | {name: world._known(value) for name, value in changed.items()}
