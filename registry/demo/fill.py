"""Filling a registry with the invented outfit."""

from collections.abc import Callable
from datetime import datetime

from registry import passwords
from registry.acts import log
from registry.demo.acceptances import accept
from registry.demo.alignments import mount
from registry.demo.audits import audit
from registry.demo.corrections import correct
from registry.demo.hand import Hand
from registry.demo.imports import carry_over
from registry.demo.incidents import happen
from registry.demo.missions import assess, sail
from registry.demo.mounting_checks import bind, check_mountings
from registry.demo.outfit import KEEPER, OUTFIT, PEOPLE, furnish
from registry.demo.seasons import live
from registry.demo.second_checks import look_at_seats
from registry.demo.settings import permit, settle
from registry.demo.spares import lay_out_kits
from registry.domain.people import ROLES
from registry.domain.times import UTC, read_day
from registry.errors import Reason, Refused
from registry.instance import Instance
from registry.models.people import credential

PASSWORD, PIN = "invented harbour lamp", "2846"
SIGN_INS = [(KEEPER, "keeper and workshop lead"), *((name, ROLES[role]) for name, role in PEOPLE.items())]
#: How many acts the script and its spreadsheet send, for showing how far it is; a test holds it.
ACTS = 978


def fill(
    instance: Instance, anchor: str | None = None, told: Callable[[int, int], None] = lambda done, of: None
) -> int:
    """Send the whole script in one transaction; gives the number of acts that were not there yet.

    Refused when the log holds something else than this outfit.
    """
    anchor = _anchor(instance, anchor)
    with instance.database.writing() as db:
        hand = Hand(db, anchor, lambda done: told(done, max(ACTS, done)), instance.files)
        furnish(hand)
        mount(hand)
        permit(hand)
        seasons = live(hand)
        happen(hand, seasons)
        lay_out_kits(hand)
        check_mountings(hand)
        bind(hand)
        settle(hand)
        correct(hand)
        sail(hand)
        assess(hand)
        accept(hand, seasons)
        audit(hand, seasons)
        look_at_seats(hand, seasons)
        hand.send()
    _secrets(instance, hand)
    carried = carry_over(instance, hand)
    if hand.new or carried:
        instance.sign_head()
    return hand.new + carried


def _anchor(instance: Instance, asked: str | None) -> str:
    """The anchor in the first entry, if there is one; else the day asked for, or today."""
    with instance.database.reading() as db:
        first = log.entry_at(db, 1)
    if first is None:
        try:
            return read_day(asked) if asked else datetime.now(UTC).date().isoformat()
        except ValueError as problem:
            raise Refused(Reason("wrong_form", str(problem), "anchor", "Give a day like 2026-05-15.")) from None
    if first.act != "found_outfit" or not first.body["invented"] or first.body["outfit"] != OUTFIT:
        raise Refused(
            Reason(
                "already_known",
                "This registry holds an outfit of its own; invented data is never mixed into it.",
                next="Set PAIRBOOK_HOME to an empty folder.",
            )
        )
    if asked and asked != first.body["anchor_on"]:
        raise Refused(
            Reason(
                "already_known",
                f"This demo was filled with the anchor {first.body['anchor_on']}.",
                "anchor",
                "Leave the anchor out, or use an empty folder.",
            )
        )
    return str(first.body["anchor_on"])


def _secrets(instance: Instance, hand: Hand) -> None:
    """A password and a PIN for everybody who has none yet."""
    now = datetime.now(UTC)
    with instance.database.reading() as db:
        have = set(db.execute(credential.select().with_only_columns(credential.c.person_id)).scalars())
    for name, _role in SIGN_INS:
        if hand.ids[name] not in have:
            passwords.set_secrets(instance.database, hand.ids[name], {"password": PASSWORD, "pin": PIN}, now)
