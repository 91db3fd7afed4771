"""What stands before every page: who may ask (Host, Origin, token), and what a browser may do with the answer.

A token belongs to a browser's session: it is made from the session's cookie with a key that only the server has, and
must come back with every write as the header `X-Loombench-Token` (there are no plain forms: htmx sends it). The cookie
is HttpOnly and SameSite=Strict; a write whose Origin is another than ours is refused before anything is read of it.
"""

import hashlib
import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE, HEADER = "loombench", "X-Loombench-Token"
SAFE = ("GET", "HEAD", "OPTIONS")
SESSION_BYTES = 24
CONTENT = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{nonce}'; img-src 'self' data: blob:; "
    "font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    "manifest-src 'self'"
)
FIXED: Mapping[str, str] = MappingProxyType({
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
})  # fmt: skip


@dataclass(frozen=True)
class Guard:
    """The outermost part of the application. `key` is the server's secret; `addresses` what Host may be."""

    app: ASGIApp
    addresses: frozenset[str]
    key: bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with a nonce and the session's token in the scope's state."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        asked = HTTPConnection(scope)
        session = asked.cookies.get(COOKIE, "")
        fresh = not _is_session(session)
        session = secrets.token_urlsafe(SESSION_BYTES) if fresh else session
        nonce = secrets.token_urlsafe(12)
        state = scope.setdefault("state", {})
        state.update(nonce=nonce, token=self.token(session), session=session)

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers["Content-Security-Policy"] = CONTENT.format(nonce=nonce)
                for name, value in FIXED.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
                if fresh:
                    headers.append("Set-Cookie", f"{COOKIE}={session}; Path=/; HttpOnly; SameSite=Strict")
            await send(message)

        refused = self._refused(scope, asked.headers, session, fresh)
        if refused is not None:
            await refused(scope, receive, guarded)
            return
        await self.app(scope, receive, guarded)

    def token(self, session: str) -> str:
        """The token of a session."""
        return hmac.new(self.key, session.encode(), hashlib.sha256).hexdigest()

    def _refused(self, scope: Scope, headers: Headers, session: str, fresh: bool) -> PlainTextResponse | None:
        if headers.get("host", "") not in self.addresses:
            return PlainTextResponse("This address is not served.", 421)
        if scope["method"] in SAFE:
            return None
        origin = headers.get("origin")
        if origin is not None and origin not in {f"http://{one}" for one in self.addresses}:
            return PlainTextResponse("The request came from another page.", 403)
        given = headers.get(HEADER, "")
        if fresh or not hmac.compare_digest(given.encode(), self.token(session).encode()):
            return PlainTextResponse("The page is out of date: load it again.", 403)
        return None


def _is_session(text: str) -> bool:
    return 20 <= len(text) <= 100 and all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in text)
