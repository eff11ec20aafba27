"""For every constraint a row that is lawful but for the one thing that the constraint forbids."""

from collections.abc import Iterator
from typing import Any, NamedTuple

import sqlalchemy as sa

from registry.domain.amendments import THINGS
from registry.domain.attachments import SUBJECTS as ATTACHED_TO
from registry.domain.holds import SUBJECTS
from registry.domain.impacts import KINDS as LINES
from registry.domain.impacts import SUBJECTS as FOUND_BAD
from registry.models.base import closing_columns, metadata
from registry.models.columns import Flag, Stamp
from tests.models.fresh import LATE, SOON, closed, fresh
from tests.models.hand import Hand, new_id

NOWHERE = new_id("nowhere")


class Spoilt(NamedTuple):
    """`constraint` by its name; `close` fills in the closing columns first; `columns` then spoil the row. `also` are
    constraints that forbid the same thing: they are dropped with it."""

    constraint: str
    table: str
    columns: dict[str, Any]
    close: bool = False
    also: tuple[str, ...] = ()

    def row(self, hand: Hand, ids: dict[str, str]) -> dict[str, Any]:
        row = fresh(hand, self.table, ids)
        if self.close:
            row |= closed(self.table, ids, hand.seq)
        values = {
            name: value(hand) if callable(value) else ids.get(value, value) if isinstance(value, str) else value
            for name, value in self.columns.items()
        }
        return row | values


def on_engine(constraint: sa.Constraint, engine: str) -> bool:
    """Whether this engine has the constraint."""
    return constraint._ddl_if is None or constraint._ddl_if.dialect == engine


def checks(engine: str) -> Iterator[Spoilt]:
    """Every named CHECK this engine has."""
    for table in metadata.sorted_tables:
        for check in sorted(table.constraints, key=lambda one: str(one.name)):
            if isinstance(check, sa.CheckConstraint) and check.name in _BY_HAND:
                yield _BY_HAND[str(check.name)]
            elif isinstance(check, sa.CheckConstraint) and on_engine(check, engine):
                yield _generated(table, str(check.name), engine)


def _generated(table: sa.Table, name: str, engine: str) -> Spoilt:
    what = name.removeprefix(f"{table.name}_")
    if what.endswith("_known"):
        return Spoilt(name, table.name, {what.removesuffix("_known"): "unheard of"})
    if what.endswith("_in_its_form"):
        column = table.c[what.removesuffix("_in_its_form")]
        # Another spelling, or another millennium, which still sorts as it should beside the row's other instant.
        late = "closing" in column.info
        instant = (
            ("2026-09-01 09:00" if late else "2026-03-01 09:00")
            if engine == "sqlite"
            else "12026-01-01"
            if late
            else "1899-01-01"
        )
        day = "1 May 2026" if engine == "sqlite" else "1899-01-01"
        value = 7 if isinstance(column.type, Flag) else instant if isinstance(column.type, Stamp) else day
        return Spoilt(name, table.name, {column.name: value}, close="closing" in column.info)
    since, until = table.info["stay"].since, table.info["stay"].until
    offset = until.replace("_at", "_offset_min")
    return {
        "closed_by_a_later_entry": Spoilt(name, table.name, {"closed_seq": lambda hand: hand.seq - 1}, close=True),
        "ends_after_it_begins": Spoilt(
            name, table.name, {until: "2026-05-19T10:00:00.000000Z", since: "2026-05-19T10:00:00.000000Z"}, close=True
        ),
        "closed_as_a_whole": Spoilt(name, table.name, {offset: None}, close=True),
    }[what]


def _spelt(hand: Hand) -> str:
    """Another spelling, or another millennium, that still comes first."""
    return "2026-03-01 09:00" if hand.db.dialect.name == "sqlite" else "1899-01-01"


def _spelt_late(hand: Hand) -> str:
    return "2026-09-01 09:00" if hand.db.dialect.name == "sqlite" else "12026-01-01"


