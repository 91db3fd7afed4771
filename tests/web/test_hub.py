"""Who listens, hears: at once, in order, and only what is sent to the topic; nobody who sleeps holds up the others."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import suppress

import pytest
from starlette.exceptions import HTTPException
from starlette.types import Message

from loombench.shell.web.bodies import bounded
from loombench.shell.web.hub import LONGEST_QUEUE, Hub
from loombench.shell.web.streams import Streams


def played(play: Callable[[], Awaitable[None]]) -> None:
    asyncio.run(asyncio.wait_for(play(), 20))


def listening(hub: Hub, topic: str) -> AsyncIterator[str]:
    return aiter(hub.stream(topic).body_iterator)  # type: ignore[arg-type]


def test_a_listener_hears_its_topic_in_order() -> None:
    async def play() -> None:
        hub = Hub()
        one, other = listening(hub, "a"), listening(hub, "b")
        assert [await anext(one), await anext(other)] == ["event: open\ndata:\n\n"] * 2
        hub.send("a", "changed", "1")
        hub.send("b", "changed", "2\n3")
        hub.send("a", "done")
        assert [await anext(one), await anext(one)] == ["event: changed\ndata: 1\n\n", "event: done\ndata: \n\n"]
        assert await anext(other) == "event: changed\ndata: 2\ndata: 3\n\n"

    played(play)


@pytest.mark.parametrize("data", ["a\nevent: evil", "a\r\nevent: evil", "a\revent: evil", "a\u2028event: evil"])
def test_no_text_becomes_another_event(data: str) -> None:
    async def play() -> None:
        hub = Hub()
        one = listening(hub, "a")
        await anext(one)
        hub.send("a", "changed", data)
        text = await anext(one)
        assert [line for line in text.splitlines() if line.startswith("event:")] == ["event: changed"]

    played(play)


def test_a_listener_that_does_not_keep_up_misses_the_oldest_and_holds_up_nobody() -> None:
    async def play() -> None:
        hub = Hub()
        slow, quick = listening(hub, "a"), listening(hub, "a")
        await anext(slow)
        await anext(quick)
        for number in range(LONGEST_QUEUE + 5):
            hub.send("a", "n", str(number))
            assert str(number) in await anext(quick)
        assert "data: 5\n" in await anext(slow)

    played(play)


def test_whoever_has_gone_is_forgotten() -> None:
    async def play() -> None:
        hub = Hub()
        one, other = listening(hub, "a"), listening(hub, "a")
        await anext(one)
        await anext(other)
        await one.aclose()  # type: ignore[attr-defined]
        hub.send("a", "n", "1")
        assert "1" in await anext(other)
        await other.aclose()  # type: ignore[attr-defined]
        assert hub._listeners == {}

    played(play)


def test_all_streams_end_with_the_server() -> None:
    async def play() -> None:
        hub = Hub()
        one, other = listening(hub, "a"), listening(hub, "b")
        await anext(one)
        await anext(other)
        for _ in range(LONGEST_QUEUE):
            hub.send("a", "n")
        hub.end()
        for stream in (one, other):
            assert len([text async for text in stream]) <= LONGEST_QUEUE

    played(play)


async def sent(messages: list[Message]) -> Callable[[], Awaitable[Message]]:
    async def receive() -> Message:
        if messages:
            return messages.pop(0)
        await asyncio.Event().wait()
        raise AssertionError

    return receive


async def taken(receive: Callable[[], Awaitable[Message]]) -> None:
    """Take all that comes."""
    while True:
        await receive()


def piece(size: int, more: bool = True) -> Message:
    return {"type": "http.request", "body": b"x" * size, "more_body": more}


@pytest.mark.parametrize(
    ("messages", "status"),
    [
        ([piece(60), piece(60)], 413),
        ([piece(101, more=False)], 413),
        ([piece(1)], 408),
        ([], 408),
    ],
)
def test_a_body_may_neither_be_too_large_nor_take_too_long(messages: list[Message], status: int) -> None:
    async def play() -> None:
        receive = bounded(await sent(messages), most=100, pause_s=0.01)
        with pytest.raises(HTTPException) as raised:
            await taken(receive)
        assert raised.value.status_code == status

    played(play)


def test_a_body_in_drops_ends_in_time() -> None:
    async def play() -> None:
        async def drop() -> Message:
            await asyncio.sleep(0.004)
            return piece(0)

        receive = bounded(drop, pause_s=10, longest_s=0.02)
        with pytest.raises(HTTPException) as raised:
            await taken(receive)
        assert raised.value.status_code == 408

    played(play)


def test_a_whole_body_is_handed_on_and_who_waits_for_the_end_waits() -> None:
    async def play() -> None:
        receive = bounded(await sent([piece(50), piece(50, more=False)]), most=100, pause_s=0.01)
        assert [(await receive())["body"] for _ in range(2)] == [b"x" * 50] * 2
        with pytest.raises(TimeoutError):
            await asyncio.wait_for(receive(), 0.05)

    played(play)


STREAM: Message = {
    "type": "http.response.start", "status": 200, "headers": [(b"content-type", b"text/event-stream; charset=utf-8")],
}  # fmt: skip
PAGE: Message = {"type": "http.response.start", "status": 200, "headers": [(b"content-type", b"text/html")]}


def test_one_session_and_all_together_have_so_many_streams() -> None:
    async def play() -> None:
        streams, statuses = Streams(most_of_one=2, most_of_all=3), list[int]()

        async def send(message: Message) -> None:
            if message["type"] == "http.response.start":
                statuses.append(message["status"])

        async def stream(who: str, ended: asyncio.Event) -> None:
            with streams.counted(send, who, lambda: True) as counted:
                await counted(STREAM)
                await ended.wait()

        ended = asyncio.Event()
        tasks = [asyncio.create_task(stream(who, ended)) for who in ("a", "a", "a", "b", "b")]
        await asyncio.sleep(0)
        assert statuses == [200, 200, 429, 200, 429]
        with streams.counted(send, "a", lambda: True) as counted:
            await counted(PAGE)
        ended.set()
        await asyncio.gather(*tasks)
        await stream("a", ended)
        assert statuses[5:] == [200, 200]

    played(play)


def test_the_stream_of_a_revoked_device_says_nothing_more() -> None:
    async def play() -> None:
        said, paired = list[Message](), [True]

        async def send(message: Message) -> None:
            said.append(message)

        with Streams().counted(send, "a", lambda: paired[0]) as counted:
            await counted(STREAM)
            await counted({"type": "http.response.body", "body": b"1", "more_body": True})
            paired[0] = False
            with suppress(OSError):
                await counted({"type": "http.response.body", "body": b"2", "more_body": True})
        assert [one.get("body") for one in said] == [None, b"1"]

    played(play)
