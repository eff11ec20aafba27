"""A month of work that nobody planned, entered late and out of turn: what the queries answer over it can be worked out
by hand from the log."""

import random
from datetime import datetime, timedelta

import sqlalchemy as sa

from registry.domain.times import UTC, stamp, write_rfc3339
from registry.errors import Refused
from registry.models.installs import installation_span as span
from registry.models.seeks import EVER
from registry.queries.fleet import vehicles_at
from tests.cast import World

PAIRS, BAYS = ("p1", "p2", "p3"), ("teasel A", "teasel B", "burdock A", "burdock B")
FIRST, LAST = datetime(2026, 5, 1, 6, tzinfo=UTC), datetime(2026, 5, 19, 18, tzinfo=UTC)


Picture = dict[str, str | None]


def picture(world: World, at: str, known: int = EVER) -> Picture:
    """Bay -> the pair in it, as the queries tell it."""
    with world.database.reading() as db:
        return {bay.id: bay.pair for vehicle in vehicles_at(db, at, known) for bay in vehicle.bays}


def grown(world: World, acts: int, seed: int) -> dict[tuple[str, int], Picture]:
    """Up to `acts` acts that were taken; whatever is refused is left out, as at work. Gives pictures taken on the way:
    (instant, length of the log then) -> what the fleet page told at that time."""
    dice = random.Random(seed)
    taken: list[tuple[str, str]] = []
    taken_then: dict[tuple[str, int], Picture] = {}
    for day in range(1, 20):
        world.sign("ida", f"{day} 05:00")
        world.sign("ida", f"{day} 17:00")
    for _ in range(acts * 12):
        if len(taken) >= acts:
            break
        world.now += timedelta(minutes=dice.randint(1, 400))
        when = write_rfc3339(FIRST + (LAST - FIRST) * dice.random())
        try:
            taken.append(_one(world, dice, when, taken))
        except Refused:
            continue
        if len(taken) % 8 == 0:
            at = stamp(FIRST + (LAST - FIRST) * dice.random())
            with world.database.reading() as db:
                size = db.exec_driver_sql("SELECT size FROM log_head").scalar_one()
            taken_then[at, size] = picture(world, at)
    world.now += timedelta(days=1)
    return taken_then


def _seated(world: World, dice: random.Random) -> tuple[str, str]:
    """A pair that sits in a bay until further notice, and that bay."""
    names = {id_: name for name, id_ in world.ids.items()}
    with world.database.reading() as db:
        rows = db.execute(
            sa.select(span.c.pairing_id, span.c.bay_id)
            .where(span.c.removed_at.is_(None), span.c.voided_seq.is_(None))
            .order_by(span.c.seq)
        ).all()
    return tuple(names[id_] for id_ in dice.choice(rows)) if rows else (PAIRS[0], BAYS[0])  # type: ignore[return-value]


def _one(world: World, dice: random.Random, when: str, taken: list[tuple[str, str]]) -> tuple[str, str]:
    bay, pair, other = dice.choice(BAYS), *dice.sample(PAIRS, 2)
    kind = dice.choice(
        ["install", "install", "remove", "swap", "swap", "late", "move", "carry", "hold", "amend", "sight"]
    )
    if kind in ("remove", "swap"):
        pair, bay = _seated(world, dice)
        other = next(one for one in PAIRS if one != pair)
    if kind == "install":
        done = world.install(pair, bay, when)
    elif kind == "remove":
        done = world.remove(pair, bay, when)
    elif kind == "swap":
        done = world.swap(pair, other, bay, when)
    elif kind == "late":
        until = write_rfc3339(datetime.fromisoformat(when) + timedelta(hours=dice.randint(1, 40)))
        done = world.install(pair, bay, when, removed_at=until)
    elif kind == "move":
        done = world.do("move_halves", when, halves=[f"{pair} s", f"{pair} e"], site=dice.choice(["shed", "vessel"]))
    elif kind == "carry":
        done = world.do("move_vehicle", when, by="piet", vehicle=bay.split()[0], site=dice.choice(["shed", "vessel"]))
    elif kind == "hold":
        done = world.do("place_hold", when, half=f"{other} s", reason="it hummed")
        until = write_rfc3339(datetime.fromisoformat(when) + timedelta(hours=3))
        world.do("release_hold", until, by="rosa", hold=done.entry.id, reason="dry", evidence="photo")
    elif kind == "sight":
        done = world.do("record_sighting", when, by="anselm", bay=bay, sensor=f"{pair} s", electronics=f"{pair} e")
    else:
        amended = [act for act, act_kind in taken if act_kind in ("install", "late")]
        change = {"act": dice.choice(amended) if amended else "", "instant": "installed", "at": when}
        done = world.do(
            "amend_times",
            write_rfc3339(world.now - timedelta(minutes=1)),
            by="oda",
            changes=[change],
            why="looked again",
        )
    return done.entry.id, kind
