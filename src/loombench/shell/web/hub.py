"""Who listens to what: open pages hear at once that a job has changed, and how far a long question is."""

import asyncio
from collections.abc import AsyncIterator

from starlette.responses import StreamingResponse

PING_S = 15.0
LONGEST_QUEUE = 100


class Hub:
    """Topics with their listeners. All methods run in the event loop's thread."""

    def __init__(self) -> None:
        self._listeners: dict[str, set[asyncio.Queue[str]]] = {}
        self._ended = False

    def send(self, topic: str, event: str, data: str = "") -> None:
        """Tell everybody who listens to a topic. A listener that does not keep up misses what is oldest."""
        text = f"event: {event}\n" + "".join(f"data: {line}\n" for line in (data.splitlines() or [""])) + "\n"
        for queue in self._listeners.get(topic, ()):
            if queue.full():
                queue.get_nowait()
            queue.put_nowait(text)

    def end(self) -> None:
        """Close all streams."""
        self._ended = True
        for queues in self._listeners.values():
            for queue in queues:
                if queue.full():
                    queue.get_nowait()
                queue.put_nowait("")

    def stream(self, topic: str) -> StreamingResponse:
        """A response that goes on as long as the page is open."""
        return StreamingResponse(
            self._said(topic), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    async def _said(self, topic: str) -> AsyncIterator[str]:
        queue: asyncio.Queue[str] = asyncio.Queue(LONGEST_QUEUE)
        self._listeners.setdefault(topic, set()).add(queue)
        try:
            yield "event: open\ndata:\n\n"
            while not self._ended:
                try:
                    yield await asyncio.wait_for(queue.get(), PING_S)
                except TimeoutError:
                    yield ": still here\n\n"
        finally:
            left = self._listeners[topic]
            left.discard(queue)
            if not left:
                del self._listeners[topic]
