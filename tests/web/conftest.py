"""One server, one client and one browser for each file of tests that asks for them."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from starlette.testclient import TestClient

from tests.browser import running_browser
from tests.web.server import Server, asked, serving, shelf_of, watched

# What a page shows comes when it comes on a machine that does other things too.
expect.set_options(timeout=60_000)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with `vehicles` in it: a lamp, and the telehandler's roof. A file that wants others overrides it."""
    folder = tmp_path_factory.mktemp("bench")
    shelf_of(folder / "vehicles", "telehandler-roof")
    return folder


@pytest.fixture(scope="module")
def server(place: Path) -> Iterator[Server]:
    """A real server of those vehicles."""
    with serving(place / "vehicles", place / "store" / "jobs.sqlite") as found:
        yield found


@pytest.fixture(scope="module")
def client(place: Path) -> Iterator[TestClient]:
    """The application in this process, with a store of its own."""
    with asked(place / "vehicles", place / "asked" / "jobs.sqlite") as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for the group `chromium`."""
    with running_browser() as found:
        yield found


@pytest.fixture
def page(request: pytest.FixtureRequest, server: Server, browser: Browser) -> Iterator[Page]:
    """The first screen on the laptop; at another size where a test gives `page` a name of `SIZES`, indirectly."""
    with watched(browser, server.address, getattr(request, "param", "laptop")) as found:
        yield found
