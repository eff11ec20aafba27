"""Spares of bays at an instant: every free pair, what it still needs, and where it lies."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa

from registry.domain.deliveries import reasons_not_accepted
from registry.domain.holds import Hold
from registry.domain.openings import BEFORE_INSTALL, Asked
from registry.domain.spares import (
    BayAt,
    FreePair,
    Lying,
    Need,
    Spare,
    best_first,
    needs_of_firmware,
    needs_of_sheet,
    spare_for,
)
from registry.domain.swap_kits import SwapKit, needs_of_kit
from registry.domain.times import say
from registry.models import fit_rows
from registry.models.cartons import newest_cartons
from registry.models.due import dues
from registry.models.seeks import EVER
from registry.models.spare_settings import firmware_of_pairs, sheets_of_bays, types_that_demand_a_sheet
from registry.models.swap_kits import swap_kits
from registry.models.whereabouts import Whereabouts, whereabouts
from registry.queries import spare_rows as rows

#: Says what one pair still needs before it goes into one bay.
Asks = Callable[[BayAt, FreePair], Iterable[Need]]


@dataclass(frozen=True, slots=True)
class BaySpares:
    """The spares of one bay, best first, and the kit a swap of it takes."""

    bay: BayAt
    kit: SwapKit
    spares: tuple[Spare, ...]

    @property
    def ready(self) -> tuple[Spare, ...]:
        return tuple(one for one in self.spares if one.ready)

    @property
    def ready_aboard(self) -> tuple[Spare, ...]:
        return tuple(one for one in self.ready if one.aboard)

    @property
    def may_go_in(self) -> tuple[Spare, ...]:
        return tuple(one for one in self.spares if not one.kept_out)

    @property
    def kept_out(self) -> tuple[Spare, ...]:
        return tuple(one for one in self.spares if one.kept_out)

    def told(self) -> dict[str, Any]:
        """All of it as plain data: what JSON says, over HTTP and at the command line alike."""
        return {
            "bay": str(self.bay),
            "bay_code": self.bay.code,
            "site": self.bay.site,
            "kit": {
                "lines": [{"what": what, "quantity": count} for what, count in self.kit.lines],
                "counted": [asdict(one) for one in self.kit.counted],
                "at_hand": self.kit.at_hand(self.bay.site_id) if self.kit.lines else None,
            },
            "spares": [_told(one) for one in self.spares],
        }


def _told(one: Spare) -> dict[str, Any]:
    pair = one.pair
    needs = [
        {
            "code": need.code,
            "told": need.told,
            "keeps_out": need.keeps_out,
            "act": need.offer.act if need.offer else None,
        }
        for need in one.needs
    ]
    return {
        "pair": pair.pair, "type": pair.type_name, "sensor": pair.sensor_code, "electronics": pair.electronics_code, "ready": one.ready,
        "kept_out": one.kept_out, "aboard": one.aboard, "where": one.say_where(), "due_on": pair.due.due_on, "needs": needs,
    }  # fmt: skip


def spares_of_bays(
    db: sa.Connection, bay_ids: Iterable[str], at: str, known: int = EVER, until: str | None = None
) -> list[BaySpares]:
    """Spares of each of these bays, in the order of vehicles and bays. Seventeen statements, whatever the size of the
    fleet and however many bays. With `until`, verifications must hold through that day."""
    keys: dict[str, Any] = {"bays": sorted(set(bay_ids)), "at": at, "known": known}
    types: dict[str, set[str]] = defaultdict(set)
    for row in db.execute(rows.accepted, keys):
        types[row.bay_id].add(row.unit_type_id)
    bays = [BayAt(*row, types=frozenset(types[row.id])) for row in db.execute(rows.bays, keys)]
    pairs = free_pairs(db, at, known)
    kits = swap_kits(db, [bay.housing_id for bay in bays], at, known)
    asks = [ask(db, bays, pairs, at, known) for ask in ASKED] + [_asks_for_kit(kits)]
    return [
        BaySpares(
            bay,
            kits[bay.housing_id],
            best_first(spare_for(bay, pair, [n for ask in asks for n in ask(bay, pair)], until) for pair in pairs),
        )
        for bay in bays
    ]


def _asks_for_kit(kits: Mapping[str, SwapKit]) -> Asks:
    return lambda bay, _pair: needs_of_kit(kits[bay.housing_id], bay)


def _asks_for_firmware(
    db: sa.Connection, _bays: Sequence[BayAt], pairs: Sequence[FreePair], at: str, known: int
) -> Asks:
    """What the newest list of permitted firmware of its type asks of each pair."""
    runs = firmware_of_pairs(db, [pair.pairing_id for pair in pairs], at, known)
    return lambda _bay, pair: needs_of_firmware(runs[pair.pairing_id])


def _asks_for_sheet(db: sa.Connection, bays: Sequence[BayAt], _pairs: Sequence[FreePair], at: str, known: int) -> Asks:
    """A settings sheet to load, where the type demands one and the bay has none."""
    written, demanded = (
        sheets_of_bays(db, [bay.id for bay in bays], at, known),
        types_that_demand_a_sheet(db, at, known),
    )
    return lambda bay, pair: needs_of_sheet(bay, bay.id in written, pair.type_id in demanded)


#: What other features know of spares that this one does not. Each reads, once for all bays and pairs, whatever it
#: needs, and gives back who says what one pair still needs before it goes into one bay.
ASKED: list[Callable[[sa.Connection, Sequence[BayAt], Sequence[FreePair], str, int], Asks]] = [
    _asks_for_firmware,
    _asks_for_sheet,
]


def bay_spares(db: sa.Connection, bay_id: str, at: str, known: int = EVER) -> BaySpares | None:
    """The spares of one bay, or None when it was not known yet."""
    return next(iter(spares_of_bays(db, [bay_id], at, known)), None)


def free_pairs(db: sa.Connection, at: str, known: int = EVER) -> list[FreePair]:
    """Every pair that sits in no bay, with what stands against it. Ten statements."""
    keys: dict[str, Any] = {"at": at, "known": known}
    found = db.execute(rows.free_pairs, keys).all()
    both = [id_ for row in found for id_ in (row.sensor_id, row.electronics_id)]
    about = _About(db, both, keys)
    places = whereabouts(db, both, at, known)
    due = dues(db, at, known, [row.id for row in found])
    return [about.pair(row, places, due[row.id]) for row in found]


class _About:
    """What stands against each half, by itself or by any pair it ever stood in."""

    def __init__(self, db: sa.Connection, halves: Sequence[str], keys: Mapping[str, Any]):
        read = lambda query: db.execute(query, keys).mappings()  # noqa: E731
        self._holds = self._by_half(read(fit_rows.holds))
        self._rechecks = self._by_half(row for row in read(fit_rows.rechecks) if row["what"] in BEFORE_INSTALL)
        self._differences = self._by_half(read(fit_rows.differences))
        self._cartons = newest_cartons(db, halves, keys["at"], keys["known"])
        self._retired = {
            row.half_id: row.retired_at for row in db.execute(rows.retired, {**keys, "halves": list(halves)})
        }

    @staticmethod
    def _by_half(found: Iterable[Mapping[str, Any]]) -> dict[str, list[Mapping[str, Any]]]:
        by_half: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
        for row in found:
            for name in ("half_id", "sensor_id", "electronics_id"):
                if row.get(name):
                    by_half[row[name]].append(row)
        return by_half

    def pair(self, row: sa.Row, places: Mapping[str, Whereabouts], due: Any) -> FreePair:
        halves = {row.sensor_id: "sensor half", row.electronics_id: "electronics half"}

        def on(one: Mapping[str, Any]) -> str:
            return f"{halves[one['half_id']]} of {row.name}" if one["half_id"] else f"pair {row.name}"

        def mine(by_half: Mapping[str, list[Mapping[str, Any]]]) -> list[Mapping[str, Any]]:
            return list({one["id"]: one for id_ in halves for one in by_half.get(id_, ())}.values())

        return FreePair(
            row.id, row.name, row.unit_type_id, row.type_name, row.sensor_code, row.electronics_code,
            *(Lying(places[id_].site_id, places[id_].say(), places[id_].away is not None) for id_ in halves), due,
            holds=tuple(
                Hold(h["id"], on(h), h["cause"], h["reason"], h["placed_at"], h["placed_by_id"], h["done_by_id"], h["seq"])
                for h in mine(self._holds)
            ),
            not_accepted=tuple(
                reason for id_, words in halves.items()
                for reason in reasons_not_accepted(self._cartons.get(id_), f"The {words}", words.split()[0])
            ),
            asked=tuple(Asked(one["id"], one["what"], on(one), one["asked_at"]) for one in mine(self._rechecks)),
            differences=tuple((one["id"], one["words"]) for one in mine(self._differences)),
            retired=tuple(
                f"{words} of {row.name} was retired on {say(self._retired[id_])}"
                for id_, words in halves.items() if id_ in self._retired
            ),
        )  # fmt: skip
