"""What can be sent to the server over the wire by somebody who is no browser: it answers the next one as before."""

import json
import re
import socket
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest
import uvicorn
from starlette.responses import PlainTextResponse
from starlette.types import Receive, Scope, Send

from loombench.shell.web import patience
from loombench.shell.web.patience import PatientProtocol
from tests.web.server import Server

SECRET = "root:"


def connected(address: str) -> socket.socket:
    host, port = address.removeprefix("http://").strip("/").split(":")
    return socket.create_connection((host, int(port)), timeout=20)


def spoken(address: str, *data: bytes) -> bytes:
    """All that the server says until it closes the connection."""
    with connected(address) as wire:
        try:
            for piece in data:
                wire.sendall(piece)
        except OSError:  # it has closed already, and said before why
            pass
        return heard(wire)


def heard(wire: socket.socket) -> bytes:
    found = b""
    try:
        while piece := wire.recv(65536):
            found += piece
    except ConnectionResetError:
        pass
    return found


def answered(wire: socket.socket) -> bytes:
    """One answer on a connection that stays open: it ends with the brace of its JSON."""
    found = b""
    while not found.endswith(b"}") and (piece := wire.recv(4096)):
        found += piece
    return found


def status(answer: bytes) -> int:
    found = re.match(rb"HTTP/1\.1 (\d+) ", answer)
    return int(found[1]) if found else 0


def head(server: Server, target: str, *lines: str, method: str = "GET") -> bytes:
    host = server.address.removeprefix("http://").strip("/")
    every = (f"{method} {target} HTTP/1.1", f"Host: {host}", "Connection: close", *lines)
    return ("\r\n".join(every) + "\r\n\r\n").encode("utf-8")


def session(server: Server) -> tuple[str, str]:
    """The lines with which one may write."""
    answer = spoken(server.address, head(server, "/devices")).decode("utf-8")
    cookie, token = re.search(r"loombench=([\w-]+)", answer), re.search(r'Token":"(\w+)"', answer)
    assert cookie is not None
    assert token is not None
    return f"Cookie: loombench={cookie[1]}", f"X-Loombench-Token: {token[1]}"


def peak_bytes(server: Server) -> int:
    """The most memory that the serving process has had."""
    found = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{server.process.pid}/status").read_text(encoding="ascii"))
    assert found is not None
    return int(found[1]) * 1024


@pytest.mark.parametrize(
    "target",
    [
        "/static/../guarding.py", "/static/..%2fguarding.py", "/static/%2e%2e/guarding.py",
        "/static/%252e%252e/guarding.py", "/static/%2e%2e%5cguarding.py", "/static//etc/passwd",
        "/static/%2fetc%2fpasswd", "//etc/passwd", "/static/bench.css%00.html", "/static/%00",
        "/static/C:/Windows/win.ini", "/static/C:%5cWindows%5cwin.ini", "/static/file:///etc/passwd",
        "/static/....//....//etc/passwd", "/fonts/../../../../etc/passwd", "/fonts/..%2f..%2f..%2fetc%2fpasswd",
        "/vehicle/..%2f..%2fetc%2fpasswd/circuit", "/vehicle/%2fetc%2fpasswd/circuit", "/vehicle/%00/circuit",
        "/vehicle/lamp/circuit/..%2f..%2f..%2fetc%2fpasswd", "/static/%c0%ae%c0%ae/guarding.py",
        "/static/" + "../" * 200 + "etc/passwd", "/static/" + "a" * 5000,
    ],
)  # fmt: skip
def test_no_path_leads_out(server: Server, target: str) -> None:
    answer = spoken(server.address, head(server, target))
    assert status(answer) == 404
    assert SECRET.encode() not in answer
    assert b"class Guard" not in answer
    assert b"Traceback" not in answer


def test_the_judge_knows_a_page_that_is_there(server: Server) -> None:
    answer = spoken(server.address, head(server, "/static/bench.css"))
    assert status(answer) == 200
    assert b"Paper and ink" in answer


