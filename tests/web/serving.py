"""Serves the page of the tests and the package's static files on loopback, under the policy that the bench has."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

ROOT = Path(__file__).resolve().parents[2]
NONCE = "bm9uY2UtZm9yLXRlc3Rz"
POLICY = (
    f"default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{NONCE}'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
_TYPES = {".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css"}


def files() -> Mapping[str, tuple[str, bytes]]:
    """What is served: address to type and content."""
    folders = {"/page/": ROOT / "tests/web/page", "/static/": ROOT / "src/loombench/shell/web/static"}
    found = {
        f"{address}{path.name}": (_TYPES[path.suffix], path.read_bytes())
        for address, folder in folders.items()
        for path in folder.iterdir()
        if path.suffix in _TYPES
    }
    kind, page = found["/page/index.html"]
    return {**found, "/": (kind, page.replace(b"NONCE", NONCE.encode())), "/favicon.ico": ("image/x-icon", b"")}


@contextmanager
def served(content: Mapping[str, tuple[str, bytes]]) -> Iterator[str]:
    """The address of a server of that content, until left."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            kind, data = content.get(self.path, ("", b""))
            self.send_response(200 if kind else 404)
            self.send_header("Content-Type", kind or "text/plain")
            self.send_header("Content-Security-Policy", POLICY)
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            self.wfile.write(data)

        def log_message(self, *_: object) -> None:
            """Nothing on the terminal."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
