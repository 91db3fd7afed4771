"""Locking a file, so that two programs do not write between each other's lines. The system lifts the lock of a program
that dies."""

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_STEP_S = 0.02
_FAR = 2**40
"""On Windows a byte is locked far behind the end of the file, since there a lock also keeps others from reading."""


class Busy(Exception):  # noqa: N818  (a state, not a mistake)
    """The file stayed locked for the whole time."""


@contextmanager
def locked(handle: int, wait_s: float, shared: bool = False) -> Iterator[None]:
    """Hold the lock of an open file; `shared` locks hold together, but not with one that is not shared.

    Raises:
        Busy: somebody else held it for `wait_s` seconds.
    """
    _wait(lambda: _try(handle, shared), wait_s)
    try:
        yield
    finally:
        _free(handle)


def _wait(attempt: Callable[[], bool], wait_s: float) -> None:
    until = time.monotonic() + wait_s
    while not attempt():
        if time.monotonic() >= until:
            raise Busy
        time.sleep(_STEP_S)


if sys.platform == "win32":
    import msvcrt

    def _try(handle: int, shared: bool) -> bool:
        del shared
        os.lseek(handle, _FAR, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _free(handle: int) -> None:
        os.lseek(handle, _FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _try(handle: int, shared: bool) -> bool:
        try:
            fcntl.flock(handle, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _free(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)
