"""A process that writes acts, one after another, and says of each that it is kept once it is: for tests that kill it.

`python -m tests.faults.writer DATABASE HALF PERSON MOST SALT` prints `kept ID` after every commit.
"""

import random
import subprocess
import sys

from registry.acts import door, ids
from registry.acts.door import Ready, Signer
from registry.models.database import Database
from tests.cast import NOW, World


def writing(world: World, most: int, salt: str) -> "subprocess.Popen[str]":
    """Such a process over a world's database, begun."""
    about = (str(world.database.url.database), world.ids["p1 s"], world.ids["ida"], str(most), salt)
    return subprocess.Popen([sys.executable, "-m", "tests.faults.writer", *about], stdout=subprocess.PIPE, text=True)


def main(path: str, half: str, person: str, most: str, salt: str) -> None:
    database, dice = Database(f"sqlite:///{path}"), random.Random(salt)
    for number in range(int(most)):
        sent = {
            "act": "note_fault",
            "version": 1,
            "id": ids.new_id(NOW, dice.getrandbits),
            "happened_at": "2026-05-10T09:00:00Z",
            "half": half,
            "words": f"fault {number} of {salt}",
        }
        act, sha, private = door.read_act(sent, now=NOW)
        with database.writing() as db:
            done = door.perform(
                db, Ready(act, sha, Signer(person, "writer"), private), now=NOW, randbelow=dice.randrange
            )
        print("kept", done.entry.id, flush=True)
    database.dispose()


if __name__ == "__main__":
    main(*sys.argv[1:])
