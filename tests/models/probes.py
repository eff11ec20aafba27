"""For every guard an act of violence that it alone (or it and its like) refuses."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import NamedTuple

from registry.models.base import folded_tables, metadata
from tests.models import attacks_log
from tests.models.attacks import pairing, whole_stay
from tests.models.fresh import fresh
from tests.models.hand import Hand

Step = str | Callable[[Hand, dict[str, str]], None]


class Probe(NamedTuple):
    """`guards` are removed together: each of them alone would still refuse. `steps` are run with the head open or not."""

    name: str
    guards: tuple[str, ...]
    steps: tuple[Step, ...]
    open: bool = True


def probes() -> Iterator[Probe]:
    for table in folded_tables():
        yield from _of_table(table.name, table.info["folded"])
    yield from HISTORY
    yield from LOG
    yield from _of_plain_tables()


def _of_plain_tables() -> Iterator[Probe]:
    """Tables outside the fold: rows may be written again there, but never deleted."""
    for table in metadata.sorted_tables:
        if "rights" in table.info and not table.name.startswith("log_"):
            yield Probe(f"a row of {table.name} deleted", (f"{table.name}_stays",), (partial(_deleted, table.name),))


def _deleted(name: str, hand: Hand, ids: dict[str, str]) -> None:
    table = metadata.tables[name]
    row = fresh(hand, name, ids)
    hand.db.execute(table.insert(), row)
    hand.db.execute(table.delete().where(*(column == row[column.name] for column in table.primary_key.columns)))


def _of_table(name: str, changes: str) -> Iterator[Probe]:
    def added(hand: Hand, ids: dict[str, str]) -> None:
        hand.db.execute(metadata.tables[name].insert(), fresh(hand, name, ids))

    def told_otherwise(hand: Hand, ids: dict[str, str]) -> None:
        row = fresh(hand, name, ids)
        hand.db.execute(metadata.tables[name].insert(), row)
        hand.sql(f"UPDATE {name} SET seq = 2 WHERE id = {hand.literal(row['id'])}")

    def added_late(hand: Hand, ids: dict[str, str]) -> None:
        hand.db.execute(metadata.tables[name].insert(), fresh(hand, name, ids) | {"seq": hand.seq - 1})

    yield Probe(f"a row of {name} without an entry", (f"{name}_by_act",), (added,), open=False)
    yield Probe(f"a row of {name} under an entry that is past", (f"{name}_by_act",), (added_late,))
    yield Probe(f"a row of {name} deleted", (f"{name}_stays",), (partial(_deleted, name),))
    kind = "fixed" if changes == "nothing" else "changes_once"
    yield Probe(f"a row of {name} put under another entry", (f"{name}_{kind}",), (told_otherwise,))


_ROLE = "INSERT INTO person_role (id, person_id, role, given_at, given_offset_min, seq) VALUES ({new_1}, {ida}, 'technician', '2026-05-12T00:00:00.000000Z', 0, {head})"
_TYPE = "INSERT INTO bay_type (id, bay_id, unit_type_id, accepted_at, accepted_offset_min, seq) VALUES ({new_1}, {teasel_A}, {reed}, '2026-05-12T00:00:00.000000Z', 0, {head})"
_RUN = "INSERT INTO mission_run (id, mission_id, vehicle_id, started_at, started_offset_min, seq) VALUES ({new_1}, {M-2}, {burdock}, '2026-05-13T00:00:00.000000Z', 0, {head})"


def _loan(new: str, column: str, thing: str, since: str) -> str:
    return (
        f"INSERT INTO loan (id, {column}, direction, partner, answers_id, words, lent_at, lent_offset_min, seq)"
        f" VALUES ({{{new}}}, {{{thing}}}, 'out', 'Lowmoor', {{piet}}, '', '{since}T00:00:00.000000Z', 0, {{head}})"
    )


_AWAY = "INSERT INTO half_away (id, half_id, cause, keeper, reference, words, since_at, since_offset_min, seq) VALUES ({new_1}, {odd_e}, 'repair', 'k', 'r', '', '2026-05-17T00:00:00.000000Z', 0, {head})"
_END = "ended_at = '2026-05-19T00:00:00.000000Z', ended_offset_min = 0, end_reason = 'none', closed_seq = {head}"
HISTORY = [
    Probe("a stay laid over another in its bay", ("installation_span_apart_by_bay_id",), whole_stay("{teasel_B}", "p3", "2026-05-09T09:30:00.000000Z", "2026-05-09T10:00:00.000000Z")),
    # Both halves of a pair move together: either guard alone refuses.
    Probe("a pair in two bays at once", ("installation_span_apart_by_sensor_id", "installation_span_apart_by_electronics_id"), whole_stay("{burdock_A}", "p1", "2026-05-12T09:30:00.000000Z", "2026-05-12T10:00:00.000000Z")),
    Probe("a sensor half in two pairs", ("pairing_apart_by_sensor_id",), (pairing("{p1_s}", "{lone_e}"),)),
    Probe("an electronics half in two pairs", ("pairing_apart_by_electronics_id",), (pairing("{lone_s}", "{p1_e}"),)),
    Probe("a role held twice", ("person_role_apart_by_person_id_role",), (_ROLE,)),
    Probe("a type accepted twice", ("bay_type_apart_by_bay_id_unit_type_id",), (_TYPE,)),
    Probe("a vehicle on two missions at once", ("mission_run_apart_by_vehicle_id",), (_RUN,)),
    Probe("a vehicle lent twice", ("loan_apart_by_vehicle_id",), (_loan("new_1", "vehicle_id", "spare_hull", "2026-05-17"),)),
    Probe("a pair lent twice", ("loan_apart_by_pairing_id",), (_loan("new_1", "pairing_id", "p5", "2026-05-16"), _loan("new_2", "pairing_id", "p5", "2026-05-17"))),
    Probe("a half away twice", ("half_away_apart_by_half_id",), (_AWAY,)),
    Probe("a stay before its pair was made", ("installation_span_within_its_pairing",), whole_stay("{burdock_A}", "p3", "2024-05-01T00:00:00.000000Z", "2024-06-01T00:00:00.000000Z")),
    Probe("a stay in a pair that has ended", ("installation_span_within_its_pairing",), whole_stay("{burdock_A}", "gone", "2026-05-18T00:00:00.000000Z")),
    Probe("a pair ended under its stay", ("pairing_ends_after_its_stays",), (f"UPDATE pairing SET {_END} WHERE id = {{p1}}",)),
    Probe("a pair voided under its stay", ("pairing_voided_only_unused",), ("UPDATE pairing SET voided_seq = {head} WHERE id = {p1}",)),
]  # fmt: skip

_ENTRY = next(a.steps[0] for a in attacks_log.LOG if a.name == "an entry without the head")
_NODE = next(a.steps[0] for a in attacks_log.LOG if a.name == "a node of the tree added")
_CHECKPOINT = "INSERT INTO log_checkpoint (size, note) VALUES (3, 'none')"
LOG = [
    Probe("the head moved back", ("log_head_moves_on",), ("UPDATE log_head SET size = size - 1",), open=False),
    Probe("the head deleted", ("log_head_stays",), ("DELETE FROM log_head",), open=False),
    Probe("an entry without the head", ("log_entry_in_turn",), (_ENTRY,), open=False),
    Probe("an entry changed", ("log_entry_fixed",), ("UPDATE log_entry SET via = 'x' WHERE seq = 3",), open=False),
    Probe("an entry deleted", ("log_entry_stays",), ("DELETE FROM log_entry WHERE seq = {head}",)),
    Probe("a node added", ("log_node_in_turn",), (_NODE,), open=False),
    Probe("a node changed", ("log_node_fixed",), ("UPDATE log_node SET hash = (SELECT leaf FROM log_entry WHERE seq = 1)",), open=False),
    Probe("a node deleted", ("log_node_stays",), ("DELETE FROM log_node",), open=False),
    Probe("a checkpoint of entries to come", ("log_checkpoint_once",), ("INSERT INTO log_checkpoint (size, note) VALUES ({ahead}, 'none')",), open=False),
    Probe("a checkpoint changed", ("log_checkpoint_fixed",), (_CHECKPOINT, "UPDATE log_checkpoint SET note = 'x'"), open=False),
    Probe("the rest of the log deleted", ("log_rest_stays",), ("DELETE FROM log_rest",), open=False),
    Probe("a checkpoint deleted", ("log_checkpoint_stays",), (_CHECKPOINT, "DELETE FROM log_checkpoint"), open=False),
]  # fmt: skip