#: An amended mission that is amended in its vehicle.
_OF_VEHICLE = {"part": "vehicle", **dict.fromkeys(("was_at", "was_offset_min", "now_at", "now_offset_min"))}
_BY_HAND = {
    spoilt.constraint: spoilt
    for spoilt in (
        Spoilt("acceptance_begins_before_it_ends", "acceptance", {"from_on": "2026-06-02", "to_on": "2026-06-01"}),
        Spoilt("acceptance_rests_on_an_earlier_entry", "acceptance", {"evidence_seq": lambda hand: hand.seq}),
        Spoilt("calibration_result_says_something", "calibration_result", {"as_found": None, "as_left": None}),
        Spoilt("calibration_result_with_its_k", "calibration_result", {"expanded": "0.1", "k": None}),
        Spoilt("standard_used_for_one_thing", "standard_used", {"calibration_id": None, "verification_id": None}),
        Spoilt("verification_interval_of_days", "verification_interval", {"days": 0}),
        Spoilt("verification_line_says_something", "verification_line", {"as_found": None, "as_left": None}),
        Spoilt("verification_review_known", "verification", {"review": "unheard of"}, close=True),
        Spoilt(
            "verification_reviewed_by_another",
            "verification",
            {"reviewed_by_id": "vera", "done_by_id": "vera"},
            close=True,
        ),
        Spoilt("axis_check_explained_by_known", "axis_check", {"explained_by": "unheard of", "verdict": "wrong"}),
        Spoilt(
            "axis_check_explains_what_is_wrong", "axis_check", {"explained_by": "aft port down", "verdict": "right"}
        ),
        Spoilt("bay_mounting_dowels_as_a_whole", "bay_mounting", {"dowel_play_mm": None}),
        Spoilt(
            "bay_mounting_dowels_known",
            "bay_mounting",
            {"dowels": "unheard of", "dowel_play_mm": None, "dowel_spacing_mm": None},
        ),
        Spoilt("amended_bay_is_another", "amended_bay", {"was_bay_id": "teasel A", "now_bay_id": "teasel A"}),
        Spoilt("amended_mission_says_both", "amended_mission", {"was_vehicle_id": "teasel"}),
        Spoilt(
            "amended_mission_is_another",
            "amended_mission",
            {**_OF_VEHICLE, "was_vehicle_id": "teasel", "now_vehicle_id": "teasel"},
        ),
        Spoilt("amended_person_is_another", "amended_person", {"was_person_id": "ida", "now_person_id": "ida"}),
        Spoilt("withdrawn_of_one_thing", "withdrawn_of", {"half_id": "p1 s", "bay_id": "teasel A"}),
        Spoilt(
            "contract_term_not_before_it_begins", "contract_term", {"from_on": "2026-06-02", "until_on": "2026-06-01"}
        ),
        Spoilt(
            "contract_term_until_on_in_its_form",
            "contract_term",
            {"until_on": lambda hand: "9 May 2030" if hand.db.dialect.name == "sqlite" else "12026-01-01"},
        ),
        Spoilt("contract_term_of_whole_months", "contract_term", {"verification_months": 0}),
        Spoilt("swap_kit_line_counts", "swap_kit_line", {"quantity": 0}),
        Spoilt("swap_kit_count_none_or_more", "swap_kit_count", {"kits": -1}),
        Spoilt("audit_of_its_scope", "audit", {"scope": "vehicle"}),
        Spoilt("audit_line_of_one_place", "audit_line", {"bay_id": "teasel A"}),
        Spoilt("loan_of_one_thing", "loan", {"vehicle_id": "teasel", "pairing_id": "p5"}),
        Spoilt("half_away_outcome_known", "half_away", {"outcome": "unheard of"}, close=True),
        Spoilt("half_away_on_a_loan", "half_away", {"cause": "loan"}),
        Spoilt("crossing_outcome_known", "crossing", {"outcome": "unheard of"}, close=True),
        Spoilt("crossing_of_one_thing", "crossing", {"vehicle_id": "teasel", "half_id": "p1 s"}),
        Spoilt("carton_counts", "carton", {"number": 0}),
        Spoilt("delivery_of_something", "delivery", {"cartons": 0}),
        Spoilt(
            "attachment_to_one_thing",
            "attachment",
            {**dict.fromkeys(ATTACHED_TO), "half_id": "p1 s", "bay_id": "teasel A"},
        ),
        Spoilt("attachment_named_by_its_hash", "attachment", {"sha256": "A" + "0" * 63}),
        Spoilt("attachment_holds_something", "attachment", {"size_bytes": 0}),
        Spoilt("carried_file_named_by_its_hash", "carried_file", {"sha256": "A" + "0" * 63}),
        Spoilt("carried_file_holds_something", "carried_file", {"size_bytes": 0}),
        Spoilt("discrepancy_about_something", "discrepancy", {"bay_id": None, "half_id": None}),
        Spoilt(
            "hold_on_one_thing",
            "hold",
            {"half_id": "p1 s", "bay_id": "teasel A", "pairing_id": None, "vehicle_id": None},
        ),
        Spoilt("hold_released_by_another", "hold", {"released_by_id": "rosa", "placed_by_id": "rosa"}, close=True),
        Spoilt(
            "mission_planned_whole",
            "mission",
            {"planned_from_at": SOON, "planned_from_offset_min": 0, "planned_to_at": None},
        ),
        Spoilt("mission_planned_forwards", "mission", {"planned_from_at": LATE, "planned_to_at": SOON}),
        Spoilt("mission_planned_from_at_in_its_form", "mission", {"planned_from_at": _spelt, "planned_to_at": LATE}),
        Spoilt(
            "mission_planned_to_at_in_its_form",
            "mission",
            {"planned_from_at": "2026-03-01T09:00:00.000000Z", "planned_to_at": _spelt_late},
        ),
        Spoilt("impact_of_one_thing", "impact", {**dict.fromkeys(FOUND_BAD), "half_id": "p1 s", "meter_id": "RM-1"}),
        Spoilt("impact_line_of_one_thing", "impact_line", {f"{kind}_id": None for kind in LINES}),
        Spoilt("batch_answer_from_one_thing", "batch_answer", {"hold_id": None, "impact_id": None}),
        Spoilt("batch_answer_held_by_a_hold", "batch_answer", {"answer": "held", "placed_id": None}),
        Spoilt("batch_answer_answer_known", "batch_answer", {"answer": "unheard of", "placed_id": None}),
        Spoilt("second_check_shown_by_photos", "second_check", {"how": "ashore", "photos": 0, "told": ""}),
        Spoilt("second_check_looked_or_told", "second_check", {"looked_at": "", "told": ""}),
        Spoilt("removal_outcome_says_where", "removal_outcome", {"outcome": "fault_found", "fault_in": "neither"}),
        Spoilt(
            "removal_outcome_fault_in_known", "removal_outcome", {"outcome": "fault_found", "fault_in": "unheard of"}
        ),
        Spoilt("inspection_line_counts", "inspection_line", {"quantity": -1}),
        Spoilt("knock_of_one_thing", "knock", {"vehicle_id": "teasel", "half_id": "p1 s"}),
        Spoilt("log_head_is_one_row", "log_head", {"one": 2}),
        Spoilt("log_head_writing_is_yes_or_no", "log_head", {"one": 1, "writing": 7}),
        Spoilt("log_rest_is_no_writing", "log_rest", {"writing": 1}),
        Spoilt(
            "pairing_of_one_half_of_each_kind", "pairing", {"electronics_id": "lone2 s", "electronics_kind": "sensor"}
        ),
        # Another spelling, or another millennium, that is after the day of the calibration all the same.
        Spoilt(
            "meter_calibration_due_on_in_its_form",
            "meter_calibration",
            {"due_on": lambda hand: "9 May 2030" if hand.db.dialect.name == "sqlite" else "12026-01-01"},
        ),
        Spoilt("meter_due_after_calibration", "meter_calibration", {"due_on": "2020-01-01"}),
        Spoilt("recheck_of_something", "recheck", {"pairing_id": None, "housing_id": None, "half_id": None}),
        Spoilt("removal_seat_follows_or_not", "removal", {"seat_follows": 7}),
        Spoilt("closing_sheet_counts_tools", "closing_sheet", {"tools_out": -1}),
        Spoilt("settings_sheet_counts", "settings_sheet", {"version": 0}),
        Spoilt("settings_sheet_named_by_its_checksum", "settings_sheet", {"checksum": "A" + "0" * 63}),
        Spoilt("type_ports_counted", "type_ports", {"serial_ports": -1}),
        Spoilt("scope_line_counts", "scope_line", {"quantity": 0}),
        Spoilt("swap_kit_line_counts", "swap_kit_line", {"quantity": 0}),
        Spoilt("swap_kit_count_none_or_more", "swap_kit_count", {"kits": -1}),
        Spoilt("retirement_of_one_thing", "retirement", {"half_id": "lone s", "vehicle_id": "teasel"}),
    )
}


