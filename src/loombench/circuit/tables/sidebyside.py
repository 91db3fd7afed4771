"""Work that asks for something now and then, done side by side, so that what all of it asks is answered together.

Each piece of work has a thread of its own, but only one runs at a time and each runs on until it asks or is done, in
their order: what comes out does not hang on how threads are shared out.
"""

import threading
from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

Q = TypeVar("Q")
A = TypeVar("A")
R = TypeVar("R")
AT_ONCE = 128
"""Pieces of work that are under way together."""


class _LeftError(BaseException):
    """Nobody waits for the work any more."""


class _Turn(Generic[Q, A, R]):
    """One piece of work in its thread, and whose turn it is."""

    def __init__(self, work: Callable[[Callable[[Q], A]], R]) -> None:
        self._work = work
        self._own, self._back = threading.Semaphore(0), threading.Semaphore(0)
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._left = False
        self.asked: list[Q] = []
        self.told: list[A] = []
        self.done: list[R] = []
        self.failed: BaseException | None = None
        self._thread.start()

    def go_on(self) -> None:
        """Let it work until it asks or is done."""
        self.asked = []
        self._own.release()
        self._back.acquire()
        if self.failed is not None:
            raise self.failed

    def leave(self) -> None:
        """Let go of it where it is."""
        if self._thread.is_alive():
            self._left = True
            self._own.release()
            self._thread.join()

    def _ask(self, question: Q) -> A:
        self.asked = [question]
        self._back.release()
        self._own.acquire()
        if self._left:
            raise _LeftError
        return self.told.pop()

    def _run(self) -> None:
        self._own.acquire()
        try:
            if not self._left:
                self.done = [self._work(self._ask)]
        except _LeftError:
            return
        except BaseException as failure:  # noqa: BLE001  (it is raised again where the work was asked for)
            self.failed = failure
        finally:
            self._back.release()


def side_by_side(
    works: Sequence[Callable[[Callable[[Q], A]], R]], answer: Callable[[Sequence[Q]], Sequence[A]]
) -> list[R]:
    """What each piece of work comes to. Each is given what it asks by; `answer` answers what all have asked so far.

    What a piece of work or `answer` raises is raised here, and the others are let go.
    """
    found: list[R] = []
    for start in range(0, len(works), AT_ONCE):
        turns = [_Turn[Q, A, R](work) for work in works[start : start + AT_ONCE]]
        try:
            going = turns
            while going:
                for turn in going:
                    turn.go_on()
                going = [turn for turn in going if turn.asked]
                told = answer([turn.asked[0] for turn in going]) if going else ()
                for turn, one in zip(going, told, strict=True):
                    turn.told = [one]
        finally:
            for turn in turns:
                turn.leave()
        found += [turn.done[0] for turn in turns]
    return found
