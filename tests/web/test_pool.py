"""Who gets which question: the newest wins, what many ask is asked once, and no worker takes the others with it."""

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import cast

import pytest

from loombench.app.desk.desk import DeskPlace
from loombench.shell.web.pool import ASIDE, DEEP, QUICK, Pool, SupersededError, Work, WorkerError
from tests.web.idlework import dead_work, idle_work, let_go


def played(
    folder: Path, play: Callable[[Pool], Awaitable[None]], quick: int = 1, work: Work = idle_work, **options: float
) -> None:
    """Do something with a pool."""

    async def through() -> None:
        pool = Pool(DeskPlace(folder, folder / "jobs.sqlite"), quick, 1, work, **options)
        try:
            await play(pool)
        finally:
            pool.end()

    asyncio.run(asyncio.wait_for(through(), 60))


def asked(pool: Pool, task: str, **words: object) -> "asyncio.Task[object]":
    return asyncio.ensure_future(pool.ask(task, **words))  # type: ignore[arg-type]


async def begun(folder: Path, name: str) -> None:
    while not (folder / f"{name}.begun").exists():
        await asyncio.sleep(0.005)


def test_the_newest_question_of_a_page_wins(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        first = asked(pool, "hold", page="p", name="a")
        await begun(tmp_path, "a")
        second, third = asked(pool, "echo", page="p", text="2"), asked(pool, "echo", page="p", text="3")
        other = asked(pool, "echo", page="q", text="q")
        assert (await third, await other) != (None, None)
        for old in (first, second):
            with pytest.raises(SupersededError):
                await old

    played(tmp_path, play)


def test_what_many_ask_is_asked_once_and_stays_for_the_others(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        told: list[str] = []
        one = asked(pool, "hold", shared="s", page="p", name="a", heard=told.append)
        await begun(tmp_path, "a")
        other = asked(pool, "hold", shared="s", page="q", name="a", heard=told.append)
        newer = asked(pool, "echo", page="p", text="newer")
        await asyncio.sleep(0)
        let_go(tmp_path, "a")
        assert [await one, await other] == ["a", "a"]
        await newer
        assert (tmp_path / "a.begun").read_text() == "x"
        assert told[:1] == ["a begun"]

    played(tmp_path, play)


def test_what_hurries_stops_what_would_be_out_of_date(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        old = asked(pool, "hold", lane=DEEP, subject="case", shared="s", name="a")
        await begun(tmp_path, "a")
        elsewhere = asked(pool, "hold", subject="other", shared="t", name="b")
        await begun(tmp_path, "b")
        await asked(pool, "echo", lane=DEEP, subject="case", hurries=True)
        with pytest.raises(SupersededError):
            await old
        let_go(tmp_path, "b")
        assert await elsewhere == "b"

    played(tmp_path, play)


@pytest.mark.parametrize(("task", "text"), [("err", "ZeroDivisionError"), ("die", "died")])
def test_a_worker_that_errs_or_dies_takes_one_question_with_it(tmp_path: Path, task: str, text: str) -> None:
    async def play(pool: Pool) -> None:
        bad, after = asked(pool, task), asked(pool, "echo", text="after")
        with pytest.raises(WorkerError, match=text) as raised:
            await bad
        assert "secret" not in str(raised.value)
        assert (await after)[1] == "after"  # type: ignore[index]

    played(tmp_path, play)


def test_a_worker_killed_while_nobody_asks_is_replaced(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        first = await pool.ask("echo")
        with pytest.raises(WorkerError):
            await pool.ask("die")
        second = await pool.ask("echo", "de", text="again")
        assert isinstance(first, tuple)
        assert isinstance(second, tuple)
        assert second[:2] == ("de", "again")
        assert second[2] != first[2]

    played(tmp_path, play)


def test_what_cannot_start_is_not_tried_for_ever(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        for answer in (asked(pool, "echo"), asked(pool, "echo")):
            with pytest.raises(WorkerError, match="died"):
                await answer

    played(tmp_path, play, work=dead_work)


def test_a_worker_that_heeds_nothing_is_ended(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        stuck = asked(pool, "hold", page="p", name="a", heedless=True)
        await begun(tmp_path, "a")
        assert (await pool.ask("echo", page="p", text="newer"))[1] == "newer"  # type: ignore[index]
        with pytest.raises(SupersededError):
            await stuck

    played(tmp_path, play, heeded_s=0.05)


def test_a_question_of_the_quick_lane_may_not_take_for_ever(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        await pool.ask("echo")
        with pytest.raises(WorkerError):
            await pool.ask("hold", name="a")

    played(tmp_path, play, longest_quick_s=0.2)


def test_a_case_stays_with_its_worker_and_others_share_the_load(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        held = asked(pool, "hold", name="a")
        await begun(tmp_path, "a")
        await pool.ask("echo")
        free = await asyncio.gather(*(pool.ask("echo", lane=QUICK) for _ in range(3)))
        deep = await asyncio.gather(*(pool.ask("echo", lane=DEEP, subject="case") for _ in range(3)))
        let_go(tmp_path, "a")
        await held
        assert len({one[2] for one in free}) == 1  # type: ignore[index]
        assert len({one[2] for one in deep}) == 1  # type: ignore[index]
        assert free[0][2] != deep[0][2]  # type: ignore[index]

    played(tmp_path, play, quick=2)


def test_what_is_larger_than_a_pipe_holds_keeps_nobody_waiting(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        large = asked(pool, "echo", text="x" * 3_000_000)
        assert len((await large)[1]) == 3_000_000  # type: ignore[index]

    played(tmp_path, play)


def test_whoever_waits_at_the_end_is_told(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        held, behind = asked(pool, "hold", name="a"), asked(pool, "echo")
        await begun(tmp_path, "a")
        pool.end()
        for one in (held, behind):
            with pytest.raises(WorkerError, match="ended"):
                await one

    played(tmp_path, play)


def test_what_takes_a_minute_keeps_nobody_waiting(tmp_path: Path) -> None:
    async def play(pool: Pool) -> None:
        long = asked(pool, "hold", lane=ASIDE, name="a")
        await begun(tmp_path, "a")
        for lane in (QUICK, DEEP):
            assert lane in cast(tuple[object, ...], await pool.ask("echo", lane=lane, subject="case", text=lane))
        let_go(tmp_path, "a")
        assert await long == "a"

    played(tmp_path, play)
