"""The file of drawings, in a browser: nothing leaves it, and finding and reading work by key and by finger."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright
from playwright.sync_api import Page as Tab

from loombench.app.drawing import Drawings, layouts_here
from loombench.app.drawingfile import write_drawing
from loombench.app.drawnstate import overlay_of
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation
from tests.browser import ARGUMENTS
from tests.draw.hostile import WORDS, hostile

pytestmark = pytest.mark.chromium
TELEHANDLER = "examples/telehandler-roof"
ON = Condition((Operation("set", "S4", "on"),))
SIZES = {"phone": (390, 844), "tablet": (800, 1280), "wide": (1280, 800)}


@cache
def made(words: str, folder: Path) -> Path:
    """A file of two functions with the boom work lamps on; of another vehicle with the words everywhere, if any."""
    vehicle = load_file("examples/vintage-tractor" if words else TELEHANDLER).value
    if words:
        vehicle = hostile(vehicle, words)
    drawings = Drawings(vehicle)
    overlay = overlay_of(vehicle, Condition() if words else ON).value
    layouts = layouts_here(None)
    pages = [page for one in drawings.functions[:2] for page in drawings.pages(one, layouts, overlay).value]
    path = folder / "drawings.html"
    assert write_drawing(f"Drawings {words}", pages, path).problems == ()
    assert path.is_file()
    return path


@contextmanager
def started() -> Iterator[Browser]:
    """A browser; closed with it."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=list(ARGUMENTS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def browser(file: Path) -> Iterator[Browser]:
    """One browser for all tests; what is drawn is drawn before it starts."""
    assert file.is_file()
    with started() as browser:
        yield browser


@contextmanager
def opened(browser: Browser, path: Path, size: str) -> Iterator[tuple[Tab, list[str]]]:
    """The file offline, with a finger, and what went wrong or wanted out."""
    width, height = SIZES[size]
    told: list[str] = []
    context = browser.new_context(
        viewport={"width": width, "height": height}, offline=True, has_touch=True, is_mobile=size != "wide"
    )
    tab = context.new_page()
    tab.on("dialog", lambda dialog: (told.append(f"dialog {dialog.message}"), dialog.dismiss()))
    tab.on("pageerror", lambda error: told.append(f"error {error}"))
    tab.on("console", lambda message: told.append(f"console {message.text}"))
    tab.on("request", lambda request: None if own(request.url, path) else told.append(request.url))
    tab.goto(path.as_uri())
    yield tab, told
    context.close()


def own(url: str, path: Path) -> bool:
    """Whether an address is the file's own, or data that lies in it."""
    return url == path.as_uri() or url.startswith("data:")


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made("", tmp_path_factory.mktemp("viewer"))


@pytest.mark.parametrize("size", SIZES)
def test_it_fits_and_shows_one_page(browser: Browser, file: Path, size: str) -> None:
    with opened(browser, file, size) as (tab, told):
        assert tab.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
        assert tab.locator("section svg:visible").count() == 1
        for number in range(tab.locator("button:visible").count()):
            box = tab.locator("button:visible").nth(number).bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= 44
        assert told == []


def test_what_is_sought_is_found_by_key(browser: Browser, file: Path) -> None:
    with opened(browser, file, "wide") as (tab, told):
        tab.keyboard.press("Tab")
        assert tab.evaluate("document.activeElement.id") == "find"
        for sought in ("S4", "E7.1", "F12"):
            tab.fill("#find", sought)
            tab.press("#find", "Enter")
            assert sought in tab.inner_text("#said")
        tab.fill("#find", "nothing of that name")
        tab.press("#find", "Enter")
        assert tab.inner_text("#said") == "0"
        assert told == []


def test_zoom_and_the_whole_page(browser: Browser, file: Path) -> None:
    with opened(browser, file, "phone") as (tab, _):
        before = tab.get_attribute("section:visible svg", "viewBox")
        tab.tap("#in")
        near = tab.get_attribute("section:visible svg", "viewBox")
        tab.tap("#whole")
        assert near != before
        assert tab.get_attribute("section:visible svg", "viewBox") == before


def test_without_script_all_pages_stand_there(browser: Browser, file: Path) -> None:
    context = browser.new_context(java_script_enabled=False, offline=True)
    tab = context.new_page()
    tab.goto(file.as_uri())
    assert tab.locator("section svg:visible").count() == 2
    context.close()


def test_hostile_words_do_nothing(browser: Browser, tmp_path: Path) -> None:
    path = made(
        "".join(WORDS[name] for name in ("script", "image", "attribute", "cdata", "style", "template")), tmp_path
    )
    with opened(browser, path, "wide") as (tab, told):
        assert tab.locator("script").count() == 1
        assert tab.locator("img, iframe, foreignObject").count() == 0
        tab.fill("#find", "E1")
        tab.press("#find", "Enter")
        assert told == []


@pytest.mark.pdf
@pytest.mark.parametrize("name", ["script", "typst", "long", "right to left", "control"])
def test_hostile_words_do_not_break_the_pdf(tmp_path: Path, name: str) -> None:
    vehicle = hostile(load_file("examples/vintage-tractor").value, WORDS[name])
    drawings = Drawings(vehicle)
    pages = drawings.pages(drawings.functions[0], layouts_here(None)).value
    for form in ("pdf", "png"):
        path = tmp_path / f"page.{form}"
        outcome = write_drawing(vehicle.name, pages[:1], path)
        assert outcome.problems == ()
        assert path.read_bytes().startswith(b"%PDF-" if form == "pdf" else b"\x89PNG")
