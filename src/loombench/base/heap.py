"""What becomes of memory that was freed. The C library of most Linux systems (glibc) keeps it for the next who asks, a
heap for each thread; where another keeps it, nothing here does anything."""

import sys
from ctypes import CDLL

_HEAPS_AT_MOST = -8
"""`M_ARENA_MAX` of its `malloc.h`."""


def one_heap() -> None:
    """From now on threads of this process share one heap: threads here take turns and do not wait for it. For those who
    start a process, as it is the whole of it that is changed."""
    if (found := _glibc()) is not None:
        found.mallopt(_HEAPS_AT_MOST, 1)


def give_back() -> None:
    """Hand what lies free back to the system."""
    if (found := _glibc()) is not None:
        found.malloc_trim(0)


def _glibc() -> CDLL | None:
    if sys.platform != "linux":
        return None
    try:
        found = CDLL("libc.so.6")
    except OSError:
        return None
    return found if hasattr(found, "malloc_trim") and hasattr(found, "mallopt") else None
