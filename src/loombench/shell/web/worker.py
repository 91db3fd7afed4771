"""One worker: a process with a desk that takes one question after the other from a pipe, until the pipe is closed.

Up the pipe goes `(READY, 0, None)`; then down come `(number, task, language, arguments)`, and up go
`(TOLD, number, text)` while a question is worked on and one of `(DONE, number, answer)`, `(DROPPED, number, None)`
where it was taken back, `(FAILED, number, kind)` where the program made a mistake. The mistake itself goes to standard
error, never to a page.
"""

import os
import signal
import sys
import threading
import traceback
from collections.abc import Mapping
from ctypes import c_longlong
from multiprocessing import parent_process
from multiprocessing.connection import Connection, wait

from loombench.app.ahead import StoppedError
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, DeskPlace
from loombench.app.desk.tasks import TASKS, ahead
from loombench.base.heap import one_heap
from loombench.base.waste import look_seldom

READY, TOLD, DONE, DROPPED, FAILED = "ready", "told", "done", "dropped", "failed"
PATIENCE_S = 0.5
"""So long after an answer nothing is worked out ahead, as more questions of the same page may come."""


def work(pipe: Connection, taken_back: c_longlong, place: DeskPlace) -> None:
    """Answer questions until the server closes the pipe or is gone. `taken_back` is the number of the last question
    that nobody waits for any more."""
    # Ctrl-C reaches every process of a terminal; the server's own end is what ends a worker.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_server, daemon=True).start()
    look_seldom()
    one_heap()
    desk = Desk(place)
    pipe.send((READY, 0, None))
    while True:
        if not pipe.poll(PATIENCE_S):
            ahead(desk, pipe.poll)
        try:
            number, task, language, arguments = pipe.recv()
        except (EOFError, OSError):
            return
        pipe.send(_answered(pipe, taken_back, desk, number, task, language, arguments))


def _answered(
    pipe: Connection,
    taken_back: c_longlong,
    desk: Desk,
    number: int,
    task: str,
    language: str,
    arguments: Mapping[str, object],
) -> tuple[str, int, object]:
    def tell(text: str) -> None:
        pipe.send((TOLD, number, text))

    def stopped() -> bool:
        return taken_back.value >= number

    try:
        return DONE, number, TASKS[task](desk, Asked(language, stopped, tell), **arguments)
    except StoppedError:
        return DROPPED, number, None
    except Exception as wrong:  # noqa: BLE001  (whatever went wrong, the next question is answered)
        traceback.print_exc(file=sys.stderr)
        return FAILED, number, type(wrong).__name__


def _end_with_server() -> None:
    server = parent_process()
    if server is not None:
        wait([server.sentinel])
        os._exit(0)
