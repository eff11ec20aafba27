"""Every single byte of a log of 64 entries, flipped: each flip is found, and names its entry."""

import pytest

from registry.acts import log, verify
from registry.acts.log import Stored
from registry.models.log import log_entry
from tests.bounds import rounds
from tests.faults.conftest import Break

SIZE = 64


def _told(stored: Stored) -> list[str]:
    """What the look at one entry says, without the database in between."""
    faults: list = []
    verify._look_at(stored, stored.seq, False, verify._Told(faults, 20))
    return [fault.told for fault in faults]


def _flips(data: bytes, bit_of) -> list[bytes]:
    flipped = []
    for place in range(len(data)):
        copy = bytearray(data)
        copy[place] ^= 1 << bit_of(place)
        flipped.append(bytes(copy))
    return flipped


@pytest.fixture
def stored(hand: Break) -> list[Stored]:
    rows = list(log.rows(hand.db, upto=SIZE))
    assert len(rows) == SIZE
    assert all(_told(row) == [] for row in rows)
    return rows


@pytest.mark.long
def test_every_flip_of_an_entry_is_found(stored: list[Stored]):
    """One bit of every byte, a different one from byte to byte; `long` flips all eight."""
    for row in stored:
        for raw in _flips(row.raw, lambda place: place % 8):
            told = _told(row._replace(raw=raw))
            assert any(f"Entry {row.seq} does not match its leaf hash" in sentence for sentence in told)


@pytest.mark.long
@pytest.mark.parametrize("bit", range(rounds(8)))
def test_every_flip_of_every_bit_is_found(bit: int, stored: list[Stored]):
    for row in stored:
        for raw in _flips(row.raw, lambda place: bit):
            assert _told(row._replace(raw=raw))


@pytest.mark.parametrize("column", ["leaf", "sent_sha"])
def test_every_flip_of_a_hash_is_found(column: str, stored: list[Stored]):
    for row in stored:
        if column == "leaf":
            changed = [row._replace(leaf=leaf) for leaf in _flips(row.leaf, lambda place: place % 8)]
        else:
            changed = [
                row._replace(columns=row.columns | {"sent_sha": sha})
                for sha in _flips(row.columns["sent_sha"], lambda place: place % 8)
            ]
        assert all(_told(one) for one in changed)


FLIPS = [
    ("entry", 1, 0),
    ("entry", 2, 40),
    ("entry", 17, 200),
    ("entry", 33, 333),
    ("entry", 64, 7),
    ("leaf", 1, 0),
    ("leaf", 40, 31),
]


@pytest.mark.parametrize(("column", "seq", "place"), FLIPS)
def test_a_flip_in_the_database_is_found(column: str, seq: int, place: int, hand: Break):
    (row,) = log.rows(hand.db, after=seq - 1, upto=seq)
    data = bytearray(row.raw if column == "entry" else row.leaf)
    data[place] ^= 1
    with hand.behind_its_back():
        hand.db.execute(log_entry.update().where(log_entry.c.seq == seq).values(**{column: bytes(data)}))
    found = hand.verify().faults
    assert (f"entry {seq}", f"Entry {seq} does not match its leaf hash: its bytes or the hash were changed.") in [
        tuple(fault) for fault in found
    ]
