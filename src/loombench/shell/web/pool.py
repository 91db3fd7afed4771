"""A few workers, and who gets which question.

Two lanes: `QUICK` for what is answered at once (pages, live circuits) and `DEEP` for finding, where a worker keeps its
cases. A question of the deep lane goes to the worker that has its `subject`. The newest question of a `page` wins: one
before it that has not begun is dropped, one that is worked on is told to stop. Questions that are `shared` by a key are
asked once, however many pages wait for them. What `hurries` stops the shared questions of its subject, as their answers
would be out of date.
"""

import asyncio
import multiprocessing
import threading
import zlib
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from multiprocessing.sharedctypes import Synchronized

from loombench.app.desk.desk import DeskPlace
from loombench.shell.web.worker import DONE, DROPPED, TOLD, work

QUICK, DEEP = "quick", "deep"
Heard = Callable[[str], None]


class SupersededError(Exception):
    """Nobody waits for this answer any more: the page has asked something newer."""


class WorkerError(Exception):
    """A worker made a mistake or died over a question; the text says which kind, for the log."""


@dataclass(eq=False)
class _Question:
    number: int
    task: str
    language: str
    arguments: Mapping[str, object]
    page: str
    subject: str
    shared: str
    answer: "asyncio.Future[object]"
    heard: list[Heard] = field(default_factory=list)


class _Worker:
    """One process with its queue. All methods run in the event loop's thread."""

    def __init__(self, place: DeskPlace, loop: asyncio.AbstractEventLoop) -> None:
        self._place = place
        self._loop = loop
        self._waiting: deque[_Question] = deque()
        self._current: _Question | None = None
        self._pipe: Connection | None = None
        self._process: BaseProcess | None = None
        self._taken_back: Synchronized[int] | None = None

    @property
    def load(self) -> int:
        """Questions it has."""
        return len(self._waiting) + (self._current is not None)

    def questions(self) -> tuple[_Question, ...]:
        """What is worked on and what waits."""
        return (*((self._current,) if self._current else ()), *self._waiting)

    def give(self, question: _Question) -> None:
        """One more question, after those that wait."""
        self._waiting.append(question)
        self._next()

    def drop(self, question: _Question) -> None:
        """Nobody waits for this one any more."""
        if question is self._current:
            if self._taken_back is not None:
                self._taken_back.value = question.number
        else:
            self._waiting.remove(question)
        if not question.answer.done():
            question.answer.set_exception(SupersededError())
            # Whoever asked may be gone; an exception that nobody fetches is not worth a line in the log.
            question.answer.exception()

    def start(self) -> None:
        """Start the process; where there is one already, nothing."""
        if self._process is not None:
            return
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._taken_back = context.Value("q", 0)
        self._process = context.Process(target=work, args=(theirs, self._taken_back, self._place), daemon=True)
        self._process.start()
        theirs.close()
        threading.Thread(target=self._listen, args=(self._pipe,), daemon=True).start()

    def end(self) -> None:
        """Let the process go; it ends when it is done with what it is doing, or at once with the server."""
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.kill()
            self._process.join()

    def _next(self) -> None:
        if self._current is not None or not self._waiting:
            return
        self.start()
        assert self._pipe is not None
        self._current = asked = self._waiting.popleft()
        try:
            self._pipe.send((asked.number, asked.task, asked.language, dict(asked.arguments)))
        except OSError:
            self._lost()

    def _listen(self, pipe: Connection) -> None:
        with suppress(EOFError, OSError):
            while True:
                said = pipe.recv()
                self._loop.call_soon_threadsafe(self._said, *said)
        with suppress(RuntimeError):
            self._loop.call_soon_threadsafe(self._lost, pipe)

    def _said(self, what: str, number: int, value: object) -> None:
        asked = self._current
        if asked is None or asked.number != number:
            return
        if what == TOLD:
            for heard in asked.heard:
                heard(str(value))
            return
        self._current = None
        if not asked.answer.done():
            if what == DONE:
                asked.answer.set_result(value)
            else:
                asked.answer.set_exception(SupersededError() if what == DROPPED else WorkerError(str(value)))
                asked.answer.exception()
        self._next()

    def _lost(self, pipe: Connection | None = None) -> None:
        """The process died: its question fails, the others go to a new one."""
        if pipe is not None and pipe is not self._pipe:
            return
        asked, self._current = self._current, None
        self._pipe = self._process = None
        if asked is not None and not asked.answer.done():
            asked.answer.set_exception(WorkerError("died"))
            asked.answer.exception()
        self._next()


class Pool:
    """The workers of a server, made inside its event loop."""

    def __init__(self, place: DeskPlace, quick: int = 2, deep: int = 1) -> None:
        loop = asyncio.get_running_loop()
        self._lanes = {
            QUICK: tuple(_Worker(place, loop) for _ in range(quick)),
            DEEP: tuple(_Worker(place, loop) for _ in range(deep)),
        }
        self._number = 0

    def warm(self) -> None:
        """Start the workers before anybody asks."""
        for worker in self._workers():
            worker.start()

    def end(self) -> None:
        """Let all workers go."""
        for worker in self._workers():
            worker.end()

    async def ask(
        self, task: str, language: str = "en", *, lane: str = QUICK, page: str = "", subject: str = "",
        shared: str = "", hurries: bool = False, heard: Heard | None = None, **arguments: object,
    ) -> object:  # fmt: skip
        """The answer to a question.

        Raises:
            SupersededError: the page asked something newer meanwhile.
            WorkerError: the worker made a mistake or died.
        """
        known = self._shared(shared) if shared else None
        if known is not None:
            known.heard.extend([heard] if heard else [])
            return await asyncio.shield(known.answer)
        for worker in self._workers():
            for old in worker.questions():
                outdated = hurries and old.shared and old.subject == subject
                if outdated or (page and old.page == page):
                    worker.drop(old)
        self._number += 1
        answer: asyncio.Future[object] = asyncio.get_running_loop().create_future()
        asked = _Question(self._number, task, language, arguments, page, subject, shared, answer)
        asked.heard.extend([heard] if heard else [])
        self._chosen(lane, subject).give(asked)
        return await asyncio.shield(answer)

    def _workers(self) -> tuple[_Worker, ...]:
        return tuple(worker for lane in self._lanes.values() for worker in lane)

    def _shared(self, key: str) -> _Question | None:
        every = (one for worker in self._workers() for one in worker.questions())
        return next((one for one in every if one.shared == key and not one.answer.done()), None)

    def _chosen(self, lane: str, subject: str) -> _Worker:
        workers = self._lanes[lane]
        if lane == DEEP:
            return workers[zlib.crc32(subject.encode()) % len(workers)]
        return min(workers, key=lambda one: one.load)
