"""A condition laid over a drawing: each pin says its volts, on paper, by key and under the finger."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from benchmarks.drawnlooks import Looks, looks, seen_in
from benchmarks.drawnpage import read_page, whole
from loombench.app.drawing import Drawings, layouts_here
from loombench.app.drawnstate import overlay_of
from loombench.text.load import load_file
from tests.draw.test_judged_viewer import ON, TELEHANDLER, made, opened, started

pytestmark = pytest.mark.chromium


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made("", tmp_path_factory.mktemp("condition"))


@pytest.fixture(scope="module")
def browser(file: Path) -> Iterator[Browser]:
    assert file.is_file()
    with started() as browser:
        yield browser


def test_volts_stand_on_the_page_and_on_nothing_else(browser: Browser) -> None:
    vehicle = load_file(TELEHANDLER).value
    drawings = Drawings(vehicle)
    overlay = overlay_of(vehicle, ON).value
    boom = next(one for one in drawings.functions if "E7" in one.loads)
    (page,) = drawings.pages(boom, layouts_here(None), overlay).value
    tab = browser.new_page()
    tab.set_content(f'<body style="margin:0">{page.svg}</body>')
    seen, read = seen_in(tab), read_page(page.svg)
    assert looks(seen, whole(read), {"F12": {"B1"}}) == Looks()
    words = " ".join(text["text"] for text in seen["texts"])
    # Nought at the battery's own minus and at a stud beside it need not be said.
    silent = [name for name, part in vehicle.parts.items() if part.kind in ("battery", "stud", "body")]
    pins = {pin.name for pin in read.pins if pin.name in overlay.volts and pin.part not in silent}
    assert {"E7.1", "E7.2", "S4.1", "F12.out"} <= pins
    assert [name for name in sorted(pins) if overlay.volts[name] not in words] == []
    assert {read_page(page.svg).wires[0].claims} & overlay.live


def test_a_pin_says_its_volts_by_key(browser: Browser, file: Path) -> None:
    """The boom work lamp is on: its feed has the battery's voltage."""
    with opened(browser, file, "wide") as (tab, _):
        tab.fill("#find", "E7.1")
        tab.press("#find", "Enter")
        said = tab.inner_text("#said")
        assert "E7.1" in said
        assert " V" in said


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_a_pin_says_its_volts_under_the_finger(browser: Browser, file: Path, size: str) -> None:
    with opened(browser, file, size) as (tab, told):
        for _ in range(3):
            tab.tap("#in")
        tab.fill("#find", "E7")
        tab.press("#find", "Enter")
        box = tab.locator('section:visible [data-pin="E7.1"]').first.bounding_box()
        assert box is not None
        tab.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        said = tab.inner_text("#said")
        assert said.startswith("E7.1")
        assert " V" in said
        assert told == []
