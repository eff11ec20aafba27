"""What is changed behind the program's back is named: the entry, the node, the checkpoint, or table, id and column."""

import base64

import pytest
import rfc8785
import sqlalchemy as sa
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from registry.acts import log, tree
from registry.acts.checkpoints import LogKey
from registry.acts.entry import Entry, read
from registry.models.base import metadata
from registry.models.log import log_entry, log_node
from tests.faults.conftest import ENGINES, KEY, Break

SPAN, ENTRY = metadata.tables["installation_span"], log_entry


def entry_at(hand: Break, seq: int) -> Entry:
    return log.entry_at(hand.db, seq)


def write_entry(hand: Break, entry: Entry, raw: bytes | None = None, leaf: bool = True) -> None:
    """Put an entry in the place of the stored one, with the hash that fits it."""
    raw = raw or rfc8785.dumps(entry._asdict())
    values = {**log.columns_of(entry), "entry": raw} | ({"leaf": tree.leaf_hash(raw)} if leaf else {})
    hand.db.execute(ENTRY.update().where(ENTRY.c.seq == entry.seq).values(**values))


def regrow(hand: Break) -> None:
    """Work the whole tree out again, as a patient forger would."""
    hand.sql("DELETE FROM log_node")
    leaves = [stored.leaf for stored in log.rows(hand.db)]
    nodes: dict[tuple[int, int], bytes] = {}
    for index, leaf in enumerate(leaves):
        for level, ix, value in tree.completed_by(index, leaf, lambda at, i: leaves[i] if at == 0 else nodes[at, i]):
            nodes[level, ix] = value
    hand.db.execute(
        log_node.insert(), [{"level": level, "ix": ix, "hash": value} for (level, ix), value in nodes.items()]
    )


@pytest.mark.parametrize("engine", ENGINES)
def test_an_honest_log_has_no_fault(engine: str, hand: Break):
    note = hand.sign()
    report = hand.verify(against=note, strict=True)
    assert report.faults == []
    assert (report.size, report.entries, report.checkpoints) == (hand.seq, hand.seq, 1)
    assert report.rows == sum(
        len(hand.db.execute(sa.select(t.c.seq)).all()) for t in metadata.sorted_tables if "folded" in t.info
    )
    assert report.root == log.root(hand.db, hand.seq)


def _entry_reworded(hand: Break) -> list[str]:
    entry = entry_at(hand, 20)
    write_entry(hand, entry._replace(via="bench"), leaf=False)
    return ["Entry 20 does not match its leaf hash"]


def _entry_reworded_with_its_hash(hand: Break) -> list[str]:
    write_entry(hand, entry_at(hand, 20)._replace(via="bench"))
    return ["The node at level 1, place 9 does not follow from the entries", "The node at level 2, place 4"]


def _leaf_changed(hand: Break) -> list[str]:
    hand.db.execute(ENTRY.update().where(ENTRY.c.seq == 7).values(leaf=b"\x00" * 32))
    return ["Entry 7 does not match its leaf hash"]


def _column(name: str, value: object) -> object:
    def change(hand: Break) -> list[str]:
        hand.db.execute(ENTRY.update().where(ENTRY.c.seq == 12).values(**{name: value}))
        return [f"Entry 12: the column {name} holds"]

    return change


def _entry_taken_out(hand: Break) -> list[str]:
    hand.db.execute(log_entry.delete().where(log_entry.c.seq == hand.seq))
    return [f"The head counts {hand.seq} entries, and {hand.seq - 1} are there"]


def _entries_traded(hand: Break) -> list[str]:
    one, other = (hand.db.execute(sa.select(ENTRY).where(ENTRY.c.seq == seq)).mappings().one() for seq in (30, 31))
    for seq, row in ((30, other), (31, one)):
        hand.db.execute(ENTRY.update().where(ENTRY.c.seq == seq).values(entry=row["entry"], leaf=row["leaf"]))
    return [
        "Entry 30: the column act_id holds",
        "Entry 30: the column seq holds 30, and the entry says 31",
        "The node at level 1, place 15",
    ]


def _entry_unreadable(hand: Break) -> list[str]:
    hand.db.execute(ENTRY.update().where(ENTRY.c.seq == 9).values(entry=b"{}", leaf=tree.leaf_hash(b"{}")))
    return ["Entry 9 cannot be read"]


def _entry_of_no_act(hand: Break) -> list[str]:
    write_entry(hand, entry_at(hand, 9)._replace(act="launch"))
    return ["Entry 9 is an act this release does not know: 'launch'"]


def _node_changed(hand: Break) -> list[str]:
    hand.sql("UPDATE log_node SET hash = (SELECT leaf FROM log_entry WHERE seq = 1) WHERE level = 3 AND ix = 2")
    return ["The node at level 3, place 2 does not follow from the entries"]


