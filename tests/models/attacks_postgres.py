"""Attacks that only PostgreSQL knows: roles, session settings, temporary schemas, COPY, MERGE and its DDL."""

from functools import partial

from tests.models.attacks import NO_RIGHT, NO_ROW_THERE, Attack, attack, seat
from tests.models.hand import Hand

_MIXED = seat("{burdock_A}", "{p3}", "{p3_s}", "{p4_e}")
_END = "UPDATE installation_span SET removed_at = '{at}', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {head} WHERE id = {span_1}"
_postgres = partial(attack, engines=("postgresql",))


def _copied(hand: Hand) -> None:
    """COPY takes rows in bulk; it passes triggers and keys all the same."""
    with (
        hand.raw.cursor() as cursor,
        cursor.copy("COPY installation (id, bay_id, pairing_id, sensor_id, electronics_id, seq) FROM STDIN") as copy,
    ):
        copy.write_row(
            [hand.spelt(name).strip("'") for name in ("{new_1}", "{burdock_A}", "{p3}", "{p3_s}", "{p4_e}", "{head}")]
        )


def _copied_without_an_entry(hand: Hand) -> None:
    with (
        hand.raw.cursor() as cursor,
        cursor.copy("COPY site (id, code, name, kind, offset_min, seq) FROM STDIN") as copy,
    ):
        copy.write_row([hand.spelt("{new_1}").strip("'"), "K0000000", "Nowhere", "shore", 0, hand.seq])


def _ddl(name: str, statement: str, refused: str = NO_RIGHT) -> Attack:
    return attack(name, statement, refused=refused, open=False, engines=("postgresql",))


WRITING = [
    _postgres("constraints deferred", "SET CONSTRAINTS ALL DEFERRED", _MIXED, refused=NO_ROW_THERE),
    _postgres("COPY mixed halves", _copied, refused=NO_ROW_THERE),
    _postgres("COPY without an entry", _copied_without_an_entry, refused="guard:site_by_act", open=False),
    _postgres("MERGE mixed halves", "MERGE INTO installation i USING (SELECT 1) one ON false WHEN NOT MATCHED THEN INSERT (id, bay_id, pairing_id, sensor_id, electronics_id, seq) VALUES ({new_1}, {burdock_A}, {p3}, {p3_s}, {p4_e}, {head})", refused=NO_ROW_THERE),
    _postgres("mixed halves in an anonymous block", "DO $$ BEGIN " + _MIXED + "; END $$", refused=NO_ROW_THERE),
    _postgres("mixed halves in a WITH", "WITH made AS (" + _MIXED + " RETURNING id) SELECT * FROM made", refused=NO_ROW_THERE),
    _postgres("UPDATE FROM another pairing", "UPDATE installation SET electronics_id = p.electronics_id FROM pairing p WHERE p.id = {p3}", refused=NO_RIGHT),
    _postgres("a delete in a WITH", "WITH gone AS (DELETE FROM removal RETURNING id) SELECT * FROM gone", refused=NO_RIGHT),
    _postgres("an end at the end of time", _END.replace("{at}", "infinity"), refused="installation_span_removed_at_in_its_form"),
    _postgres("an end in ten thousand years", _END.replace("{at}", "12026-05-12T09:00:00Z"), refused="installation_span_removed_at_in_its_form"),
    _postgres("a table emptied", "TRUNCATE removal", refused=NO_RIGHT, open=False),
    _postgres("everything emptied", "TRUNCATE log_entry CASCADE", refused=NO_RIGHT, open=False),
]  # fmt: skip

SWITCHES = [
    _ddl("triggers told that this is a replica", "SET session_replication_role = replica"),
    _ddl("triggers told so by a function", "SELECT set_config('session_replication_role', 'replica', false)"),
    _ddl("a trigger disabled", "ALTER TABLE installation DISABLE TRIGGER installation_by_act"),
    _ddl("all triggers disabled", "ALTER TABLE installation DISABLE TRIGGER ALL"),
    _ddl("a trigger dropped", "DROP TRIGGER installation_by_act ON installation"),
    _ddl("a trigger's function replaced", "CREATE OR REPLACE FUNCTION installation_by_act() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$"),
    _ddl("a trigger's function altered", "ALTER FUNCTION installation_by_act() SET search_path = pg_temp"),
    _ddl("a constraint dropped", "ALTER TABLE installation DROP CONSTRAINT installation_of_both_halves_of_a_pairing"),
    _ddl("an index dropped", "DROP INDEX one_live_bay_id"),
    _ddl("a rule in front of a table", "CREATE RULE mine AS ON INSERT TO log_entry DO INSTEAD NOTHING"),
    _ddl("rows hidden by a policy", "ALTER TABLE installation_span ENABLE ROW LEVEL SECURITY"),
    _ddl("a table taken over", "ALTER TABLE installation OWNER TO CURRENT_USER"),
    _ddl("a table dropped", "DROP TABLE removal"),
    _ddl("a temporary head", "CREATE TEMP TABLE log_head AS SELECT 1 AS one, 9 AS size, now() AS recorded_at, 1 AS writing", refused="permission denied"),
    _ddl("a head in pg_temp", "CREATE TABLE pg_temp.log_head (one integer, size integer, writing integer)", refused="permission denied"),
    _ddl("a table in the schema", "CREATE TABLE mine (id integer)", refused="permission denied"),
    _ddl("a schema of one's own", "CREATE SCHEMA mine", refused="permission denied"),
    _ddl("a function of one's own", "CREATE FUNCTION mine() RETURNS integer LANGUAGE sql AS 'SELECT 1'", refused="permission denied"),
    _ddl("the owner's place taken", "SET ROLE pairbook_owner", refused="permission denied"),
    _ddl("the owner's session taken", "SET SESSION AUTHORIZATION pairbook_owner", refused="permission denied"),
    # PostgreSQL only warns that nothing was granted.
    attack("more rights given to oneself", "GRANT DELETE ON removal TO CURRENT_USER", "DELETE FROM removal", refused=NO_RIGHT, open=False, engines=("postgresql",)),
    _ddl("made a superuser", "ALTER ROLE pairbook_app SUPERUSER", refused="permission denied|must be superuser|Only roles with"),
    _ddl("a file read", "COPY security_event (detail) FROM '/etc/hostname'", refused="permission denied"),
    _ddl("a program run", "COPY (SELECT 1) TO PROGRAM 'true'", refused="permission denied"),
]  # fmt: skip