def references() -> Iterator[Spoilt]:
    """Every foreign key: a row that refers to nothing, or to something that is not what the rest of the row says."""
    for table in metadata.sorted_tables:
        for key in sorted(table.foreign_key_constraints, key=lambda one: str(one.name)):
            columns = [element.parent for element in key.elements]
            if key.deferrable:  # It is looked at when a transaction ends: test_database.py ends one.
                continue
            if len(columns) > 1:
                yield _COMPOSITE[str(key.name)]
                continue
            name, column = str(key.name), columns[0]
            subjects = _ONE_THING.get(table.name, ())
            spoilt = {
                **dict.fromkeys(subjects if column.name in subjects else ()),
                **_BESIDES.get(name, {}),
                column.name: _NO_ENTRY.get(name, 10**6) if isinstance(column.type, sa.Integer) else NOWHERE,
            }
            close = column.name == "closed_seq" or "closing" in column.info
            if (
                name == "fk_installation_span_seq"
            ):  # A row is closed by no earlier entry: leave this one open, and voided.
                spoilt |= {
                    **dict.fromkeys((*closing_columns(table), "closed_seq")),
                    "voided_seq": lambda hand: hand.seq,
                }
            if name == "fk_batch_answer_placed_id":  # Only who is held is held by a hold.
                spoilt["answer"] = "held"
            yield Spoilt(name, table.name, spoilt, close, _WIDER.get(name, ()))


