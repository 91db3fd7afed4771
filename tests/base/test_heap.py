"""Freed memory goes back, and threads share a heap, where the C library is one that can be asked to."""

import subprocess
import sys

from loombench.base import heap

_THREAD = """
import sys, threading
from ctypes import CDLL, c_size_t, c_void_p
from loombench.base.heap import one_heap
if sys.argv[1] == "one":
    one_heap()
malloc = CDLL("libc.so.6").malloc
malloc.restype, malloc.argtypes = c_void_p, [c_size_t]
found = []
thread = threading.Thread(target=lambda: found.append(malloc(1000)))
thread.start()
thread.join()
heaps = [line.split()[0].split("-") for line in open("/proc/self/maps") if line.rstrip().endswith("[heap]")]
print(any(int(low, 16) <= found[0] < int(high, 16) for low, high in heaps))
"""
_FREED = """
from ctypes import CDLL, c_size_t, c_void_p, memset
from loombench.base.heap import give_back
libc = CDLL("libc.so.6")
libc.malloc.restype, libc.malloc.argtypes, libc.free.argtypes = c_void_p, [c_size_t], [c_void_p]
def resident():
    return next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmRSS"))
pieces = [libc.malloc(60_000) for _ in range(1000)]
for piece in pieces:
    memset(piece, 1, 60_000)
libc.malloc(100)
for piece in pieces[:-1]:
    libc.free(piece)
before = resident()
HAND_BACK
print(before - resident() > 40_000)
"""
_GROWN = _FREED.replace("import give_back", "import Growing\ngrowing = Growing()")


def said(program: str, *words: str) -> str:
    command = [sys.executable, "-c", program, *words]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()


def test_what_is_freed_goes_back_and_threads_share_a_heap() -> None:
    if heap._glibc() is None:
        heap.give_back()
        heap.one_heap()
        return
    assert said(_FREED.replace("HAND_BACK", "give_back()")) == "True"
    assert said(_THREAD, "each") == "False"
    assert said(_THREAD, "one") == "True"


def test_what_lies_free_goes_back_where_a_process_has_grown() -> None:
    if heap._glibc() is None:
        heap.Growing().look()
        return
    assert said(_GROWN.replace("HAND_BACK", "growing.look()")) == "True"
    # It has grown by 60 MB; counted from there it has not grown.
    assert said(_GROWN.replace("HAND_BACK", "Growing().look()")) == "False"
