"""Attacks on the log itself, and rows that no entry of it made."""

from tests.models.attacks import IN_MAY, NO_RIGHT, NO_ROW_THERE, attack, seat, whole_stay
from tests.models.hand import Hand

_ENTRY = "INSERT INTO log_entry (seq, act_id, act, version, by_id, done_by_id, via, happened_at, happened_offset_min, recorded_at, origin, origin_seq, sent_sha, entry, leaf) SELECT"
_REST = "act, version, by_id, done_by_id, via, happened_at, happened_offset_min, recorded_at, origin, origin_seq, sent_sha, entry, leaf FROM log_entry WHERE seq = {head}"
_WHOLE = ("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}")


def _fill_the_gap(hand: Hand) -> None:
    """Head and row first, and an entry that never comes."""
    hand.sql("UPDATE log_head SET size = size + 1, writing = 1")
    hand.seq += 1
    hand.sql(seat(*_WHOLE))


WITHOUT_AN_ENTRY = [
    attack("a row under the newest entry, which is finished", seat(*_WHOLE), refused="guard:installation_by_act", open=False),
    attack("a whole stay under the newest entry", *whole_stay("{burdock_A}", "p3", IN_MAY), refused="guard:installation_by_act", open=False),
    attack("a row under an old entry", seat(*_WHOLE, seq="3"), refused="guard:installation_by_act"),
    attack("a row under the entry before", seat(*_WHOLE, seq="{former}"), refused="guard:installation_by_act"),
    attack("a row ahead of the log", seat(*_WHOLE, seq="{ahead}"), refused="guard:installation_by_act"),
    attack("a row under no entry", seat(*_WHOLE, seq="NULL"), refused="guard:installation_by_act"),
    attack("a row under entry nought", seat(*_WHOLE, seq="0"), refused="guard:installation_by_act"),
    attack("a row under an entry that is not written", _fill_the_gap, refused=NO_ROW_THERE, open=False),
    attack("a row twice under one id", seat(*_WHOLE), seat(*_WHOLE), refused="guard:installation_by_act"),
    attack("a half out of nowhere", "INSERT INTO half (id, code, kind, unit_type_id, revision, seq) VALUES ({new_1}, 'K0000000', 'sensor', {reed}, 'A', {head})", refused="guard:half_by_act", open=False),
    attack("a release under the newest entry", "UPDATE hold SET released_at = '2026-05-19T00:00:00.000000Z', released_offset_min = 0, released_by_id = {rosa}, release_reason = 'x', evidence = 'x', closed_seq = {head} WHERE id = {hold}", refused="guard:hold_changes_once", open=False),
]  # fmt: skip

LOG = [
    attack("the head moved back", "UPDATE log_head SET size = size - 1", refused="guard:log_head_moves_on", open=False),
    attack("the head moved on by two", "UPDATE log_head SET size = size + 2, writing = 1", refused="guard:log_head_moves_on", open=False),
    attack("the head moved on past an entry that is not there", "UPDATE log_head SET size = size + 1, writing = 1", "UPDATE log_head SET size = size + 1, writing = 1", refused="guard:log_head_moves_on", open=False),
    attack("the head opened where it stands", "UPDATE log_head SET writing = 1", refused="guard:log_head_moves_on", open=False),
    attack("the head closed over no entry", "UPDATE log_head SET size = size + 1, writing = 1", "UPDATE log_head SET writing = 0", refused="guard:log_head_moves_on", open=False),
    attack("the clock of the log set back", "UPDATE log_head SET size = size + 1, writing = 1, recorded_at = '2001-01-01T00:00:00.000000Z'", refused="guard:log_head_moves_on", open=False),
    attack("the clock of the log set where the head stands", "UPDATE log_head SET recorded_at = '2030-01-01T00:00:00.000000Z'", refused="guard:log_head_moves_on", open=False),
    attack("a second head", "INSERT INTO log_head (one, size, recorded_at, writing) VALUES (2, 9, '2030-01-01T00:00:00.000000Z', 1)", refused=NO_RIGHT, open=False),
    attack("the head renamed", "UPDATE log_head SET one = 2", refused=NO_RIGHT, open=False),
    attack("the head deleted", "DELETE FROM log_head", refused=NO_RIGHT, open=False),
    attack("an entry changed", "UPDATE log_entry SET via = 'elsewhere' WHERE seq = 5", refused=NO_RIGHT, open=False),
    attack("an entry deleted", "DELETE FROM log_entry WHERE seq = {head}", refused=NO_RIGHT, open=False),
    attack("an entry without the head", f"{_ENTRY} {{ahead}}, {{new_1}}, {_REST}", refused="guard:log_entry_in_turn", open=False),
    attack("an entry in the place of an older one", f"{_ENTRY} 3, {{new_1}}, {_REST}", refused="guard:log_entry_in_turn", open=False),
    attack("a second entry at the end", f"{_ENTRY} {{head}}, {{new_1}}, {_REST}", refused="guard:log_entry_in_turn"),
    attack("an act twice in the log", "UPDATE log_head SET size = size + 1", f"{_ENTRY} {{ahead}}, act_id, {_REST}", refused="log_entry_act_once|UNIQUE constraint failed: log_entry.act_id"),
    attack("an entry upserted", f"{_ENTRY} seq, act_id, {_REST} ON CONFLICT (seq) DO UPDATE SET via = 'x'", refused=NO_RIGHT, open=False),
    attack("a node of the tree changed", "UPDATE log_node SET hash = (SELECT leaf FROM log_entry WHERE seq = 1) WHERE level = 1 AND ix = 0", refused=NO_RIGHT, open=False),
    attack("a node of the tree added", "INSERT INTO log_node (level, ix, hash) SELECT 40, 0, leaf FROM log_entry WHERE seq = 1", refused="guard:log_node_in_turn", open=False),
    attack("a node of the tree written again", "INSERT INTO log_node (level, ix, hash) SELECT 1, 0, leaf FROM log_entry WHERE seq = 1", refused="guard:log_node_in_turn"),
    attack("a node of the tree deleted", "DELETE FROM log_node", refused=NO_RIGHT, open=False),
    attack("a checkpoint of entries to come", "INSERT INTO log_checkpoint (size, note) VALUES ({ahead}, 'none')", refused="guard:log_checkpoint_once", open=False),
    attack("a checkpoint of less than nothing", "INSERT INTO log_checkpoint (size, note) VALUES (-1, 'none')", refused="guard:log_checkpoint_once", open=False),
    attack("a checkpoint replaced", "INSERT INTO log_checkpoint (size, note) VALUES (3, 'none')", "INSERT INTO log_checkpoint (size, note) VALUES (3, 'other')", refused="guard:log_checkpoint_once", open=False),
    attack("a checkpoint changed", "UPDATE log_checkpoint SET note = 'x'", refused=NO_RIGHT, open=False),
    attack("a checkpoint deleted", "DELETE FROM log_checkpoint", refused=NO_RIGHT, open=False),
]  # fmt: skip
