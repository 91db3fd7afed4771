"""A program of its own that keeps events and says which were acknowledged; others kill it.

python -m tests.record.child append FOLDER     keeps events until it is killed, printing each number after it is kept
python -m tests.record.child careless FOLDER   the same without a sync
python -m tests.record.child half FOLDER       dies by its own hand in the middle of a line
python -m tests.record.child small FOLDER      keeps events where no file may grow past 4,000 bytes
python -m tests.record.child barred FOLDER     reads and tries to keep, in a folder it may not write

FOLDER may be a store of jobs instead, whose name ends in .sqlite.
"""

import os
import resource
import signal
import sys
from unittest.mock import patch

from loombench.base.wording import catalogue
from loombench.record.jsonl import JsonlStore
from loombench.record.store import EventStore, NotKept
from tests.record.samples import CASE, event

NOBODY = 65534


def main(mode: str, folder: str) -> None:
    if mode == "barred":
        become_nobody()
    if mode == "careless":
        from loombench.record import database  # noqa: PLC0415

        database.PRAGMAS = ("synchronous=off",)
    store = opened(folder)
    number = store.next_number(CASE)
    if mode == "small":
        resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))
    if mode == "barred":
        print(len(store.read(CASE).value), flush=True)
    if mode == "half":
        with patch("loombench.record.jsonl.os.write", _half):
            store.append(event(number))
    while True:
        try:
            store.append(event(number))
        except NotKept as refused:
            print(refused.problem.code, refused, flush=True)
            return
        print(number, flush=True)
        number += 1


def opened(place: str) -> EventStore:
    """The store of a folder or of a file, which must have nothing that keeps it from being read."""
    if not place.endswith(".sqlite"):
        return JsonlStore(place)
    from loombench.record.sqlite import open_store  # noqa: PLC0415

    found = open_store(place)
    for problem in found.problems:
        print(problem.code, flush=True)
    assert found.value is not None
    return found.value


def become_nobody() -> None:
    """Give up all rights. What is needed of the program is loaded before: nobody may not be allowed to read it."""
    catalogue()
    import loombench.record.sqlite  # noqa: F401, PLC0415

    if os.geteuid() == 0:
        os.setuid(NOBODY)


_real_write = os.write


def _half(handle: int, data: bytes) -> int:
    _real_write(handle, data[: len(data) // 2])
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


if __name__ == "__main__":
    main(*sys.argv[1:])
