"""A program of its own that keeps events and says which were acknowledged; others kill it.

python -m tests.record.child append FOLDER     keeps events until it is killed, printing each number after it is kept
python -m tests.record.child half FOLDER       dies by its own hand in the middle of a line
python -m tests.record.child small FOLDER      keeps events where no file may grow past 4,000 bytes
python -m tests.record.child barred FOLDER     reads and tries to keep, in a folder it may not write
"""

import os
import resource
import signal
import sys
from unittest.mock import patch

from loombench.base.wording import catalogue
from loombench.record.jsonl import JsonlStore
from loombench.record.store import NotKept
from tests.record.samples import CASE, event

NOBODY = 65534


def main(mode: str, folder: str) -> None:
    store = JsonlStore(folder)
    number = store.next_number(CASE)
    if mode == "small":
        resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))
    if mode == "barred":
        catalogue()  # nobody may not be allowed to read the program either
        if os.geteuid() == 0:
            os.setuid(NOBODY)
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


_real_write = os.write


def _half(handle: int, data: bytes) -> int:
    _real_write(handle, data[: len(data) // 2])
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


if __name__ == "__main__":
    main(*sys.argv[1:])