def _node_missing(hand: Break) -> list[str]:
    hand.sql("DELETE FROM log_node WHERE level = 2 AND ix = 1")
    return ["The node at level 2, place 1 is missing"]


def _node_too_many(hand: Break) -> list[str]:
    hand.sql("INSERT INTO log_node (level, ix, hash) SELECT 40, 0, leaf FROM log_entry WHERE seq = 1")
    return ["The node at level 40, place 0 does not follow from the entries"]


def _head(size: str) -> object:
    def change(hand: Break) -> list[str]:
        hand.sql(f"UPDATE log_head SET size = {size}")
        return ["The head counts"]

    return change


def _row_edited(hand: Break) -> list[str]:
    hand.sql("UPDATE installation_span SET removed_at = '2026-05-09T10:00:00.000000Z' WHERE id = {span_2}")
    return [
        f"installation_span {hand.ids['span 2']}: removed_at is '2026-05-09T10:00:00.000000Z', and the log says '2026-05-09T11:00:00.000000Z'."
    ]


def _row_relabelled(hand: Break) -> list[str]:
    """The whole purpose: an installation made to say that it was another pair."""
    hand.sql("UPDATE installation_span SET voided_seq = {head} WHERE id = {span_1}")
    return [f"installation_span {hand.ids['span 1']}: voided_seq is {hand.seq}, and the log says None."]


def _row_added(hand: Break) -> list[str]:
    hand.sql(
        "INSERT INTO site (id, code, name, kind, offset_min, seq) VALUES ({new_1}, 'K0000000', 'Nowhere', 'shore', 0, {head})"
    )
    return ["site 6c16bc06-ee94-5159-9b88-790f89a1db43: no entry of the log made this row."]


def _row_removed(hand: Break) -> list[str]:
    lost = hand.sql("SELECT id FROM amendment").scalars().first()
    hand.sql("DELETE FROM amendment")
    assert lost
    return [": the row is missing; the log has it."]


def _hold_released(hand: Break) -> list[str]:
    hand.sql(
        "UPDATE hold SET released_at = '2026-05-12T10:00:00.000000Z', released_offset_min = 0, released_by_id = {rosa}, release_reason = 'x', evidence = 'x', closed_seq = {head} WHERE id = {hold}"
    )
    return [
        f"hold {hand.ids['hold']}: released_at is",
        f"hold {hand.ids['hold']}: evidence is 'x', and the log says None.",
    ]


TAMPERED = {
    "an entry re-worded": _entry_reworded,
    "an entry re-worded with its hash": _entry_reworded_with_its_hash,
    "a hash changed": _leaf_changed,
    "an entry taken out at the end": _entry_taken_out,
    "two entries traded": _entries_traded,
    "an entry that cannot be read": _entry_unreadable,
    "an entry of no act": _entry_of_no_act,
    **{f"the column {name} changed": _column(name, value) for name, value in {"via": "elsewhere", "happened_at": "2020-01-01T00:00:00.000000Z", "happened_offset_min": 60, "act": "launch", "version": 2, "origin": "Z", "origin_seq": 999, "sent_sha": b"\x01" * 32}.items()},
    "a node changed": _node_changed,
    "a node missing": _node_missing,
    "a node too many": _node_too_many,
    "the head moved on": _head("size + 1"),
    "the head moved back": _head("size - 1"),
    "a row edited": _row_edited,
    "a row voided": _row_relabelled,
    "a row added": _row_added,
    "rows removed": _row_removed,
    "a hold released": _hold_released,
}  # fmt: skip
#: Nothing refers to the newest entry of this record but its own row, which goes with it.
_OWN_ROWS = "DELETE FROM attachment WHERE seq = {head}"


#: One of each sort is looked for every day; the others, and these on PostgreSQL, in the long runs.
DAILY = [
    "an entry re-worded with its hash",
    "the column happened_at changed",
    "the column sent_sha changed",
    "a node changed",
    "a row edited",
    "a row added",
    "rows removed",
]
TABLE = [pytest.param(name, "sqlite", marks=() if name in DAILY else pytest.mark.long) for name in TAMPERED] + [
    pytest.param(name, "postgresql", marks=(pytest.mark.postgres, pytest.mark.long)) for name in DAILY
]


@pytest.mark.parametrize(("name", "engine"), TABLE)
def test_what_was_tampered_with_is_named(name: str, engine: str, hand: Break):
    with hand.behind_its_back():
        if name == "an entry taken out at the end":
            hand.sql(_OWN_ROWS)
        wanted = TAMPERED[name](hand)
    found = hand.faults()
    assert found
    for sentence in wanted:
        assert any(sentence in told for told in found), (sentence, found)


