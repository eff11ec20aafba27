"""Attacks that only SQLite knows: its conflict clauses, its switches, its schema table and its temporary things."""

from functools import partial

from tests.models.attacks import IN_MAY, NO_RIGHT, NO_ROW_THERE, Attack, attack, pairing, seat, span
from tests.models.hand import Hand

_MIXED = seat("{burdock_A}", "{p3}", "{p3_s}", "{p4_e}")
_KEYS = ("{teasel_A}", "{p1}", "{p1_s}", "{p1_e}")
_SPELLINGS = {
    "with a blank": "2026-05-12 09:00:00.000000Z",
    "without its fraction": "2026-05-12T09:00:00Z",
    "with an offset": "2026-05-12T09:00:00.000000+02:00",
    "in small letters": "2026-05-12t09:00:00.000000z",
    "with blanks behind": "2026-05-12T09:00:00.000000Z ",
    "without its zone": "2026-05-12T09:00:00.000000",
    "of an hour that does not exist": "2026-05-12T25:00:00.000000Z",
    "of a month that does not exist": "2026-19-12T09:00:00.000000Z",
    "of a day that does not exist": "2026-05-39T09:00:00.000000Z",
}


def _outside_the_transaction(*statements: str):
    """On the driver's own connection, the transaction ended: there some switches work that a transaction ignores."""

    def run(hand: Hand) -> None:
        hand.raw.execute("ROLLBACK")
        for statement in statements:
            hand.raw.execute(hand.spelt(statement))

    return run


def _switch(name: str, statement: str, refused: str = NO_RIGHT) -> Attack:
    return attack(name, statement, refused=refused, open=False, engines=("sqlite",))


_sqlite = partial(attack, engines=("sqlite",))

