"""What is being worked out for a job: once for all its pages, answered at once, stopped, failed, gone on with."""

import asyncio
import gc
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import cast

import pytest

from loombench.app.desk.desk import DeskPlace
from loombench.app.desk.finding import Begun, JobNow
from loombench.shell.web import workings as timing
from loombench.shell.web.hub import Hub
from loombench.shell.web.pool import DEEP, Pool, SupersededError, WorkerError
from loombench.shell.web.recordpages import _within
from loombench.shell.web.workings import Working, Workings, topic
from tests.web.idlework import idle_work


class Slow:
    """A pool that answers when it is told to, and counts what it is asked."""

    def __init__(self) -> None:
        self.answers: list[asyncio.Future[object]] = []
        self.taken_back: list[str] = []

    async def ask(self, _task: str, _language: str, *, heard: Callable[[str], None], **_words: object) -> object:
        heard("S4=on: what each suspect would show, 10%")
        self.answers.append(asyncio.get_running_loop().create_future())
        return await self.answers[-1]

    def take_back(self, subject: str) -> None:
        self.taken_back.append(subject)
        self.answers[-1].set_exception(SupersededError())


class Heard(Hub):
    """A hub that remembers what was sent."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: list[tuple[str, str]] = []

    def send(self, topic: str, event: str, data: str = "") -> None:
        assert topic == "job:7"
        self.sent.append((event, data))


def stands(number: int) -> JobNow:
    """Where a job stands, as far as this needs it."""
    made = object.__new__(JobNow)
    object.__setattr__(made, "number", number)
    return made


def played(play: Callable[[Workings, Slow, Heard], Awaitable[None]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timing, "AT_ONCE_S", 0.01)

    async def through() -> None:
        pool, hub = Slow(), Heard()
        await play(Workings(cast(Pool, pool), hub), pool, hub)

    asyncio.run(asyncio.wait_for(through(), 20))


async def settled() -> None:
    for _ in range(5):
        await asyncio.sleep(0)


def test_it_is_worked_out_once_and_all_pages_hear_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(workings: Workings, pool: Slow, hub: Heard) -> None:
        one = await workings.now("7", "en", 2)
        other = await workings.now("7", "en", 2)
        assert one is other
        assert isinstance(one, Working)
        assert one.said.endswith("10%")
        assert workings.seconds(one) >= 0.0
        pool.answers[0].set_result(stands(2))
        await settled()
        assert hub.sent == [("working", one.said), ("there", "")]
        found = await workings.now("7", "en", 2)
        assert isinstance(found, JobNow)
        assert len(pool.answers) == 1
        assert isinstance(await workings.now("7", "de", 2), Working)

    played(play, monkeypatch)


def test_what_is_known_is_good_until_something_is_entered(monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(workings: Workings, pool: Slow, _hub: Heard) -> None:
        await workings.now("7", "en", 2)
        pool.answers[0].set_result(stands(2))
        await settled()
        assert isinstance(await workings.now("7", "en", 3), Working)
        pool.answers[1].set_result(stands(4))
        await settled()
        assert cast(JobNow, await workings.now("7", "en", 4)).number == 4
        assert len(pool.answers) == 2

    played(play, monkeypatch)


def test_what_was_stopped_stays_stopped_until_somebody_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(workings: Workings, pool: Slow, hub: Heard) -> None:
        await workings.now("7", "en", 2)
        workings.stop("7")
        await settled()
        assert pool.taken_back == ["7"]
        assert hub.sent[-1] == ("changed", "")
        assert cast(Working, await workings.now("7", "en", 2)).state == "stopped"
        assert cast(Working, await workings.now("7", "en", 2, again=True)).state == "runs"
        assert len(pool.answers) == 2

    played(play, monkeypatch)


def test_what_an_entry_overtook_is_begun_anew_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(workings: Workings, pool: Slow, hub: Heard) -> None:
        await workings.now("7", "en", 2)
        pool.answers[0].set_exception(SupersededError())
        await settled()
        assert hub.sent[-1] == ("changed", "")
        assert cast(Working, await workings.now("7", "en", 2)).state == "runs"
        assert len(pool.answers) == 2

    played(play, monkeypatch)


def test_a_mistake_is_told_and_can_be_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(workings: Workings, pool: Slow, hub: Heard) -> None:
        await workings.now("7", "en", 2)
        pool.answers[0].set_exception(WorkerError("died"))
        await settled()
        assert hub.sent[-1] == ("changed", "")
        assert cast(Working, await workings.now("7", "en", 2)).state == "failed"
        await workings.now("7", "en", 2, again=True)
        pool.answers[1].set_result(Begun("", ()))
        await settled()
        assert isinstance(await workings.now("7", "en", 2), Begun)

    played(play, monkeypatch)


def test_an_entry_of_another_job_does_not_wait_for_a_long_question(tmp_path: Path) -> None:
    async def through() -> None:
        pool = Pool(DeskPlace(tmp_path, tmp_path / "jobs.sqlite"), 1, 1, idle_work)
        try:
            held = asyncio.ensure_future(pool.ask("hold", lane=DEEP, subject="7", shared="s", name="a"))
            beside = asyncio.ensure_future(pool.ask("hold", subject="7", shared="t", name="b"))
            while not ((tmp_path / "a.begun").exists() and (tmp_path / "b.begun").exists()):
                await asyncio.sleep(0.005)
            waiting = asyncio.ensure_future(pool.ask("echo", lane=DEEP, subject="7", shared="u", text="waits"))
            await asyncio.sleep(0)
            assert await pool.ask("echo", lane=DEEP, subject="8", hurries=True, text="entry")
            with pytest.raises(SupersededError):
                await held
            assert cast(tuple[str, str, int], await waiting)[1] == "waits"
            assert not beside.done()
        finally:
            pool.end()

    asyncio.run(asyncio.wait_for(through(), 60))


def test_what_is_taken_back_is_left_by_the_worker(tmp_path: Path) -> None:
    async def through() -> None:
        pool = Pool(DeskPlace(tmp_path, tmp_path / "jobs.sqlite"), 1, 1, idle_work)
        try:
            held = asyncio.ensure_future(pool.ask("hold", lane=DEEP, subject="7", shared="s", name="a"))
            other = asyncio.ensure_future(pool.ask("echo", text="other"))
            while not (tmp_path / "a.begun").exists():
                await asyncio.sleep(0.005)
            pool.take_back("8")
            assert await other
            assert not held.done()
            pool.take_back("7")
            with pytest.raises(SupersededError):
                await held
            assert await pool.ask("echo", lane=DEEP, subject="7", text="next")
        finally:
            pool.end()

    asyncio.run(asyncio.wait_for(through(), 60))


def test_a_jobs_topic_is_its_own() -> None:
    assert (topic("7"), topic("8")) == ("job:7", "job:8")


def test_what_ends_while_a_page_that_is_gone_had_asked_for_it_is_no_trouble() -> None:
    """A tab closed while a paper is made, then the server ended: nobody is left to be told that the worker is gone."""
    troubles: list[str] = []

    async def through() -> None:
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(lambda _, what: troubles.append(str(what["message"])))
        answer: asyncio.Future[object] = loop.create_future()

        async def asked() -> object:
            return await answer

        page = loop.create_task(_within(asked()))
        await asyncio.sleep(0)
        await asyncio.sleep(0)
        page.cancel()
        answer.set_exception(WorkerError("ended"))
        await asyncio.wait({page})
        await asyncio.sleep(0)
        del page
        gc.collect()

    asyncio.run(asyncio.wait_for(through(), 20))
    gc.collect()
    assert troubles == []
