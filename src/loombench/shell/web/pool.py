"""A few workers, and who gets which question.

Three lanes: `QUICK` for what is answered at once (pages, live circuits), `DEEP` for finding, where a worker keeps its
cases, and `ASIDE` for what may take a minute and must keep nobody from their job: its one worker is started when it is
asked first. A question of the deep lane goes to the worker that has its `subject`. The newest question of a `page`
wins: one before it that has not begun is dropped, one that is worked on is told to stop. Questions that are `shared` by
a key are asked once, however many pages wait for them; one that another page waits for too is not dropped. What
`hurries` stops the shared questions of its subject, as their answers would be out of date, and a shared one that is
worked on where it would have to wait: whoever still wants that asks again.

A worker that is stuck is ended, and a new one goes on with what waits: one that does not heed that its question was
taken back, and one of the quick lane that has been at a question for far too long.
"""

import asyncio
import threading
import zlib
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import suppress
from ctypes import c_longlong
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from loombench.app.desk.desk import DeskPlace
from loombench.shell.web.forking import worker_context
from loombench.shell.web.worker import DONE, DROPPED, READY, TOLD, work

QUICK, DEEP, ASIDE = "quick", "deep", "aside"
HEEDED_S = 20.0
"""So long a worker may go on with a question that was taken back."""
LONGEST_QUICK_S = 120.0
Heard = Callable[[str], None]
Work = Callable[[Connection, c_longlong, DeskPlace], None]


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
    waiting: int = 1

    def fail(self, wrong: Exception) -> None:
        """There is no answer."""
        if not self.answer.done():
            self.answer.set_exception(wrong)
            # Whoever asked may be gone; an exception that nobody fetches is not worth a line in the log.
            self.answer.exception()


class _Worker:
    """One process and the queue it takes questions from, which it may share with others. All methods run in the event
    loop's thread but `_send` and `_listen`. `longest_s` is how long a question may take; `heeded_s` how long one that
    was taken back may go on."""

    def __init__(
        self, place: DeskPlace, work: Work, waiting: deque[_Question], longest_s: float | None, heeded_s: float
    ) -> None:
        self._place = place
        self._work = work
        self._waiting = waiting
        self._longest_s = longest_s
        self._heeded_s = heeded_s
        self._loop = asyncio.get_running_loop()
        self._ended = self._ready = False
        self._current: _Question | None = None
        self._pipe: Connection | None = None
        self._process: BaseProcess | None = None
        self._taken_back: c_longlong | None = None

    @property
    def current(self) -> _Question | None:
        """What is worked on."""
        return self._current

    def stop(self, question: _Question) -> None:
        """Nobody waits any more for the question that is worked on."""
        if self._taken_back is not None:
            self._taken_back.value = question.number
        self._loop.call_later(self._heeded_s, self._stuck, question)

    def start(self) -> None:
        """Start the process; where there is one already, nothing."""
        if self._process is not None or self._ended:
            return
        context = worker_context()
        self._pipe, theirs = context.Pipe()
        self._taken_back = context.RawValue(c_longlong, 0)
        self._process = context.Process(target=self._work, args=(theirs, self._taken_back, self._place), daemon=True)
        self._process.start()
        theirs.close()
        threading.Thread(target=self._listen, args=(self._pipe,), daemon=True).start()

    def end(self) -> None:
        """End the process at once: what it has acknowledged is on the disk. Whoever waits is told."""
        self._ended = True
        if self._current is not None:
            self._current.fail(WorkerError("ended"))
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.kill()
            self._process.join()

    def next(self) -> None:
        """Take the next question, if there is one and nothing to do."""
        if self._current is not None or not self._waiting or self._ended:
            return
        if not self._ready:
            self.start()
            return
        assert self._pipe is not None
        self._current = asked = self._waiting.popleft()
        if self._longest_s is not None:
            self._loop.call_later(self._longest_s, self._stuck, asked)
        # What is sent can be larger than a pipe holds; nobody else is to wait until the worker has taken it.
        self._loop.run_in_executor(None, self._send, self._pipe, asked)

    @staticmethod
    def _send(pipe: Connection, asked: _Question) -> None:
        with suppress(OSError):
            pipe.send((asked.number, asked.task, asked.language, dict(asked.arguments)))

    def _stuck(self, question: _Question) -> None:
        """End the process if it is still at this question; that it is gone is heard by who listens to its pipe."""
        if question is self._current and self._process is not None:
            self._process.kill()

    def _listen(self, pipe: Connection) -> None:
        with suppress(EOFError, OSError):
            while True:
                said = pipe.recv()
                self._loop.call_soon_threadsafe(self._said, *said)
        with suppress(RuntimeError):
            self._loop.call_soon_threadsafe(self._lost, pipe)

    def _said(self, what: str, number: int, value: object) -> None:
        if what == READY:
            self._ready = True
            self.next()
            return
        asked = self._current
        if asked is None or asked.number != number:
            return
        if what == TOLD:
            for heard in asked.heard:
                heard(str(value))
            return
        self._current = None
        if what != DONE:
            asked.fail(SupersededError() if what == DROPPED else WorkerError(str(value)))
        elif not asked.answer.done():
            asked.answer.set_result(value)
        self.next()

    def _lost(self, pipe: Connection) -> None:
        """The process died: its question fails, the others go to a new one. Where it died before it was ready, the one
        that waits first fails, so that what cannot start is not started for ever."""
        if pipe is not self._pipe or self._ended:
            return
        asked, self._current = self._current, None
        if asked is None and not self._ready and self._waiting:
            asked = self._waiting.popleft()
        pipe.close()
        if self._process is not None:
            self._process.join()
        self._pipe = self._process = None
        self._ready = False
        if asked is not None:
            asked.fail(WorkerError("died"))
        self.next()


