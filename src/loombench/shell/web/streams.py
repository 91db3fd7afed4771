"""Streams of events are open as long as a page is: how many one session and all together may have."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from starlette.datastructures import Headers
from starlette.types import Message, Send

MOST_OF_ONE, MOST_OF_ALL = 16, 128


class StreamRefusedError(OSError):
    """There are too many, or the device is not paired any more; whoever sends takes it for a listener that has gone."""


class Streams:
    """Who has how many streams open."""

    def __init__(self, most_of_one: int = MOST_OF_ONE, most_of_all: int = MOST_OF_ALL) -> None:
        self._most_of_one = most_of_one
        self._most_of_all = most_of_all
        self._open: Counter[str] = Counter()

    @contextmanager
    def counted(self, send: Send, who: str, goes_on: Callable[[], bool]) -> Iterator[Send]:
        """Sends the same. A stream beyond the limit is answered with 429, one that may not go on is left: what sends
        raises StreamRefusedError then, and that is let out of here as the end of it."""
        streaming = refused = False

        async def counting(message: Message) -> None:
            nonlocal streaming, refused
            if message["type"] == "http.response.start" and _is_stream(message):
                if self._open[who] >= self._most_of_one or self._open.total() >= self._most_of_all:
                    refused = True
                    await send({"type": "http.response.start", "status": 429, "headers": [(b"retry-after", b"15")]})
                    await send({"type": "http.response.body", "body": b""})
                    raise StreamRefusedError
                streaming = True
                self._open[who] += 1
            elif streaming and not goes_on():
                refused = True
                raise StreamRefusedError
            await send(message)

        try:
            yield counting
        except Exception:  # whatever the refusal was wrapped into on its way
            if not refused:
                raise
        finally:
            if streaming:
                self._open[who] -= 1
                self._open += Counter()


def _is_stream(message: Message) -> bool:
    return Headers(raw=message["headers"]).get("content-type", "").startswith("text/event-stream")
