"""A process that keeps a file and then enters the act that names it, again and again, for tests that kill it.

`python -m tests.faults.files_writer HOME HALF PERSON MOST` prints `stored HASH` when a file is kept and before its act is
entered, and `kept ID` when the act is in the log. With MOST `0` it stores one file and waits to be killed.
"""

import io
import random
import sys
from pathlib import Path

from registry.acts import door, ids
from registry.acts.door import Ready, Signer
from registry.files import Files
from registry.models.database import Database
from tests.cast import NOW


def main(home: str, half: str, person: str, most: str) -> None:
    database = Database(f"sqlite:///{Path(home) / 'registry.sqlite3'}")
    files, dice = Files(Path(home), 20_000_000), random.Random(most)
    for number in range(max(1, int(most))):
        content = f"bench log {number} of {most}\n".encode() * 2000
        file = files.keep(io.BytesIO(content), f"bench {number}.txt").file
        print("stored", file.sha256, flush=True)
        if most == "0":
            sys.stdin.read()
        sent = {"act": "attach_file", "version": 1, "id": ids.new_id(NOW, dice.getrandbits), "happened_at": "2026-05-10T09:00:00Z", "half": half, "files": [file._asdict()]}  # fmt: skip
        act, sha, private = door.read_act(sent, now=NOW)
        ready = Ready(act, sha, Signer(person, "writer"), private, {"files": files.find})
        with database.writing() as db:
            done = door.perform(db, ready, now=NOW, randbelow=dice.randrange)
        print("kept", done.entry.id, flush=True)
    database.dispose()


if __name__ == "__main__":
    main(*sys.argv[1:])
