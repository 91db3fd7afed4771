"""Serving until Ctrl-C: the port is ours before anybody is told the address."""

import socket
from collections.abc import Callable
from dataclasses import dataclass, replace

import uvicorn

from loombench.app.desk.secret import server_key
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.shell.web.application import application, begin_pairing, end_streams
from loombench.shell.web.guarding import Guard
from loombench.shell.web.patience import PatientProtocol
from loombench.shell.web.settings import Settings, lan_problem

HEAD_BYTES = 64 * 1024
GRACE_S = 2
BACKLOG = 128


@dataclass(frozen=True)
class Bench:
    """A server whose addresses are its own already; `settings` has the port that it got."""

    settings: Settings
    key: bytes
    sockets: tuple[socket.socket, ...]

    def run(self, ready: Callable[[], None], coded: Callable[[str], None]) -> None:
        """Serve until the person stops it. `ready` is called as soon as it answers, `coded` with each new code that
        pairs a device."""
        guard = application(self.settings, self.key, coded)
        # Whose a request is, is told by the connection alone: what a proxy would say of it could be said by anybody.
        config = uvicorn.Config(
            guard, http=PatientProtocol, ws="none", lifespan="on", proxy_headers=False, server_header=False,
            date_header=False, log_level="warning", access_log=False, timeout_graceful_shutdown=GRACE_S,
            h11_max_incomplete_event_size=HEAD_BYTES, backlog=BACKLOG,
        )  # fmt: skip
        _Server(config, guard, ready).run(sockets=list(self.sockets))


def bench(settings: Settings) -> Outcome[Bench | None]:
    """Take the addresses and the key of a server. Port 0 is one that is free."""
    wrong = lan_problem(settings.lan) if settings.lan else None
    if wrong is not None:
        return Outcome(None, (wrong,))
    key = server_key(settings.store.parent)
    here = _bound(settings.host, settings.port)
    if here.value is None:
        return Outcome(None, (*key.problems, *here.problems))
    settings = replace(settings, port=here.value.getsockname()[1])
    there = _bound(settings.lan, settings.port) if settings.lan else Outcome[socket.socket | None](None)
    if there.problems:
        here.value.close()
        return Outcome(None, (*key.problems, *there.problems))
    sockets = tuple(one for one in (here.value, there.value) if one is not None)
    return Outcome(Bench(settings, key.value, sockets), key.problems)


class _Server(uvicorn.Server):
    """A server that says when it answers, and ends the streams first when it is to end."""

    def __init__(self, config: uvicorn.Config, guard: Guard, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._guard = guard
        self._tell = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then say so."""
        await super().startup(sockets)
        self._tell()
        begin_pairing(self._guard)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """A page that listens would be waited for."""
        end_streams(self._guard)
        await super().shutdown(sockets)


def _bound(host: str, port: int) -> Outcome[socket.socket | None]:
    """The port, ours from here on."""
    bound = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM)
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((host, port))
        bound.listen(BACKLOG)
    except OSError as wrong:
        bound.close()
        reason = wrong.strerror or type(wrong).__name__
        return Outcome(None, (error("serve-port", host=host, port=port, reason=reason),))
    return Outcome(bound)
