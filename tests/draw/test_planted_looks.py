"""What lies on what, as a browser shows it: a page written by hand, sound, and with one fault at a time."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page as Tab

from benchmarks.drawnlooks import Looks, looks, seen_in
from benchmarks.drawnpage import read_page
from tests.browser import browser_page

pytestmark = pytest.mark.chromium

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="140mm" viewBox="0 0 100 140">'
STYLE = 'fill="none" stroke="#111" stroke-width="0.3"'


def part(name: str, x: float, y: float, kind: str = "lamp", extra: str = "") -> str:
    """A box of 10 mm by 10 mm with pins at the middle of its top and bottom, its name inside."""
    head = f'<g class="part" data-part="{name}" data-kind="{kind}" transform="translate({x} {y})">'
    box = f'<rect width="10" height="10" {STYLE}/><text x="1" y="6" font-size="3">{name}</text>'
    pins = (f'<circle class="pin" data-pin="{name}.{n}" cx="5" cy="{y}" r="0.1"/>' for n, y in ((1, 0), (2, 10)))
    return f"{head}{box}{extra}{''.join(pins)}</g>"


def wire(name: str, points: str) -> str:
    return f'<polyline class="wire" data-wire="{name}" points="{points}" {STYLE}/>'


def label(text: str, x: float, y: float) -> str:
    """A label with its middle on x and y, over white."""
    ground = f'<rect class="label-ground" x="{x - 4}" y="{y - 1.7}" width="8" height="3.4" fill="#fff"/>'
    words = f'<text class="label" x="{x}" y="{y + 0.9}" font-size="2.5" text-anchor="middle">{text}</text>'
    return f"<g>{ground}{words}</g>"


TWO = part("E1", 10, 10) + part("E2", 10, 60)
WIRE = wire("a", "15,20 15,60")
SOUND = TWO + WIRE + label("BK 1.5", 15, 40)


@pytest.fixture(scope="module")
def tab() -> Iterator[Tab]:
    with browser_page() as page:
        yield page


def seen(tab: Tab, marks: str, holders: dict[str, set[str]] | None = None) -> Looks:
    text = f"{HEAD}{marks}</svg>"
    tab.set_content(f'<body style="margin:0">{text}</body>')
    return looks(seen_in(tab), read_page(text), holders)


def test_a_sound_page(tab: Tab) -> None:
    assert seen(tab, SOUND) == Looks()


def test_boxes_are_measured_in_mm(tab: Tab) -> None:
    tab.set_content(f'<body style="margin:0">{HEAD}{SOUND}</svg></body>')
    found = seen_in(tab)
    assert next(shape["box"] for shape in found["shapes"] if shape["part"] == "E2") == [10, 60, 20, 70]
    assert found["shown_mm"] == pytest.approx([100, 140], abs=0.01)
    name = next(text for text in found["texts"] if text["text"] == "E1")
    assert name["size_mm"] == pytest.approx(3)
    # Capitals of the usual typefaces stand 0.65 to 0.8 of the size above the line.
    assert 1.9 < name["box"][3] - name["box"][1] < 2.5
    assert name["box"][3] == pytest.approx(16, abs=0.1)


def words(text: str, x: float, y: float, size: float = 3) -> str:
    return f'<text x="{x}" y="{y}" font-size="{size}">{text}</text>'


ON, LABELS, SMALL, CUT = "overlaps", "labels_on_symbols", "small_texts", "cut_off"
OVER = TWO + part("E3", 30, 30) + wire("a", "15,20 15,35 50,35 50,50 15,50 15,60")
OWN = TWO + wire("a", "15,20 15,5 50,5 50,60 15,60")
RATED = part("E3", 40, 40, extra=words("7.5 A", 7, 6))
FILLED = '<g class="part" data-part="E3"><rect x="40" y="40" width="30" height="30" fill="#fff" stroke="#111"/></g>'
DOT = '<circle class="joint" cx="15" cy="41" r="0.5"/>'
STEPPED = TWO + wire("a", "15,20 15,40 16,40 16,60") + label("BK 1.5", 15, 40)
HALVED = f'<g transform="scale(0.5)">{words("note", 99, 99, 4)}</g>'
PLANTED = {
    "symbols": (SOUND + part("E3", 19, 65), ON, "symbol E2 lies on symbol E3"),
    "through another": (OVER, ON, "wire a goes through symbol E3"),
    "through its own": (OWN, ON, "wire a goes through its own symbol E1"),
    "text on text": (SOUND + words("one", 41, 40) + words("two", 44, 41), ON, "'one' at"),
    "text on its symbol": (SOUND + RATED, ON, "'7.5 A' of E3"),
    "name over a symbol": (SOUND + words("W", 8, 15), ON, "lies on a rect of E1"),
    "wire through a text": (SOUND + words("note", 12, 30), ON, "wire a goes through 'note'"),
    "label on a symbol": (TWO + WIRE + label("BK 1.5", 15, 20.5), LABELS, "'BK 1.5'"),
    "label in a filled one": (TWO + WIRE + FILLED + label("BK 1.5", 55, 55), LABELS, "lies on a rect of E3"),
    "second wire under a label": (SOUND + wire("b", "5,40 60,40"), ON, "covers a second wire"),
    "a dot under a label": (SOUND + DOT, ON, "covers a dot"),
    "a corner under a label": (STEPPED, ON, "covers a corner"),
    "small": (SOUND + words("note", 50, 50, 2.4), SMALL, "'note' at"),
    "small by its group": (SOUND + HALVED, SMALL, "2.00 mm"),
    "off the page": (SOUND + words("too long a note", 90, 50), CUT, "'too long a note'"),
    "off below": (SOUND + part("E3", 50, 131), CUT, "of E3 is partly off"),
}


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_found(tab: Tab, name: str) -> None:
    marks, figure, told = PLANTED[name]
    found = getattr(seen(tab, marks), figure)
    assert any(told in one for one in found), found


def test_what_sits_in_a_holder_may_lie_inside(tab: Tab) -> None:
    box = '<g class="part" data-part="B1" data-kind="carrier"><rect x="5" y="5" width="30" height="30"'
    marks = f"{box} {STYLE}/></g>{part('F1', 10, 10)}{part('E2', 10, 60)}{wire('a', '15,20 15,60')}"
    assert seen(tab, marks, {"F1": {"B1"}}) == Looks()
    assert seen(tab, marks).overlaps == ("symbol B1 lies on symbol F1", "wire a goes through symbol B1")


def test_two_symbols_of_one_part_are_two(tab: Tab) -> None:
    twice = TWO + part("E3", 30, 10) + part("E3", 30, 60).replace("E3.", "E3.x") + wire("a", "15,20 15,40 35,40 35,60")
    assert seen(tab, twice) == Looks()
    assert seen(tab, twice + part("E4", 33, 65)).overlaps[0] == "symbol E3 (2) lies on symbol E4"
