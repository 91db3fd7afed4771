"""Every page there is, found by the routes and not by a list: none is written to by somebody who may not."""

import html
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.routing import Route
from starlette.testclient import TestClient

from loombench.shell.web.application import application
from loombench.shell.web.guarding import PAIRING, SAFE
from loombench.shell.web.pages import page_of
from loombench.shell.web.settings import Settings
from tests.web.server import KEY, asked, shelf_of, writing

FAR = "http://192.168.7.2:8137"
HEADERS = re.compile(r"hx-headers='([^']+)'")
FILLED = re.compile(r"\{(\w+)(?::\w+)?\}")
VALUES: Mapping[str, str] = {"vehicle": "lamp", "case": "gone", "level": "easy", "number": "1"}
EVIL = {"Origin": "http://evil.example"}


def routes() -> tuple[Route, ...]:
    """All of the application, as they are registered."""
    app = application(Settings(Path(), Path("jobs.sqlite")), KEY).app
    assert isinstance(app, Starlette)
    return tuple(one for one in app.routes if isinstance(one, Route))


def written() -> list[tuple[str, str]]:
    """Each method that writes with the address it writes to."""
    every = ((method, one.path) for one in routes() for method in sorted(set(one.methods or ()) - set(SAFE)))
    return [(method, address(path)) for method, path in every]


def shown() -> list[str]:
    """Each address that is only looked at."""
    return [address(one.path) for one in routes() if "GET" in (one.methods or ())]


def address(path: str) -> str:
    return FILLED.sub(lambda found: VALUES.get(found[1], "x"), path)


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    folder = tmp_path_factory.mktemp("bench")
    with asked(shelf_of(folder / "vehicles"), folder / "store" / "jobs.sqlite", lan="192.168.7.2") as found:
        yield found


def test_there_are_pages_that_write() -> None:
    assert len(written()) > 12
    assert ("POST", "/jobs") in written()
    assert {method for method, _ in written()} == {"POST"}


@pytest.mark.parametrize(("method", "path"), written())
def test_nothing_is_written_without_the_token_or_from_another_page(client: TestClient, method: str, path: str) -> None:
    headers = writing(client)
    assert client.request(method, path, content=b"{}").status_code == 403
    assert client.request(method, path, content=b"{}", headers=headers | EVIL).status_code == 403
    assert client.request(method, path, content=b"{}", headers=headers | {"Host": "evil.example"}).status_code == 421


@pytest.mark.parametrize("path", [path for path in shown() if path != PAIRING and not path.startswith("/static/")])
def test_an_unpaired_device_sees_no_page(client: TestClient, path: str) -> None:
    if path.startswith("/fonts/"):
        assert client.get(f"{FAR}{path}").status_code == 404
        return
    plain = client.get(f"{FAR}{path}", headers={"Accept": "text/html"}, follow_redirects=False)
    assert (plain.status_code, plain.headers.get("location")) == (303, PAIRING)
    assert client.get(f"{FAR}{path}", headers={"Accept": "application/json"}).status_code == 401


@pytest.mark.parametrize(("method", "path"), [one for one in written() if one[1] != PAIRING])
def test_an_unpaired_device_writes_nothing_with_a_token_of_its_own(client: TestClient, method: str, path: str) -> None:
    client.cookies.clear()
    answer = client.request(method, f"{FAR}{path}", content=b"{}", headers=writing(client, f"{FAR}{PAIRING}"))
    assert answer.status_code == 401


@pytest.mark.parametrize("path", shown())
def test_a_page_that_is_looked_at_takes_nothing_in(client: TestClient, path: str) -> None:
    if ("POST", path) not in written():
        assert client.post(path, content=b"{}", headers=writing(client)).status_code == 405


def test_each_page_shown_is_a_page_of_its_own_to_the_workers(client: TestClient) -> None:
    """Two tabs of one browser ask beside each other; what one asks anew takes the place of its own question alone."""
    shown = [json.loads(html.unescape(HEADERS.findall(client.get("/").text)[0])) for _ in range(2)]
    first, second = (found["X-Loombench-Page"] for found in shown)
    assert shown[0]["X-Loombench-Token"] == shown[1]["X-Loombench-Token"]
    state = {"session": "s", "nonce": "n"}

    def asked_by(page: str) -> str:
        return page_of(
            Request({"type": "http", "headers": [(b"x-loombench-page", page.encode())], "state": state}), "box"
        )

    assert asked_by(first) == asked_by(first) != asked_by(second)
    assert asked_by("") == ""
