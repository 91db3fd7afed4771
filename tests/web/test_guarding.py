"""The guard before every page: each test tries what somebody with bad intentions would."""

from collections.abc import Mapping
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.testclient import TestClient

from loombench.app.desk.devices import Devices
from loombench.shell.web.bodies import MOST_BODY
from loombench.shell.web.guarding import COOKIE, HEADER, Guard
from loombench.shell.web.settings import Settings
from tests.web.server import KEY, writing

HERE = "http://127.0.0.1:8137"
CSP = "content-security-policy"


@pytest.fixture
def guarded(tmp_path: Path) -> TestClient:
    """A guard before a page that echoes what is written, one that errs, and one that reads all that is sent."""

    async def echo(request: Request) -> Response:
        return PlainTextResponse(f"{request.method} {len(await request.body())}")

    async def err(_request: Request) -> Response:
        raise ZeroDivisionError("secret words")

    async def first(request: Request) -> Response:
        return PlainTextResponse(f'"{HEADER}":"{request.state.token}"')

    app = Starlette(routes=[Route("/", first), Route("/echo", echo, methods=["GET", "POST"]), Route("/err", err)])
    settings = Settings(tmp_path, tmp_path / "jobs.sqlite")
    return TestClient(Guard(app, settings, KEY, Devices(tmp_path)), base_url=HERE, raise_server_exceptions=False)


def test_a_write_with_the_token_of_its_session_is_let_through(guarded: TestClient) -> None:
    answer = guarded.post("/echo", content=b"12 V", headers=writing(guarded) | {"Origin": HERE})
    assert (answer.status_code, answer.text) == (200, "POST 4")


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {HEADER: ""},
        {HEADER: "0" * 64},
        {HEADER: "\u00e4"},
        {"Cookie": f"{HEADER}=x"},
    ],
)
def test_a_write_without_the_token_is_refused(guarded: TestClient, headers: Mapping[str, str]) -> None:
    guarded.get("/")
    sent = {name: value.encode("utf-8") for name, value in headers.items()}
    assert guarded.post("/echo", content=b"12 V", headers=sent).status_code == 403


def test_the_token_of_another_session_is_refused(guarded: TestClient) -> None:
    mine = writing(guarded)
    guarded.cookies.clear()
    other = writing(guarded)
    assert mine != other
    assert guarded.post("/echo", headers=mine).status_code == 403
    assert guarded.post("/echo", headers=other).status_code == 200


def test_a_token_without_its_cookie_is_refused(guarded: TestClient) -> None:
    mine = writing(guarded)
    guarded.cookies.clear()
    assert guarded.post("/echo", headers=mine).status_code == 403


@pytest.mark.parametrize("cookie", ["", "short", "x" * 101, "a b" * 10, "../../etc/passwd0000000", "%00" * 10])
def test_a_cookie_that_is_none_of_ours_is_replaced(guarded: TestClient, cookie: str) -> None:
    answer = guarded.get("/", headers={"Cookie": f"{COOKIE}={cookie}"})
    made = answer.headers["set-cookie"]
    assert made.startswith(f"{COOKIE}=")
    assert {"httponly", "samesite=strict", "path=/"} <= {part.strip().lower() for part in made.split(";")}


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://127.0.0.1:9000", "https://127.0.0.1:8137", ""]
)
def test_a_write_from_another_page_is_refused_even_with_the_token(guarded: TestClient, origin: str) -> None:
    assert guarded.post("/echo", headers=writing(guarded) | {"Origin": origin}).status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_another_page_fetches_is_refused(guarded: TestClient, site: str) -> None:
    """Another program's page on this machine is of the same site for a browser: the port does not count."""
    fetched = {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": "no-cors"}
    assert guarded.get("/", headers=fetched).status_code == 403
    posted = {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": "navigate"}
    assert guarded.post("/echo", headers=writing(guarded) | posted).status_code == 403


def test_a_link_on_another_page_leads_here_and_takes_no_session_away(guarded: TestClient) -> None:
    link = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    answer = guarded.get("/", headers=link)
    assert answer.status_code == 200
    assert 'http-equiv="refresh"' in answer.text
    assert "set-cookie" not in answer.headers
    assert HEADER in guarded.get("/", headers={"Sec-Fetch-Site": "same-origin"}).text


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8137", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:8137.evil.example", "", "[::1]:8137",
     "127.1:8137", "2130706433:8137", "LOCALHOST:8137@evil.example"],
)  # fmt: skip
def test_another_host_is_not_served(guarded: TestClient, host: str) -> None:
    answer = guarded.get("/", headers={"Host": host, "X-Forwarded-Host": "127.0.0.1:8137"})
    assert answer.status_code == 421
    assert HEADER not in answer.text


def test_two_hosts_are_not_served(guarded: TestClient) -> None:
    answer = guarded.get("/", headers=[("Host", "127.0.0.1:8137"), ("Host", "evil.example")])
    assert answer.status_code == 421


@pytest.mark.parametrize(("path", "status"), [("/", 200), ("/gone", 404), ("/err", 500)])
def test_every_answer_bears_the_policy(guarded: TestClient, path: str, status: int) -> None:
    answer = guarded.get(path)
    assert answer.status_code == status
    policy = dict(part.strip().partition(" ")[::2] for part in answer.headers[CSP].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert policy["base-uri"] == "'none'"
    assert "unsafe" not in answer.headers[CSP]
    assert answer.headers["x-frame-options"] == "DENY"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"


def test_a_nonce_is_good_once(guarded: TestClient) -> None:
    assert guarded.get("/").headers[CSP] != guarded.get("/").headers[CSP]


def test_a_refusal_bears_the_policy_too(guarded: TestClient) -> None:
    assert CSP in guarded.post("/echo").headers
    assert CSP in guarded.get("/", headers={"Host": "evil.example"}).headers


def test_no_traceback_leaves(guarded: TestClient, capfd: pytest.CaptureFixture[str]) -> None:
    answer = guarded.get("/err")
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert "secret words" in capfd.readouterr().err


@pytest.mark.parametrize("name", ["X-HTTP-Method-Override", "X-Method-Override", "X-HTTP-Method"])
def test_a_method_is_what_it_is(guarded: TestClient, name: str) -> None:
    assert guarded.get("/echo", headers={name: "POST"}).text == "GET 0"
    assert guarded.post("/echo?_method=GET", headers={name: "GET"}).status_code == 403


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "TRACE", "CONNECT", "post", "GETX"])
def test_other_methods_are_writes(guarded: TestClient, method: str) -> None:
    assert guarded.request(method, "/echo").status_code in {403, 405}


def test_a_body_that_says_it_is_too_large_is_refused_unread(guarded: TestClient) -> None:
    headers = writing(guarded) | {"Content-Length": str(MOST_BODY + 1)}
    assert guarded.post("/echo", content=b"x", headers=headers).status_code == 413
