"""That a process is at work in a folder: a lock it holds as long as it lives, which the system lets go of however it ends."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

#: The lock, in the folder.
AT_WORK = "at-work"


@contextmanager
def at_work(folder: Path) -> Iterator[None]:
    with (folder / AT_WORK).open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


def is_held(folder: Path) -> bool:
    """Whether a process that lives is at work there; a file that was left behind is no lock."""
    try:
        with (folder / AT_WORK).open() as file:
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except FileNotFoundError:
        return False
    return False
