"""A process killed while it writes: whatever it had acknowledged is there afterwards, and the log holds."""

import signal

import pytest

from registry.acts import log
from registry.acts.verify import verify
from tests.bounds import rounds
from tests.cast import World
from tests.faults.conftest import KEY
from tests.faults.writer import writing


def _killed_after(world: World, acknowledged: int, salt: str) -> list[str]:
    """The acts a writer said were kept, until it was killed in the middle of another."""
    writer = writing(world, 100_000, salt)
    assert writer.stdout
    kept = [writer.stdout.readline().split()[1] for _number in range(acknowledged)]
    writer.send_signal(signal.SIGKILL)
    rest, _ = writer.communicate()
    assert writer.returncode == -signal.SIGKILL
    # A line may be cut in two by the kill; an id is kept only if it was said whole.
    return kept + [line.split()[1] for line in rest.splitlines() if len(line) == len("kept ") + 36]


@pytest.mark.parametrize("after", [1, *(pytest.param(after, marks=pytest.mark.long) for after in (17, 60))])
def test_what_was_acknowledged_before_a_kill_is_there_afterwards(after: int, world: World):
    with world.database.reading() as db:
        before = log.head(db).size
    kept = _killed_after(world, after, f"round {after}")
    with world.database.reading() as db:
        assert all(log.stored(db, id_) for id_ in kept)
        # At most one act was kept that nobody was told of.
        assert len(kept) <= log.head(db).size - before <= len(kept) + 1
        assert verify(db, KEY.verifier(), strict=True).faults == []
    world.install("p1")
    with world.database.reading() as db:
        assert verify(db, KEY.verifier()).faults == []


@pytest.mark.long
def test_a_registry_that_is_killed_again_and_again_loses_nothing(world: World):
    kept = [id_ for number in range(rounds(40)) for id_ in _killed_after(world, 1 + number % 13, f"again {number}")]
    with world.database.reading() as db:
        assert all(log.stored(db, id_) for id_ in kept)
        assert verify(db, KEY.verifier()).faults == []
