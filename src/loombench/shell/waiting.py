"""Says that something is being worked out, and for how long, to a person who waits at a terminal."""

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from loombench.base.wording import Catalogue

PATIENCE_S = 1.0
"""What takes no longer than this needs no word."""
WIPE = "\r\x1b[K"


@contextmanager
def waiting(words: Catalogue, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """While the block runs, a line on standard error counts the seconds; it is wiped out after. Where nobody looks at
    a terminal it says nothing. Ctrl-C gets through to the block."""
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield
        return
    done = threading.Event()
    teller = threading.Thread(target=_tell, args=(done, words, patience_s), daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


def _tell(done: threading.Event, words: Catalogue, patience_s: float) -> None:
    seconds = 0
    while not done.wait(patience_s):
        seconds += 1
        said = words.say("session.working", seconds=f"{seconds * patience_s:.0f}")
        sys.stderr.write(f"{WIPE}{said}")
        sys.stderr.flush()
    if seconds:
        sys.stderr.write(WIPE)
        sys.stderr.flush()
