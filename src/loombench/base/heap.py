"""What becomes of memory that was freed. The C library of most Linux systems (glibc) keeps it for the next who asks, a
heap for each thread; where another keeps it, nothing here does anything."""

import os
import sys
from ctypes import CDLL
from pathlib import Path

_HEAPS_AT_MOST = -8
"""`M_ARENA_MAX` of its `malloc.h`."""
GROWN_BYTES = 48e6
"""By so much a process may grow until what lies free in it is handed back."""


def one_heap() -> None:
    """From now on threads of this process share one heap: threads here take turns and do not wait for it. For those who
    start a process, as it is the whole of it that is changed."""
    if (found := _glibc()) is not None:
        found.mallopt(_HEAPS_AT_MOST, 1)


def give_back() -> None:
    """Hand what lies free back to the system."""
    if (found := _glibc()) is not None:
        found.malloc_trim(0)


class Growing:
    """Hands back what lies free where this process has grown by `GROWN_BYTES` since it last did. (Looking takes ten
    microseconds or so; handing back, of half a gigabyte, some thirty milliseconds.)"""

    def __init__(self) -> None:
        self._before_bytes = _resident_bytes()

    def look(self) -> None:
        """Look whether it has grown."""
        now = _resident_bytes()
        if now > self._before_bytes + GROWN_BYTES:
            give_back()
            self._before_bytes = _resident_bytes()
        elif now < self._before_bytes:
            self._before_bytes = now


def _resident_bytes() -> float:
    """What this process has of the memory there is; 0 where that cannot be told."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except OSError:
        return 0.0
    return float(pages * os.sysconf("SC_PAGE_SIZE"))


def _glibc() -> CDLL | None:
    if sys.platform != "linux":
        return None
    try:
        found = CDLL("libc.so.6")
    except OSError:
        return None
    return found if hasattr(found, "malloc_trim") and hasattr(found, "mallopt") else None
