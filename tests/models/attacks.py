"""Attacks on the record by SQL, over a connection that an application has. Each names what must stand in its way.

`open` attacks first write a forged but well-formed entry, so that the guard "no row without an entry" lets them pass
and only the structure of the tables is left to refuse them.
"""

from collections.abc import Callable
from typing import NamedTuple

from tests.models.hand import Hand

BOTH = ("sqlite", "postgresql")


class Attack(NamedTuple):
    """`steps` is SQL or a function of the hand; `refused` is a pattern of what the database says to the last step."""

    name: str
    steps: tuple[str | Callable[[Hand], object], ...]
    refused: str
    open: bool = True
    engines: tuple[str, ...] = BOTH


def attack(
    name: str, *steps: str | Callable[[Hand], object], refused: str, open: bool = True, engines: tuple[str, ...] = BOTH
) -> Attack:
    return Attack(name, steps, refused, open, engines)


#: SQLite has an authorizer that says so; PostgreSQL a role without the right.
NO_RIGHT = "not authorized|authorization denied|prohibited|may not be modified|permission denied|must be owner"
NO_ROW_THERE = "FOREIGN KEY constraint failed|violates foreign key constraint"
NULL = "NOT NULL constraint failed|null value in column"
IN_MAY, LATER = "2026-05-12T09:00:00.000000Z", "2026-05-13T09:00:00.000000Z"

_SPAN = "INSERT INTO installation_span (id, installation_id, bay_id, pairing_id, sensor_id, electronics_id, installed_at, installed_offset_min, removed_at, removed_offset_min, opened_by, closed_by, seq, closed_seq, voided_seq) VALUES"
_PAIRING = "INSERT INTO pairing (id, name, sensor_id, sensor_kind, electronics_id, electronics_kind, unit_type_id, grade, statement, stated_on, paired_at, paired_offset_min, seq) VALUES"


def seat(bay: str, pairing: str, sensor: str, electronics: str, seq: str = "{head}", id_: str = "{new_1}") -> str:
    return f"INSERT INTO installation (id, bay_id, pairing_id, sensor_id, electronics_id, seq) VALUES ({id_}, {bay}, {pairing}, {sensor}, {electronics}, {seq})"


def span(
    bay: str,
    pairing: str,
    sensor: str,
    electronics: str,
    since: str,
    until: str | None = None,
    id_: str = "{new_2}",
    installation: str = "{new_1}",
) -> str:
    keys = f"{id_}, {installation}, {bay}, {pairing}, {sensor}, {electronics}"
    end = ("NULL, NULL", "NULL", "NULL") if until is None else (f"'{until}', 0", "{new_9}", "{head}")
    return f"{_SPAN} ({keys}, '{since}', 0, {end[0]}, {{new_8}}, {end[1]}, {{head}}, {end[2]}, NULL)"


def whole_stay(bay: str, pair: str, since: str, until: str | None = None) -> tuple[str, str]:
    """An installation and its span, for one pair that is whole."""
    keys = (bay, f"{{{pair}}}", f"{{{pair}_s}}", f"{{{pair}_e}}")
    return seat(*keys), span(*keys, since, until)


def pairing(
    sensor: str,
    electronics: str,
    since: str = IN_MAY,
    kinds: tuple[str, str] = ("sensor", "electronics"),
    name: str = "forged",
    unit_type: str = "{reed}",
) -> str:
    return f"{_PAIRING} ({{new_1}}, '{name}', {sensor}, '{kinds[0]}', {electronics}, '{kinds[1]}', {unit_type}, 'letter', 'none', '2026-05-12', '{since}', 0, {{head}})"