class _Lane:
    """Workers that take what waits from one queue."""

    def __init__(self, workers: int, place: DeskPlace, work: Work, longest_s: float | None, heeded_s: float) -> None:
        self._waiting: deque[_Question] = deque()
        self.workers = tuple(_Worker(place, work, self._waiting, longest_s, heeded_s) for _ in range(workers))

    def questions(self) -> tuple[_Question, ...]:
        """What is worked on and what waits."""
        return (*(one.current for one in self.workers if one.current is not None), *self._waiting)

    def works_on(self, question: _Question) -> bool:
        """Whether a worker is at this question."""
        return any(one.current is question for one in self.workers)

    def give(self, question: _Question) -> None:
        """One more question, after those that wait."""
        self._waiting.append(question)
        for worker in self.workers:
            worker.next()

    def drop(self, question: _Question) -> None:
        """Nobody waits for this one any more."""
        if question in self._waiting:
            self._waiting.remove(question)
        for worker in self.workers:
            if worker.current is question:
                worker.stop(question)
        question.fail(SupersededError())

    def end(self) -> None:
        """Let all workers go."""
        for question in self._waiting:
            question.fail(WorkerError("ended"))
        for worker in self.workers:
            worker.end()


class Pool:
    """The workers of a server, made inside its event loop. `work` is what each of them does."""

    def __init__(
        self, place: DeskPlace, quick: int = 2, deep: int = 1, work: Work = work,
        longest_quick_s: float = LONGEST_QUICK_S, heeded_s: float = HEEDED_S,
    ) -> None:  # fmt: skip
        self._quick = _Lane(quick, place, work, longest_quick_s, heeded_s)
        self._deep = tuple(_Lane(1, place, work, None, heeded_s) for _ in range(deep))
        self._aside = _Lane(1, place, work, None, heeded_s)
        self._number = 0

    def warm(self) -> None:
        """Start the workers before anybody asks."""
        for lane in (self._quick, *self._deep):
            for worker in lane.workers:
                worker.start()

    def end(self) -> None:
        """Let all workers go."""
        for lane in self._lanes():
            lane.end()

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
            known.waiting += 1
            return await asyncio.shield(known.answer)
        chosen = self._chosen(lane, subject)
        for other in self._lanes():
            for old in other.questions():
                in_its_way = other is chosen and other.works_on(old)
                outdated = hurries and old.shared and (old.subject == subject or in_its_way)
                if outdated or (page and old.page == page and old.waiting == 1):
                    other.drop(old)
        self._number += 1
        answer: asyncio.Future[object] = asyncio.get_running_loop().create_future()
        asked = _Question(self._number, task, language, arguments, page, subject, shared, answer)
        asked.heard.extend([heard] if heard else [])
        chosen.give(asked)
        return await asyncio.shield(answer)

    def take_back(self, subject: str) -> None:
        """Leave the shared questions of a subject: whoever waits for them is told."""
        for lane in self._lanes():
            for old in lane.questions():
                if old.shared and old.subject == subject:
                    lane.drop(old)

    def _lanes(self) -> tuple[_Lane, ...]:
        return (self._quick, *self._deep, self._aside)

    def _shared(self, key: str) -> _Question | None:
        every = (one for lane in self._lanes() for one in lane.questions())
        return next((one for one in every if one.shared == key and not one.answer.done()), None)

    def _chosen(self, lane: str, subject: str) -> _Lane:
        if lane == DEEP:
            return self._deep[zlib.crc32(subject.encode()) % len(self._deep)]
        return self._aside if lane == ASIDE else self._quick