CONFLICTS = [
    _sqlite("REPLACE an installation by a mixed one", _MIXED.replace("INSERT", "REPLACE").replace("{new_1}", "{inst_1}"), refused="guard:installation_by_act"),
    _sqlite("INSERT OR REPLACE a span by another", span(*_KEYS, "2026-04-01T09:00:00.000000Z", "2026-04-02T09:00:00.000000Z", id_="{span_1}", installation="{inst_1}").replace("INSERT", "INSERT OR REPLACE"), refused="guard:installation_span_by_act"),
    _sqlite("REPLACE that evicts a half by its code", "REPLACE INTO half (id, code, kind, unit_type_id, revision, seq) SELECT {new_1}, code, 'electronics', unit_type_id, 'A', {head} FROM half WHERE id = {lone_s}", refused="guard:half_stays"),
    _sqlite("REPLACE that evicts a live span by its bay", seat("{teasel_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{teasel_A}", "{p3}", "{p3_s}", "{p3_e}", IN_MAY).replace("INSERT", "REPLACE"), refused="guard:installation_span_"),
    _sqlite("REPLACE an entry", "REPLACE INTO log_entry SELECT * FROM log_entry WHERE seq = 5", refused="guard:log_entry_in_turn"),
    _sqlite("an entry whose number SQLite is to draw", "INSERT INTO log_entry SELECT NULL, {new_1}, act, version, by_id, done_by_id, second_id, via, happened_at, happened_offset_min, recorded_at, origin, origin_seq, sent_sha, entry, leaf FROM log_entry WHERE seq = {head}", refused="guard:log_entry_in_turn"),
    _sqlite("REPLACE a node of the tree", "REPLACE INTO log_node (level, ix, hash) SELECT 1, 0, leaf FROM log_entry WHERE seq = 9", refused="guard:log_node_in_turn"),
    _sqlite("INSERT OR IGNORE mixed halves", _MIXED.replace("INSERT", "INSERT OR IGNORE"), refused=NO_ROW_THERE),
    _sqlite("INSERT OR FAIL mixed halves", _MIXED.replace("INSERT", "INSERT OR FAIL"), refused=NO_ROW_THERE),
    _sqlite("INSERT OR ROLLBACK mixed halves", _MIXED.replace("INSERT", "INSERT OR ROLLBACK"), refused=NO_ROW_THERE),
    _sqlite("UPDATE OR REPLACE into the place of another", "UPDATE OR REPLACE half SET code = (SELECT code FROM half WHERE id = {p1_s}) WHERE id = {lone_s}", refused=NO_RIGHT),
    _sqlite("UPDATE OR IGNORE a closed instant", "UPDATE OR IGNORE installation_span SET removed_at = '2026-05-09T10:00:00.000000Z' WHERE id = {span_2}", refused="guard:installation_span_changes_once"),
    _sqlite("a stay closed by its rowid", "UPDATE installation_span SET closed_seq = 1 WHERE rowid = 1", refused="no such column: rowid"),
    _sqlite("an installation re-labelled by its rowid", "UPDATE installation SET electronics_id = {p2_e} WHERE rowid = 1", refused=f"no such column: rowid|{NO_RIGHT}"),
    _sqlite("an entry found by its rowid", "UPDATE log_entry SET rowid = 900 WHERE rowid = 1", refused=NO_RIGHT),
    *(_sqlite(f"an instant {what}", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}", text), refused="installation_span_installed_at_in_its_form") for what, text in _SPELLINGS.items()),
    _sqlite("an instant with something hidden behind it", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}", "X").replace("'X'", "'2026-05-12T09:00:00.000000Z' || char(0) || 'x'"), refused="installation_span_installed_at_in_its_form"),
    _sqlite("a person's name evicted by another's", "REPLACE INTO person_private (person_id, name) SELECT {yusuf}, name FROM person_private WHERE person_id = {ida}", refused="guard:person_private_stays", open=False),
    _sqlite("a person's name evicted by an update", "UPDATE OR REPLACE person_private SET name = (SELECT name FROM person_private WHERE person_id = {ida}) WHERE person_id = {yusuf}", refused="guard:person_private_stays", open=False),
    _sqlite("an end in another spelling", "UPDATE installation_span SET removed_at = '2026-05-19 10:00', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {head} WHERE id = {span_1}", refused="installation_span_removed_at_in_its_form"),
    _sqlite("an instant as a number", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}", "X").replace("'X'", "2026051209"), refused="in_its_form|within_its_pairing"),
    _sqlite("an entry number as text", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}", seq="'x{head}'"), refused="cannot store TEXT value in INTEGER column"),
    _sqlite("an id as text", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}", id_="'new'"), refused="cannot store TEXT value in BLOB column"),
]  # fmt: skip

SWITCHES = [
    _sqlite("foreign keys deferred", "PRAGMA defer_foreign_keys = ON", _MIXED, refused=NO_RIGHT),
    _sqlite("foreign keys switched off", "PRAGMA foreign_keys = OFF", _MIXED, refused=NO_RIGHT),
    _sqlite("foreign keys switched off between transactions", _outside_the_transaction("PRAGMA foreign_keys = OFF"), refused=NO_RIGHT, open=False),
    _sqlite("check constraints switched off", "PRAGMA ignore_check_constraints = ON", pairing("{lone_s}", "{lone2_s}", kinds=("sensor", "sensor")), refused=NO_RIGHT),
    _switch("recursive triggers switched off", "PRAGMA recursive_triggers = OFF"),
    _switch("the schema made writable", "PRAGMA writable_schema = ON"),
    _switch("the schema table edited", "DELETE FROM sqlite_master WHERE type = 'trigger'"),
    _switch("the journal switched off", "PRAGMA journal_mode = OFF"),
    _switch("the disk no longer waited for", "PRAGMA synchronous = OFF"),
    _switch("the schema trusted", "PRAGMA trusted_schema = ON"),
    _switch("a switch by its table", "SELECT * FROM pragma_ignore_check_constraints(1)", refused=f"{NO_RIGHT}|no such table"),
    _switch("a trigger dropped", "DROP TRIGGER installation_by_act"),
    _switch("a trigger of one's own", "CREATE TRIGGER mine AFTER INSERT ON installation BEGIN DELETE FROM installation_span; END"),
    _switch("a temporary trigger", "CREATE TEMP TRIGGER mine AFTER INSERT ON installation BEGIN DELETE FROM installation_span; END"),
    _switch("an index dropped", "DROP INDEX one_live_bay_id"),
    _switch("a table dropped", "DROP TABLE removal"),
    _switch("a table renamed", "ALTER TABLE installation RENAME TO other"),
    _switch("a column added", "ALTER TABLE installation ADD COLUMN mine TEXT"),
    _switch("a view in front of a table", "CREATE TEMP VIEW log_head AS SELECT 1 AS one, 9 AS size, '2030-01-01' AS recorded_at, 1 AS writing"),
    _switch("a temporary table in front of the head", "CREATE TEMP TABLE log_head (one, size, recorded_at, writing)"),
    _switch("another database attached", "ATTACH ':memory:' AS other"),
    _sqlite("another database attached between transactions", _outside_the_transaction("ATTACH ':memory:' AS other"), refused=NO_RIGHT, open=False),
    _sqlite("the database carried off", _outside_the_transaction("VACUUM INTO ':memory:'"), refused=NO_RIGHT, open=False),
    _sqlite("the database vacuumed", _outside_the_transaction("VACUUM"), refused=NO_RIGHT, open=False),
    _switch("an extension loaded", "SELECT load_extension('mine')", refused=NO_RIGHT),
    _switch("statistics that mislead the planner", "ANALYZE"),
    _switch("an index written anew", "REINDEX"),
]  # fmt: skip
