"""What is sent to the server may neither be without end nor take for ever."""

import asyncio

from starlette.exceptions import HTTPException
from starlette.types import Message, Receive

MOST_BODY = 66 * 1024 * 1024
"""No page takes more, harness files and what is around them included; most take far less (`receiving`, `uploads`)."""
LONGEST_PAUSE_S = 15.0
LONGEST_S = 300.0


def bounded(
    receive: Receive, most: int = MOST_BODY, pause_s: float = LONGEST_PAUSE_S, longest_s: float = LONGEST_S
) -> Receive:
    """Receives the same, as long as the body keeps to the limits.

    What it gives raises HTTPException: 413 where more came, 408 where nothing came for too long, or not all in time.
    """
    size, whole = 0, False
    end_s: float | None = None

    async def received() -> Message:
        nonlocal size, whole, end_s
        if whole:
            return await receive()
        now_s = asyncio.get_running_loop().time()
        end_s = now_s + longest_s if end_s is None else end_s
        try:
            message = await asyncio.wait_for(receive(), max(0.0, min(pause_s, end_s - now_s)))
        except TimeoutError:
            raise HTTPException(408) from None
        if message["type"] == "http.request":
            size += len(message.get("body", b""))
            whole = not message.get("more_body", False)
            if size > most:
                raise HTTPException(413)
        return message

    return received