def test_each_fault_says_where(hand: Break):
    with hand.behind_its_back():
        _row_edited(hand)
    assert [fault.where for fault in hand.verify().faults] == [f"installation_span {hand.ids['span 2']}"]


def test_at_most_as_many_faults_are_told_as_asked_for(hand: Break):
    with hand.behind_its_back():
        hand.sql("UPDATE log_entry SET via = 'elsewhere'")
    assert len(hand.verify().faults) == 20


# what only a checkpoint tells


@pytest.mark.parametrize("engine", ENGINES)
def test_a_log_forged_from_one_entry_on_is_found_by_a_checkpoint(engine: str, hand: Break):
    """Entry, hash, tree and rows all fit together: only a root that was signed before does not."""
    note = hand.sign()
    with hand.behind_its_back():
        write_entry(hand, entry_at(hand, 20)._replace(via="bench"))
        regrow(hand)
    told = f"The log’s first {hand.seq} entries are not those the checkpoint was signed for."
    assert hand.faults() == [told]
    with hand.behind_its_back():
        hand.sql("DELETE FROM log_checkpoint")
    assert hand.faults() == []
    assert hand.faults(against=note) == [
        f"The log’s first {hand.seq} entries are not those of the checkpoint: the beginning of the log was changed."
    ]


@pytest.mark.parametrize("engine", ENGINES)
def test_the_end_of_the_log_cut_off_is_found_by_an_earlier_checkpoint(engine: str, hand: Break):
    note = hand.sign()
    with hand.behind_its_back():
        hand.sql("DELETE FROM log_checkpoint")
        hand.sql(_OWN_ROWS)
        hand.sql("DELETE FROM log_entry WHERE seq = {head}")
        hand.sql("UPDATE log_head SET size = size - 1")
        regrow(hand)
    assert hand.faults() == []
    assert hand.faults(against=note) == [
        f"The checkpoint counts {hand.seq} entries, and the log has {hand.seq - 1}: its end was cut off, or it is another log."
    ]


def test_a_log_that_only_grew_fits_every_earlier_checkpoint(hand: Break):
    notes = [hand.sign(size) for size in (1, 2, 33, hand.seq)]
    assert all(hand.faults(against=note) == [] for note in notes)


def _by_another_key(hand: Break) -> str:
    other = LogKey(KEY.name, Ed25519PrivateKey.from_private_bytes(b"\x07" * 32))
    return other.sign(5, log.root(hand.db, 5))


def _another_root(hand: Break) -> str:
    return KEY.sign(5, b"\x00" * 32)


def _another_size(hand: Break) -> str:
    return KEY.sign(6, log.root(hand.db, 6))


def _text_altered(hand: Break) -> str:
    return KEY.sign(5, log.root(hand.db, 5)).replace("\n5\n", "\n4\n")


def _signature_altered(hand: Break) -> str:
    head, _, signature = KEY.sign(5, log.root(hand.db, 5)).strip().rpartition(" ")
    raw = bytearray(base64.b64decode(signature))
    raw[-1] ^= 1
    return f"{head} {base64.b64encode(raw).decode()}\n"


FORGED = {
    "by another key": (_by_another_key, "bears no signature of"),
    "of another root": (_another_root, "are not those the checkpoint was signed for"),
    "of another size": (_another_size, "are not those the checkpoint was signed for"),
    "with its text altered": (_text_altered, "does not fit the text"),
    "with its signature altered": (_signature_altered, "does not fit the text"),
    "that is no note": (lambda hand: "hello", "bears no signature of"),
}


@pytest.mark.parametrize("name", FORGED)
def test_a_forged_checkpoint_is_named(name: str, hand: Break):
    forge, told = FORGED[name]
    log.keep_checkpoint(hand.db, 5, forge(hand))
    found = hand.verify().faults
    assert [fault.where for fault in found] == ["checkpoint 5"]
    assert told in found[0].told


# what only a strict look tells


def test_an_entry_that_is_not_canonical_is_told_by_a_strict_look(hand: Break):
    with hand.behind_its_back():
        entry = entry_at(hand, 20)
        raw = rfc8785.dumps(entry._asdict())
        write_entry(hand, entry, raw.replace(b'{"act"', b'{ "act"', 1))
        regrow(hand)
    assert hand.faults() == []
    assert hand.faults(strict=True) == ["Entry 20 is not in canonical form."]


