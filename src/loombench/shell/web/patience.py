"""One connection: how long it may take to ask, and how many of one address of the workshop's network there may be."""

import asyncio
from collections import Counter
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_S = 10.0
"""So long a connection may be without a whole request on it."""
MOST_OF_ONE, MOST_OF_ALL = 48, 192
"""Connections of one address of the network, and of all of them; those of this machine come besides."""


class PatientProtocol(H11Protocol):
    """The server's own protocol, but what does not ask in time is closed, and so is what is too much."""

    head_s = HEAD_S
    _asking: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        """Take it, unless its address has too many."""
        super().connection_made(transport)
        others = Counter(_address(one) for one in self.connections if not _is_of_this_machine(_address(one)))
        here = _address(self)
        if here in others and (others[here] > MOST_OF_ONE or others.total() > MOST_OF_ALL):
            transport.abort()
            return
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Read on; the time does not begin anew with each byte."""
        super().data_received(data)
        self._wait()

    def on_response_complete(self) -> None:
        """The next request has its own time."""
        super().on_response_complete()
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for."""
        self._forget()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self.cycle is not None and not self.cycle.response_complete:
            self._forget()
        elif self._asking is None:
            self._asking = self.loop.call_later(self.head_s, self.transport.abort)

    def _forget(self) -> None:
        if self._asking is not None:
            self._asking.cancel()
            self._asking = None


def _address(connection: Any) -> str:
    return str(connection.client[0]) if connection.client else ""


def _is_of_this_machine(address: str) -> bool:
    return address in {"", "127.0.0.1", "::1"}