@pytest.mark.parametrize(
    ("data", "statuses"),
    [
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc", {400}),
        (b"GET / HTTP/9.9\r\nHost: x\r\nConnection: close\r\n\r\n", {400, 421}),
        (b"GET /" + b"a" * 70_000, {400}),
        (b"GET / HTTP/1.1\r\nHost: x\r\n" + b"X-Flood: y\r\n" * 20_000 + b"\r\n", {400}),
        (b"GET / HTTP/1.1\r\nHost: x\r\nX: " + b"y" * 70_000, {400}),
        (b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n", {400, 421}),
        (b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n", {421}),
        (b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n", {400}),
        (b"GET / HTTP/1.1\r\nHost: a\nb\r\n\r\n", {400}),
        (
            b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n"
            b"Connection: close\r\n\r\n0\r\n\r\n",
            {400, 421},
        ),
        (b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", {400}),
        (b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 1, 2\r\n\r\n", {400}),
    ],
    ids=range(12),
)
def test_what_is_no_request_of_a_browser_is_refused(server: Server, data: bytes, statuses: set[int]) -> None:
    answer = spoken(server.address, data)
    assert status(answer) in statuses | {0}
    assert b"Traceback" not in answer
    assert status(spoken(server.address, head(server, "/devices"))) == 200


def test_a_body_without_end_is_refused_and_not_kept(server: Server) -> None:
    before, piece = peak_bytes(server), b"100000\r\n" + b"x" * 0x100000 + b"\r\n"
    lines = (*session(server), "Transfer-Encoding: chunked", "Content-Type: application/x-www-form-urlencoded")
    answer = spoken(server.address, head(server, "/devices/revoke", *lines, method="POST"), *([piece] * 64))
    assert status(answer) in {413, 0}
    assert peak_bytes(server) - before < 30e6
    assert status(spoken(server.address, head(server, "/devices"))) == 200


def test_a_body_that_says_it_is_too_large_is_refused_before_it_comes(server: Server) -> None:
    lines = (*session(server), "Content-Length: 99999999999")
    assert status(spoken(server.address, head(server, "/devices/revoke", *lines, method="POST"))) == 413


@pytest.mark.parametrize(
    "fields", [b"id=" + b"%" * 60_000, b"&" * 60_000, b"a=1&" * 15_000, b"\xff\xfe=\x00", b"id=%00%ff"]
)
def test_a_form_that_is_none_is_refused_or_does_nothing(server: Server, fields: bytes) -> None:
    lines = (*session(server), f"Content-Length: {len(fields)}", "Content-Type: application/x-www-form-urlencoded")
    answer = spoken(server.address, head(server, "/devices/revoke", *lines, method="POST") + fields)
    assert status(answer) in {200, 400}
    assert b"Traceback" not in answer


def test_one_session_has_so_many_streams_and_the_bench_goes_on(server: Server) -> None:
    cookie, _ = session(server)
    with ExitStack() as stack:
        statuses = []
        for _ in range(18):
            wire = stack.enter_context(connected(server.address))
            wire.sendall(head(server, "/devices/changes", cookie))
            statuses.append(status(wire.recv(4096)))
        assert statuses == [200] * 16 + [429] * 2
        assert status(spoken(server.address, head(server, "/devices", cookie))) == 200
        other, _ = session(server)
        wire = stack.enter_context(connected(server.address))
        wire.sendall(head(server, "/devices/changes", other))
        assert status(wire.recv(4096)) == 200


@contextmanager
def patient(protocol: type[PatientProtocol]) -> Iterator[str]:
    """A server of a page that reads all that is sent."""

    async def page(scope: Scope, receive: Receive, send: Send) -> None:
        assert scope["type"] == "http"
        await receive()
        await PlainTextResponse(json.dumps({"proxy": scope["client"][0]}))(scope, receive, send)

    listening = socket.create_server(("127.0.0.1", 0))
    config = uvicorn.Config(
        page, http=protocol, ws="none", lifespan="off", proxy_headers=False, log_level="error", timeout_keep_alive=60
    )
    running = uvicorn.Server(config)
    thread = threading.Thread(target=running.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{listening.getsockname()[1]}/"
    finally:
        running.should_exit = True
        thread.join(10)
        listening.close()


class HastyProtocol(PatientProtocol):
    """Waits for a moment only."""

    head_s = 0.1


ASKED = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"


def test_whoever_does_not_ask_is_not_waited_for() -> None:
    with patient(HastyProtocol) as address:
        assert spoken(address) == b""
        assert spoken(address, b"GET / HT") == b""
        with connected(address) as wire:
            wire.sendall(ASKED)
            assert status(answered(wire)) == 200
            wire.sendall(b"GET / HT")
            assert heard(wire) == b""


def test_a_byte_now_and_then_does_not_keep_a_connection() -> None:
    with patient(HastyProtocol) as address, connected(address) as wire:
        ended = threading.Event()

        def drip() -> None:
            for letter in b"GET / HTTP/1.1\r\n" + b"X-Long: y\r\n" * 1000:
                if ended.wait(0.01):
                    return
                try:
                    wire.sendall(bytes([letter]))
                except OSError:
                    return

        thread = threading.Thread(target=drip)
        thread.start()
        assert heard(wire) == b""
        ended.set()
        thread.join()


def test_an_address_of_the_network_has_so_many_connections(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patience, "MOST_OF_ONE", 3)
    monkeypatch.setattr(patience, "_is_of_this_machine", lambda address: address == "")
    with patient(PatientProtocol) as address, ExitStack() as stack:
        wires = [stack.enter_context(connected(address)) for _ in range(3)]
        for wire in wires:
            wire.sendall(ASKED)
            assert status(answered(wire)) == 200
        assert spoken(address) == b""
        wires[0].close()
        wires[1].sendall(ASKED)
        assert status(answered(wires[1])) == 200
        assert status(spoken(address, ASKED.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n"))) == 200


def test_nobody_says_of_himself_where_he_comes_from() -> None:
    with patient(PatientProtocol) as address:
        forged = b"GET / HTTP/1.1\r\nHost: x\r\nX-Forwarded-For: 10.9.8.7\r\nConnection: close\r\n\r\n"
        assert b'{"proxy": "127.0.0.1"}' in spoken(address, forged)