MIXING = [
    attack("mixed halves under one pairing", seat("{burdock_A}", "{p3}", "{p3_s}", "{p4_e}"), refused=NO_ROW_THERE),
    attack("mixed halves under the other pairing", seat("{burdock_A}", "{p4}", "{p3_s}", "{p4_e}"), refused=NO_ROW_THERE),
    attack("mixed halves without an entry", seat("{burdock_A}", "{p3}", "{p3_s}", "{p4_e}"), refused="guard:installation_by_act", open=False),
    attack("no pairing at all", seat("{burdock_A}", "NULL", "{p3_s}", "{p4_e}"), refused=NULL),
    attack("no sensor half", seat("{burdock_A}", "{p3}", "NULL", "{p4_e}"), refused=NULL),
    attack("no electronics half", seat("{burdock_A}", "{p3}", "{p3_s}", "NULL"), refused=NULL),
    attack("no bay", seat("NULL", "{p3}", "{p3_s}", "{p3_e}"), refused=NULL),
    attack("a pairing that is not there", seat("{burdock_A}", "{new_5}", "{p3_s}", "{p3_e}"), refused=NO_ROW_THERE),
    attack("both halves in each other's place", seat("{burdock_A}", "{p3}", "{p3_e}", "{p3_s}"), refused=NO_ROW_THERE),
    attack("one half twice", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_s}"), refused=NO_ROW_THERE),
    attack("mixed by INSERT SELECT", "INSERT INTO installation (id, bay_id, pairing_id, sensor_id, electronics_id, seq) SELECT {new_1}, {burdock_A}, a.id, a.sensor_id, b.electronics_id, {head} FROM pairing a, pairing b WHERE a.id = {p3} AND b.id = {p4}", refused=NO_ROW_THERE),
    attack("a whole installation with a mixed span", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{burdock_A}", "{p3}", "{p3_s}", "{p4_e}", IN_MAY), refused=NO_ROW_THERE),
    attack("a span in another bay than its installation", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{teasel_B}", "{p3}", "{p3_s}", "{p3_e}", IN_MAY), refused=NO_ROW_THERE),
    attack("a span that names no half", seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), span("{burdock_A}", "{p3}", "{p3_s}", "NULL", IN_MAY), refused=NULL),
    attack("a span without an installation", span("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}", IN_MAY), refused=NO_ROW_THERE),
    attack("an upsert that turns one half into another", seat("{teasel_A}", "{p1}", "{p1_s}", "{p1_e}", id_="{inst_1}") + " ON CONFLICT (id) DO UPDATE SET electronics_id = {p2_e}", refused=NO_RIGHT),
    attack("an upsert that closes what it collides with", span("{teasel_A}", "{p1}", "{p1_s}", "{p1_e}", "2026-04-01T09:00:00.000000Z", "2026-04-02T09:00:00.000000Z", id_="{span_1}", installation="{inst_1}") + " ON CONFLICT (id) DO UPDATE SET voided_seq = {head}", refused="guard:installation_span_by_act"),
    attack("two halves of a kind, said to be of both", pairing("{lone_s}", "{lone2_s}"), refused=NO_ROW_THERE),
    attack("one half as both halves of a pair", pairing("{lone_s}", "{lone_s}"), refused=NO_ROW_THERE),
    attack("two halves of a kind, said as they are", pairing("{lone_s}", "{lone2_s}", kinds=("sensor", "sensor")), refused="pairing_of_one_half_of_each_kind"),
    attack("halves of two types as a pair", pairing("{lone_s}", "{odd_e}"), refused=NO_ROW_THERE),
    attack("a half that stands in a pair already", pairing("{p1_s}", "{lone_e}"), refused="guard:pairing_apart_by_sensor_id"),
    attack("the other half that stands in a pair already", pairing("{lone_s}", "{p1_e}"), refused="guard:pairing_apart_by_electronics_id"),
    attack("a pair that begins before the pair it stands in", pairing("{p1_s}", "{lone_e}", "2024-05-01T00:00:00.000000Z"), refused="guard:pairing_apart_by_sensor_id"),
    attack("a pairing renamed to another sensor half", "UPDATE pairing SET sensor_id = {lone_s} WHERE id = {p3}", refused=NO_RIGHT),
    attack("a half said to be of the other kind", "UPDATE half SET kind = 'electronics' WHERE id = {lone_s}", refused=NO_RIGHT),
]  # fmt: skip

RELABELLING = [
    attack("an installation re-labelled to another whole pair", "UPDATE installation SET pairing_id = {p3}, sensor_id = {p3_s}, electronics_id = {p3_e} WHERE id = {inst_1}", refused=NO_RIGHT),
    attack("a span re-labelled to another whole pair", "UPDATE installation_span SET pairing_id = {p3}, sensor_id = {p3_s}, electronics_id = {p3_e} WHERE id = {span_1}", refused=NO_RIGHT),
    attack("a stay moved to another bay", "UPDATE installation_span SET bay_id = {burdock_B} WHERE id = {span_1}", refused=NO_RIGHT),
    attack("an id re-written", "UPDATE installation SET id = {new_1} WHERE id = {inst_1}", refused=NO_RIGHT),
    attack("the entry of a row re-written", "UPDATE installation SET seq = {head} WHERE id = {inst_1}", refused=NO_RIGHT),
    attack("an instant of the beginning changed", "UPDATE installation_span SET installed_at = '2026-05-09T09:00:00.000000Z' WHERE id = {span_1}", refused=NO_RIGHT),
    attack("a closed span opened again", "UPDATE installation_span SET removed_at = NULL, removed_offset_min = NULL, closed_by = NULL, closed_seq = NULL WHERE id = {span_2}", refused="guard:installation_span_changes_once"),
    attack("a closed instant changed", "UPDATE installation_span SET removed_at = '2026-05-09T10:00:00.000000Z' WHERE id = {span_2}", refused="guard:installation_span_changes_once"),
    attack("a closed instant changed and closed anew", "UPDATE installation_span SET removed_at = '2026-05-09T10:00:00.000000Z', closed_seq = {head} WHERE id = {span_2}", refused="guard:installation_span_changes_once"),
    attack("who closed it changed", "UPDATE installation_span SET closed_by = {new_1} WHERE id = {span_2}", refused="guard:installation_span_changes_once"),
    attack("a voided span brought back", "UPDATE installation_span SET voided_seq = NULL WHERE id = {span_0}", refused="guard:installation_span_changes_once"),
    attack("a voided span voided by another entry", "UPDATE installation_span SET voided_seq = {head} WHERE id = {span_0}", refused="guard:installation_span_changes_once"),
    attack("a voided span closed", "UPDATE installation_span SET removed_at = '2026-05-19T10:00:00.000000Z', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {head} WHERE id = {span_0}", refused="guard:installation_span_changes_once"),
    attack("voided outside an act", "UPDATE installation_span SET voided_seq = {head} WHERE id = {span_1}", refused="guard:installation_span_changes_once", open=False),
    attack("voided by an older entry", "UPDATE installation_span SET voided_seq = {former} WHERE id = {span_1}", refused="guard:installation_span_changes_once"),
    attack("closed outside an act", "UPDATE installation_span SET removed_at = '2026-05-19T10:00:00.000000Z', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {head} WHERE id = {span_1}", refused="guard:installation_span_changes_once", open=False),
    attack("closed by an older entry", "UPDATE installation_span SET removed_at = '2026-05-19T10:00:00.000000Z', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {former} WHERE id = {span_1}", refused="guard:installation_span_changes_once"),
    attack("closed without an entry named", "UPDATE installation_span SET removed_at = '2026-05-19T10:00:00.000000Z', removed_offset_min = 0, closed_by = {new_1} WHERE id = {span_1}", refused="guard:installation_span_changes_once"),
    attack("closed and voided at once", "UPDATE installation_span SET removed_at = '2026-05-19T10:00:00.000000Z', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {head}, voided_seq = {head} WHERE id = {span_1}", refused="guard:installation_span_changes_once"),
    attack("closed before it began", "UPDATE installation_span SET removed_at = '2026-05-01T10:00:00.000000Z', removed_offset_min = 0, closed_by = {new_1}, closed_seq = {head} WHERE id = {span_1}", refused="installation_span_ends_after_it_begins"),
    attack("closed by an entry at no instant", "UPDATE installation_span SET closed_seq = {head} WHERE id = {span_1}", refused="installation_span_closed_as_a_whole"),
    attack("closed by nobody's act", "UPDATE installation_span SET removed_at = '2026-05-19T10:00:00.000000Z', removed_offset_min = 0, closed_seq = {head} WHERE id = {span_1}", refused="installation_span_closed_as_a_whole"),
    attack("a span deleted", "DELETE FROM installation_span WHERE id = {span_1}", refused=NO_RIGHT),
    attack("an installation deleted", "DELETE FROM installation WHERE id = {inst_1}", refused=NO_RIGHT),
    attack("a half deleted", "DELETE FROM half WHERE id = {lone_s}", refused=NO_RIGHT),
    attack("everything deleted", "DELETE FROM removal", refused=NO_RIGHT),
]  # fmt: skip

_AT = "'2026-05-19T10:00:00.000000Z'"
#: A row closed with half of what closing says: a hold is released by nobody, so that its placer may do it.
HALF_CLOSED = [
    attack("a hold released by nobody", f"UPDATE hold SET released_at = {_AT}, released_offset_min = 0, closed_seq = {{head}} WHERE id = {{hold}}", refused="hold_closed_as_a_whole"),
    attack("a hold released without evidence", f"UPDATE hold SET released_at = {_AT}, released_offset_min = 0, released_by_id = {{rosa}}, closed_seq = {{head}} WHERE id = {{hold}}", refused="hold_closed_as_a_whole"),
    attack("a recheck answered by nobody", f"UPDATE recheck SET answered_at = {_AT}, answered_offset_min = 0, closed_seq = {{head}} WHERE id = {{recheck}}", refused="recheck_closed_as_a_whole"),
    attack("a discrepancy settled by nobody", f"UPDATE discrepancy SET settled_at = {_AT}, settled_offset_min = 0, closed_seq = {{head}} WHERE id = {{discrepancy}}", refused="discrepancy_closed_as_a_whole"),
    attack("a pair ended for no reason", f"UPDATE pairing SET ended_at = {_AT}, ended_offset_min = 0, closed_seq = {{head}} WHERE id = {{p5}}", refused="pairing_closed_as_a_whole"),
    attack("a removal without its offset", f"UPDATE installation_span SET removed_at = {_AT}, closed_by = {{new_1}}, closed_seq = {{head}} WHERE id = {{span_1}}", refused="installation_span_closed_as_a_whole"),
]  # fmt: skip

HISTORY = [
    attack("two pairs live in one bay", *whole_stay("{teasel_A}", "p3", IN_MAY), refused="guard:installation_span_apart_by_bay_id"),
    attack("a past stay laid over a live one in its bay", *whole_stay("{teasel_A}", "p3", IN_MAY, LATER), refused="guard:installation_span_apart_by_bay_id"),
    attack("an endless stay that runs into a later one", *whole_stay("{teasel_A}", "p6", "2026-05-01T00:00:00.000000Z"), refused="guard:installation_span_apart_by_bay_id"),
    attack("a stay laid over a closed one in its bay", *whole_stay("{teasel_B}", "p6", "2026-05-09T09:30:00.000000Z", "2026-05-09T10:00:00.000000Z"), refused="guard:installation_span_apart_by_bay_id"),
    attack("a stay around a closed one in its bay", *whole_stay("{teasel_B}", "p6", "2026-05-01T00:00:00.000000Z", "2026-05-15T00:00:00.000000Z"), refused="guard:installation_span_apart_by_bay_id"),
    attack("one pair live in two bays", *whole_stay("{burdock_A}", "p1", IN_MAY), refused="guard:installation_span_apart_by_(sensor|electronics)_id"),
    attack("one pair in two bays in the past", *whole_stay("{burdock_A}", "p1", IN_MAY, LATER), refused="guard:installation_span_apart_by_(sensor|electronics)_id"),
    attack("one installation with two live spans", span("{teasel_A}", "{p1}", "{p1_s}", "{p1_e}", "2026-05-11T00:00:00.000000Z", installation="{inst_1}"), refused="guard:installation_span_apart_by"),
    attack("installed before the pair was made", *whole_stay("{burdock_A}", "p3", "2024-05-01T00:00:00.000000Z", "2024-06-01T00:00:00.000000Z"), refused="guard:installation_span_within_its_pairing"),
    attack("installed in a pair that has ended", *whole_stay("{burdock_A}", "gone", "2026-05-18T00:00:00.000000Z", "2026-05-19T00:00:00.000000Z"), refused="guard:installation_span_within_its_pairing"),
    attack("installed for ever in a pair that has ended", *whole_stay("{burdock_A}", "gone", "2026-05-01T00:00:00.000000Z"), refused="guard:installation_span_within_its_pairing"),
    attack("a stay that outlasts its pair", *whole_stay("{burdock_A}", "gone", "2026-05-01T00:00:00.000000Z", "2026-05-18T00:00:00.000000Z"), refused="guard:installation_span_within_its_pairing"),
    attack("a pair ended while it sits in a bay", "UPDATE pairing SET ended_at = '2026-05-19T00:00:00.000000Z', ended_offset_min = 0, end_reason = 'none', closed_seq = {head} WHERE id = {p1}", refused="guard:pairing_ends_after_its_stays"),
    attack("a pair ended before it came out", "UPDATE pairing SET ended_at = '2026-05-09T12:30:00.000000Z', ended_offset_min = 0, end_reason = 'none', closed_seq = {head} WHERE id = {p5}", refused="guard:pairing_ends_after_its_stays"),
    attack("a pair voided under an installation", "UPDATE pairing SET voided_seq = {head} WHERE id = {p1}", refused="guard:pairing_voided_only_unused"),
    attack("a stay that ends before it begins", *whole_stay("{burdock_A}", "p3", LATER, IN_MAY), refused="installation_span_ends_after_it_begins"),
    attack("a stay of no length", *whole_stay("{burdock_A}", "p3", IN_MAY, IN_MAY), refused="installation_span_ends_after_it_begins"),
    attack("a span born voided", whole_stay("{burdock_A}", "p3", IN_MAY)[0], whole_stay("{burdock_A}", "p3", IN_MAY)[1].replace("NULL)", "{head})"), refused="guard:installation_span_by_act"),
    attack("a span born closed by another entry", whole_stay("{burdock_A}", "p3", IN_MAY, LATER)[0], whole_stay("{burdock_A}", "p3", IN_MAY, LATER)[1].replace("{head}, {head}, NULL)", "{head}, {former}, NULL)"), refused="guard:installation_span_by_act"),
    attack("a hold released by who placed it", "UPDATE hold SET released_at = '2026-05-19T00:00:00.000000Z', released_offset_min = 0, released_by_id = {ida}, release_reason = 'fine', evidence = 'none', closed_seq = {head} WHERE id = {hold}", refused="hold_released_by_another"),
    attack("a hold released by who did the work", "UPDATE hold SET released_at = '2026-05-19T00:00:00.000000Z', released_offset_min = 0, released_by_id = {yusuf}, release_reason = 'fine', evidence = 'none', closed_seq = {head} WHERE id = {order_hold}", refused="hold_released_by_another"),
    attack("a verification reviewed by who did it", "UPDATE verification SET reviewed_at = '2026-05-19T00:00:00.000000Z', reviewed_offset_min = 0, reviewed_by_id = {vera}, review = 'agreed', review_words = '', closed_seq = {head} WHERE id = {check_p1}", refused="verification_reviewed_by_another"),
    attack("a hold on two things", "INSERT INTO hold (id, half_id, bay_id, cause, reason, placed_by_id, done_by_id, placed_at, placed_offset_min, seq) VALUES ({new_1}, {p3_s}, {teasel_A}, 'wet', 'x', {ida}, {ida}, '2026-05-12T00:00:00.000000Z', 0, {head})", refused="hold_on_one_thing"),
    attack("a hold on nothing", "INSERT INTO hold (id, cause, reason, placed_by_id, done_by_id, placed_at, placed_offset_min, seq) VALUES ({new_1}, 'wet', 'x', {ida}, {ida}, '2026-05-12T00:00:00.000000Z', 0, {head})", refused="hold_on_one_thing"),
    attack("a role held twice at once", "INSERT INTO person_role (id, person_id, role, given_at, given_offset_min, seq) VALUES ({new_1}, {ida}, 'technician', '2026-05-12T00:00:00.000000Z', 0, {head})", refused="guard:person_role_apart_by_person_id_role"),
    attack("a type accepted twice at once", "INSERT INTO bay_type (id, bay_id, unit_type_id, accepted_at, accepted_offset_min, seq) VALUES ({new_1}, {teasel_A}, {reed}, '2026-05-12T00:00:00.000000Z', 0, {head})", refused="guard:bay_type_apart_by_bay_id_unit_type_id"),
    attack("a label that two halves bear", "INSERT INTO identity (id, half_id, scheme, issuer, part, serial, joined, printed_part, printed_serial, folded_serial, read_from, seq) SELECT {new_1}, {p2_s}, scheme, issuer, part, serial, joined, printed_part, printed_serial, folded_serial, read_from, {head} FROM identity WHERE half_id = {p1_s}", refused="identity_names_one_half|UNIQUE constraint failed: identity"),
]  # fmt: skip
