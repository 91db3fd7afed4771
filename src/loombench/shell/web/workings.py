"""What is being worked out for the jobs that pages show, and what was: a page is answered at once either way.

A step may take a minute to choose. It is worked out once for all pages of a job; these hear how far it is, and that it
is there, over the job's topic. What was found is good as long as the job has no event after it.
"""

import asyncio
from collections import OrderedDict
from dataclasses import dataclass

from loombench.app.desk.finding import Begun, FirstShown, JobNow
from loombench.shell.web.hub import Hub
from loombench.shell.web.pool import DEEP, Pool, SupersededError, WorkerError

MOST_KEPT = 40
AT_ONCE_S = 0.6
"""What is there within this long needs no word that it is being worked out."""


def topic(case: str) -> str:
    """Where the pages of a job listen."""
    return f"job:{case}"


@dataclass(eq=False)
class Working:
    """A step that is being worked out: for the job with so many events, since when by the loop's clock, and how far.
    `state` is runs, done, stopped (by a person), overtaken (by an entry) or failed."""

    number: int
    since_s: float
    said: str = ""
    state: str = "runs"
    task: "asyncio.Task[None] | None" = None


class Workings:
    """All of them. Everything runs in the event loop's thread."""

    def __init__(self, pool: Pool, hub: Hub) -> None:
        self._pool, self._hub = pool, hub
        self._known: OrderedDict[tuple[str, str], JobNow | Begun] = OrderedDict()
        self._working: dict[tuple[str, str], Working] = {}
        self._first: OrderedDict[tuple[str, str, int], FirstShown | None] = OrderedDict()

    async def now(self, case: str, language: str, number: int, again: bool = False) -> JobNow | Begun | Working:
        """Where a job with so many events stands; what is under way where that takes longer. `again` begins anew what
        was stopped or failed."""
        key = case, language
        known = self._known.get(key)
        if isinstance(known, JobNow) and known.number == number:
            return known
        working = self._working.get(key)
        left = working is not None and (working.state == "overtaken" or (again and working.state != "runs"))
        if working is None or working.number != number or left:
            working = self._begin(key, number)
        if working.task is not None and not working.task.done():
            await asyncio.wait({working.task}, timeout=AT_ONCE_S)
        return self.there(case, language, number) or working

    def there(self, case: str, language: str, number: int) -> JobNow | Begun | None:
        """What is known by now of where a job with so many events stands; None where it has yet to be worked out."""
        found = self._known.get((case, language))
        return found if isinstance(found, Begun) or (found is not None and found.number >= number) else None

    async def first(self, case: str, language: str, number: int) -> FirstShown | None:
        """The look that a job with so many events begins with, which can be taken while the rest is worked out; asked
        of a worker that answers at once, and once."""
        key = case, language, number
        if key not in self._first:
            try:
                found = await self._pool.ask("finding.first", language, shared=f"first:{key}", case=case)
            except (SupersededError, WorkerError):
                return None
            assert isinstance(found, FirstShown | None)
            self._first[key] = found
            while len(self._first) > MOST_KEPT:
                self._first.popitem(last=False)
        return self._first[key]

    def stop(self, case: str) -> None:
        """Leave what is being worked out for a job; whoever looks at it is told."""
        self._pool.take_back(case)
        for (name, _), working in self._working.items():
            if name == case and working.state == "runs":
                working.state = "stopped"
        self._hub.send(topic(case), "changed")

    def seconds(self, working: Working) -> float:
        """How long it has been worked on."""
        return asyncio.get_running_loop().time() - working.since_s

    def _begin(self, key: tuple[str, str], number: int) -> Working:
        loop = asyncio.get_running_loop()
        self._known.pop(key, None)
        self._working[key] = working = Working(number, loop.time())
        while len(self._working) > MOST_KEPT:
            del self._working[next(iter(self._working))]
        working.task = loop.create_task(self._work(key, working))
        return working

    async def _work(self, key: tuple[str, str], working: Working) -> None:
        case, language = key

        def heard(text: str) -> None:
            working.said = text
            self._hub.send(topic(case), "working", text)

        try:
            found = await self._pool.ask(
                "finding.now",
                language,
                lane=DEEP,
                subject=case,
                shared=f"now:{case}:{language}",
                heard=heard,
                case=case,
            )
        except SupersededError:
            if working.state != "stopped":
                # An entry had to be kept first, of this job or of another; the pages ask again.
                working.state = "overtaken"
                self._hub.send(topic(case), "changed")
            return
        except WorkerError:
            working.state = "failed"
            self._hub.send(topic(case), "changed")
            return
        assert isinstance(found, JobNow | Begun)
        working.state = "done"
        self._known[key] = found
        while len(self._known) > MOST_KEPT:
            self._known.popitem(last=False)
        self._hub.send(topic(case), "there")