#: An entry that is not there, where a later one is refused before it is looked for.
_NO_ENTRY = {"fk_acceptance_evidence_seq": 0}
#: Tables whose rows are about one thing out of several.
_ONE_THING = {
    "attachment": tuple(ATTACHED_TO),
    "audit_line": ("bay_id", "half_id", "label"),
    "crossing": ("vehicle_id", "pairing_id", "half_id"),
    "loan": ("vehicle_id", "pairing_id"),
    "hold": tuple(SUBJECTS),
    "impact": tuple(FOUND_BAD),
    "impact_line": tuple(f"{kind}_id" for kind in LINES),
    "batch_answer": ("hold_id", "impact_id"),
    "knock": ("vehicle_id", "half_id"),
    "retirement": ("vehicle_id", "half_id"),
    "standard_used": ("calibration_id", "verification_id"),
    "withdrawn_of": tuple(THINGS),
}
#: What else a row must say that has this reference.
_BESIDES = {
    "fk_amended_mission_was_vehicle_id": {**_OF_VEHICLE, "now_vehicle_id": "teasel"},
    "fk_amended_mission_now_vehicle_id": {**_OF_VEHICLE, "was_vehicle_id": "teasel"},
    "fk_audit_site_id": {"scope": "site"},
    "fk_audit_vehicle_id": {"scope": "vehicle"},
    "fk_half_away_loan_id": {"cause": "loan"},
}
#: References that a composite one repeats.
_WIDER = {
    "fk_bay_vehicle_id": ("bay_in_a_housing_of_its_vehicle",),
    "fk_bay_housing_id": ("bay_in_a_housing_of_its_vehicle",),
    "fk_pairing_unit_type_id": ("pairing_of_a_sensor_half", "pairing_of_an_electronics_half"),
}
_COMPOSITE = {
    spoilt.constraint: spoilt
    for spoilt in (
        Spoilt(
            "bay_in_a_housing_of_its_vehicle",
            "bay",
            {"vehicle_id": "teasel", "housing_id": "burdock forward", "letter": "Z"},
        ),
        Spoilt("installation_of_both_halves_of_a_pairing", "installation", {"electronics_id": "p4 e"}),
        Spoilt("installation_span_of_its_installation", "installation_span", {"electronics_id": "p4 e"}),
        Spoilt("pairing_of_a_sensor_half", "pairing", {"sensor_id": "p4 s"}),
        Spoilt("pairing_of_an_electronics_half", "pairing", {"electronics_id": "odd e"}),
    )
}


def uniques() -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """(constraint, table, columns) of every UNIQUE that a person could break, and every unique index."""
    for table in metadata.sorted_tables:
        for constraint in sorted(table.constraints, key=lambda one: str(one.name)):
            if isinstance(constraint, sa.UniqueConstraint) and "says" in constraint.info:
                yield str(constraint.name), table.name, tuple(column.name for column in constraint.columns)
