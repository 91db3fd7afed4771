"""What stands before every page: who may ask (Host, Origin, token, pairing), and what a browser may do with the answer.

A token belongs to a browser's session: it is made from the session's cookie with a key that only the server has, and
must come back with every write as the header `X-Loombench-Token` (there are no plain forms: htmx sends it). The cookie
is HttpOnly and SameSite=Strict; a write whose Origin is another than ours is refused before anything is read of it.

Whether a request comes from this machine is told by the address it was received on, never by what it says of itself.
On the workshop's network nothing is shown but the page that pairs, until the browser bears a paired device's token.
"""

import hashlib
import hmac
import secrets
import sys
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from types import MappingProxyType

from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import Message, Receive, Scope, Send

from loombench.app.desk.devices import Devices
from loombench.shell.web.bodies import MOST_BODY, bounded
from loombench.shell.web.pages import language_of, say_in
from loombench.shell.web.settings import Settings
from loombench.shell.web.streams import Streams

COOKIE, DEVICE_COOKIE, HEADER = "loombench", "loombench-device", "X-Loombench-Token"
SAFE = ("GET", "HEAD", "OPTIONS")
SESSION_BYTES = 24
PAIRING = "/pair"
FREE = ("/static/", "/fonts/")
"""What the unpaired get besides the page that pairs: the look and the scripts of it."""
CONTENT = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{nonce}'; img-src 'self' data: blob:; "
    "font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    "manifest-src 'self'"
)
FIXED: Mapping[str, str] = MappingProxyType({
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
})  # fmt: skip
AGAIN = '<!doctype html><meta http-equiv="refresh" content="0"><title>Loombench</title>'
"""Asks for the same page once more, from a page of ours."""


@dataclass(frozen=True)
class Guard:
    """The outermost part of the application. `key` is the server's secret."""

    app: Starlette
    settings: Settings
    key: bytes
    devices: Devices
    streams: Streams = field(default_factory=Streams)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with a nonce, the session and its token, the paired device and whether the request comes
        from this machine in the scope's state."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        asked = HTTPConnection(scope)
        session = asked.cookies.get(COOKIE, "")
        fresh = not _is_session(session)
        session = secrets.token_urlsafe(SESSION_BYTES) if fresh else session
        nonce = secrets.token_urlsafe(12)
        local = self.settings.is_local(_received_on(scope))
        device = None if local else self.devices.of(asked.cookies.get(DEVICE_COOKIE, ""))
        state = scope.setdefault("state", {})
        state.update(nonce=nonce, token=self.token(session), session=session, local=local, device=device)
        refused = self._refused(scope, asked.headers, session, fresh)
        keeps = fresh and refused is None
        begun = False

        async def guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                headers["Content-Security-Policy"] = CONTENT.format(nonce=nonce)
                for name, value in FIXED.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
                if keeps:
                    headers.append("Set-Cookie", f"{COOKIE}={session}; Path=/; HttpOnly; SameSite=Strict")
            await send(message)

        if refused is not None:
            await refused(scope, receive, guarded)
            return

        def goes_on() -> bool:
            return device is None or self.devices.has(device)

        try:
            who = device.id if device is not None else session
            with self.streams.counted(guarded, who, goes_on) as counted:
                await self.app(scope, bounded(receive), counted)
        except Exception as wrong:  # noqa: BLE001  (whatever went wrong, no traceback leaves the server)
            traceback.print_exception(wrong, file=sys.stderr)
            if not begun:
                await PlainTextResponse(_say(scope, "broken"), 500)(scope, receive, guarded)

    def token(self, session: str) -> str:
        """The token of a session."""
        return hmac.new(self.key, session.encode(), hashlib.sha256).hexdigest()

    def _refused(self, scope: Scope, headers: Headers, session: str, fresh: bool) -> Response | None:
        state, method = scope["state"], scope["method"]
        hosts = self.settings.hosts(state["local"])
        if headers.getlist("host") not in [[host] for host in hosts]:
            return _refusal(scope, "host", 421)
        site, goes_to_page = headers.get("sec-fetch-site", "none"), headers.get("sec-fetch-mode") == "navigate"
        if site not in {"same-origin", "none"} and not (method == "GET" and goes_to_page):
            return _refusal(scope, "other-page", 403)
        free = scope["path"] == PAIRING or scope["path"].startswith(FREE)
        if not state["local"] and state["device"] is None and not free:
            return _to_pairing(scope, headers)
        if method in SAFE:
            # A browser that follows another page's link sends no strict cookie: a new session would put out of date
            # what other tabs of ours have.
            return HTMLResponse(AGAIN) if fresh and site not in {"same-origin", "none"} else None
        origin = headers.get("origin")
        if origin is not None and origin not in {f"http://{host}" for host in hosts}:
            return _refusal(scope, "other-page", 403)
        given = headers.get(HEADER, "")
        if fresh or not hmac.compare_digest(given.encode(), self.token(session).encode()):
            return _refusal(scope, "old-page", 403)
        with suppress(ValueError):
            if int(headers.get("content-length", "0")) > MOST_BODY:
                return _refusal(scope, "large", 413)
        return None


def _received_on(scope: Scope) -> str:
    server = scope.get("server")
    return str(server[0]) if server else ""


def _to_pairing(scope: Scope, headers: Headers) -> Response:
    """The page that pairs, for whoever looks at a page; a refusal for everything else."""
    if scope["method"] == "GET" and "hx-request" not in headers and "text/html" in headers.get("accept", ""):
        return RedirectResponse(PAIRING, 303)
    refusal = _refusal(scope, "unpaired", 401)
    refusal.headers["HX-Redirect"] = PAIRING
    return refusal


def _refusal(scope: Scope, key: str, status: int) -> Response:
    return PlainTextResponse(_say(scope, key), status)


def _say(scope: Scope, key: str) -> str:
    say: Callable[..., str] = say_in(language_of(Request(scope)))
    return say(f"guard.{key}")


def _is_session(text: str) -> bool:
    return 20 <= len(text) <= 100 and all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in text)
