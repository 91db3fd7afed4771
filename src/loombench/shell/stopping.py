"""Long work at a terminal: how far it is on standard error, and Ctrl-C to stop it with what there is."""

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from loombench.shell.waiting import WIPE


@contextmanager
def stoppable() -> Iterator[Callable[[], bool]]:
    """While the block runs the first Ctrl-C is only remembered, and the function given says so; the second gets
    through."""
    asked = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        yield asked.is_set
        return

    def ask(number: int, frame: FrameType | None) -> None:
        del number, frame
        asked.set()
        signal.signal(signal.SIGINT, before)

    before = signal.signal(signal.SIGINT, ask)
    try:
        yield asked.is_set
    finally:
        signal.signal(signal.SIGINT, before)


def progress(text: str) -> None:
    """How far it is, over what was said before; nothing where nobody looks at a terminal."""
    if sys.stderr.isatty():
        sys.stderr.write(f"{WIPE}{text}")
        sys.stderr.flush()
