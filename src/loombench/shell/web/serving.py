"""Serving until Ctrl-C: the port is ours before anybody is told the address."""

import socket
import webbrowser
from collections.abc import Callable
from dataclasses import replace

import uvicorn

from loombench.app.desk.secret import server_key
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.shell.web.application import application
from loombench.shell.web.settings import Settings


def serve(settings: Settings, say: Callable[[str], None], show: bool) -> Outcome[None]:
    """Serve until the person stops it. `say` is told the address as soon as it answers; `show` opens a browser. Port 0
    is one that is free."""
    key = server_key(settings.store.parent)
    if key.value is None:
        return Outcome(None, key.problems)
    bound = _bound(settings)
    if bound.value is None:
        return Outcome(None, (*key.problems, *bound.problems))
    settings = replace(settings, port=bound.value.getsockname()[1])
    address = f"http://{settings.host}:{settings.port}/"
    config = uvicorn.Config(
        application(settings, key.value), log_level="warning", access_log=False, server_header=False,
        date_header=False, timeout_graceful_shutdown=2, h11_max_incomplete_event_size=64 * 1024, lifespan="on",
    )  # fmt: skip
    server = _Server(config, lambda: _tell(address, say, show))
    server.run(sockets=[bound.value])
    return Outcome(None, key.problems)


class _Server(uvicorn.Server):
    """A server that says when it answers."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then say so."""
        await super().startup(sockets)
        self._ready()


def _tell(address: str, say: Callable[[str], None], show: bool) -> None:
    say(address)
    if show:
        webbrowser.open(address)


def _bound(settings: Settings) -> Outcome[socket.socket | None]:
    """The port, ours from here on."""
    try:
        family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
        bound = socket.socket(family, socket.SOCK_STREAM)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((settings.host, settings.port))
        bound.listen(128)
    except OSError as wrong:
        reason = wrong.strerror or type(wrong).__name__
        return Outcome(None, (error("serve-port", host=settings.host, port=settings.port, reason=reason),))
    return Outcome(bound)