def test_a_verdict_that_was_not_worked_out_is_told_by_a_strict_look(hand: Break):
    """A forger who owns the database makes the failed reading pass in log and table alike."""
    with hand.behind_its_back():
        seq = hand.sql("SELECT seq FROM leak_test").scalar_one()
        entry = entry_at(hand, seq)
        write_entry(hand, entry._replace(decided=entry.decided | {"verdict": "does_not", "change_mbar": "9.00"}))
        hand.sql("UPDATE leak_test SET verdict = 'does_not', change_mbar = '9.00'")
        hand.sql(
            f"INSERT INTO hold (id, vehicle_id, cause, reason, placed_by_id, done_by_id, placed_at, placed_offset_min, seq) SELECT {hand.literal(entry.derived('hold'))}, vehicle_id, 'failed_leak_test', 'x', {{ida}}, {{ida}}, '{entry.at}', 0, {seq} FROM housing WHERE id = {{burdock_forward}}"
        )
        hold = metadata.tables["hold"]
        hand.db.execute(hold.update().where(hold.c.cause == "failed_leak_test").values(reason=entry.decided["told"]))
        regrow(hand)
    assert hand.faults() == []
    found = hand.faults(strict=True)
    assert any("verdict was decided as 'does_not'; worked out again it is 'holds'" in told for told in found)
    assert any("change_mbar was decided as '9.00'" in told for told in found)


def test_a_read_back_whose_verdict_was_not_worked_out_is_told_by_a_strict_look(hand: Break):
    """A forger who owns the database lets a unit with another bay’s settings agree, in log and table alike."""
    with hand.behind_its_back():
        seq, verdict = hand.sql("SELECT seq, verdict FROM settings_readback").one()
        other = "no_sheet" if verdict == "agrees" else "agrees"
        entry = entry_at(hand, seq)
        write_entry(hand, entry._replace(decided=entry.decided | {"verdict": other}))
        hand.sql(f"UPDATE settings_readback SET verdict = '{other}'")
        regrow(hand)
    assert hand.faults() == []
    (told,) = hand.faults(strict=True)
    assert told == f"Entry {seq:,}: verdict was decided as '{other}'; worked out again it is '{verdict}'."


@pytest.mark.parametrize("engine", ENGINES)
def test_a_dropped_guard_is_told(engine: str, hand: Break):
    where = " ON installation" if hand.engine == "postgresql" else ""
    hand.sql(f"DROP TRIGGER installation_by_act{where}")
    assert [fault.where for fault in hand.verify().faults] == ["the schema"]


def test_a_row_that_refers_to_nothing_is_told(lived_sqlite, owner_of):
    """SQLite can be told to look away; PostgreSQL cannot, short of its superuser."""
    with owner_of(lived_sqlite).connect() as db:
        db.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")
        with db.begin() as whole:
            hand = Break(db, lived_sqlite)
            with hand.behind_its_back():
                hand.sql("DELETE FROM bay WHERE id = {burdock_B}")
            found = hand.faults()
            whole.rollback()
        db.connection.driver_connection.execute("PRAGMA foreign_keys = ON")
    assert f"bay {lived_sqlite.ids['burdock B']}: the row is missing; the log has it." in found
    assert any("refers to a row of bay that is not there" in told for told in found)


def test_an_entry_reads_back_as_it_was_written(hand: Break):
    for stored in log.rows(hand.db):
        assert rfc8785.dumps(read(stored.raw)._asdict()) == stored.raw


@pytest.mark.parametrize("engine", ENGINES)
def test_of_a_table_that_differs_everywhere_the_first_rows_are_told(engine: str, hand: Break):

    with hand.behind_its_back():
        hand.sql("UPDATE half_place SET spot = 'elsewhere', since_offset_min = 7")
    found = hand.faults()
    assert len(found) == 20
    assert all(told.startswith("half_place ") for told in found)


@pytest.mark.parametrize("engine", ENGINES)
def test_a_log_without_its_head_is_told(engine: str, hand: Break):

    with hand.behind_its_back():
        hand.sql("DELETE FROM log_head")
    assert any("head" in told for told in hand.faults())


@pytest.mark.parametrize("engine", ENGINES)
def test_a_head_left_open_is_told(engine: str, hand: Break):

    with hand.behind_its_back():
        hand.sql("UPDATE log_head SET writing = 1")
        found = hand.faults()
        hand.sql("UPDATE log_head SET writing = 0")
    assert any("head" in told for told in found)


@pytest.mark.postgres
@pytest.mark.parametrize("engine", ["postgresql"])
@pytest.mark.parametrize("value", ["infinity", "12026-05-12T09:00:00Z"])
def test_an_instant_that_cannot_be_read_is_told(engine: str, value: str, hand: Break):

    with hand.behind_its_back():
        hand.sql("ALTER TABLE half_place DROP CONSTRAINT IF EXISTS half_place_since_at_in_its_form")
        hand.sql(f"UPDATE half_place SET since_at = '{value}' WHERE half_id = {{p5_s}}")
    assert any("half_place" in told and "since_at_in_its_form" not in told for told in hand.faults())
