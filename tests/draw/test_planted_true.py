"""A label or a colour that is not the wire's is found."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page as Tab

from benchmarks.drawnlooks import seen_in
from benchmarks.drawnpage import read_page
from benchmarks.drawntrue import nearest, wrong_colours, wrong_labels
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle
from tests.browser import browser_page

pytestmark = pytest.mark.chromium
CIRCUIT = """loombench 1
vehicle "Two wires" 12V
colours DIN
lamp E1 12V 5W
lamp E2 12V 5W
E1.1 (rt/ws 1.5mm2 1m) E2.1
E1.2 (br 1.5mm2 1m) E2.2
"""
STRIPED, PLAIN = "20,10 20,60", "40,10 40,60"


@pytest.fixture(scope="module")
def tab() -> Iterator[Tab]:
    with browser_page() as page:
        yield page


@pytest.fixture(scope="module")
def vehicle() -> Vehicle:
    return load_text(CIRCUIT).value


def line(kind: str, points: str, colour: str, name: str = "") -> str:
    claims = f'data-wire="{name}"' if name else ""
    return f'<polyline class="{kind}" {claims} points="{points}" fill="none" stroke="{colour}" stroke-width="0.5"/>'


def label(text: str, x: float) -> str:
    return f'<text class="label" x="{x}" y="36" font-size="2.5" text-anchor="middle">{text}</text>'


def said(tab: Tab, vehicle: Vehicle, red: str, stripe: str, labels: tuple[str, str]) -> list[str]:
    marks = line("wire", STRIPED, red, "E1.1~E2.1") + (line("wire-stripe", STRIPED, stripe) if stripe else "")
    marks += line("wire", PLAIN, "#7a4a21", "E1.2~E2.2") + "".join(map(label, labels, (20, 40)))
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">{marks}</svg>'
    tab.set_content(text)
    page, seen = read_page(text), seen_in(tab)
    return [*wrong_labels(vehicle, page, seen), *wrong_colours(vehicle, page, seen)]


def test_true_ones(tab: Tab, vehicle: Vehicle) -> None:
    assert said(tab, vehicle, "#d2232a", "#ffffff", ("rt/ws 1.5", "br 1.5")) == []
    assert said(tab, vehicle, "#d2232a", "#ffffff", ("RD/WH", "BN")) == []


@pytest.mark.parametrize(
    ("red", "stripe", "labels", "told"),
    [
        ("#1f5fbf", "#ffffff", ("rt/ws", "br"), "is red and painted"),
        ("#d2232a", "", ("rt/ws", "br"), "has no stripe that looks white"),
        ("#d2232a", "#1d8a3a", ("rt/ws", "br"), "has no stripe that looks white"),
        ("#d2232a", "#ffffff", ("br", "rt/ws"), "label 'br' is on wire E1.1~E2.1"),
        ("#d2232a", "#ffffff", ("rt", "br"), "label 'rt' is on wire E1.1~E2.1"),
        ("#d2232a", "#ffffff", ("rt/ws", " "), "wire E1.2~E2.2 has no label"),
        ("#d2232a", "#ffffff", ("rt/ws 2.5", "br"), "has no 2.5"),
    ],
)
def test_a_planted_fault_is_found(
    tab: Tab, vehicle: Vehicle, red: str, stripe: str, labels: tuple[str, str], told: str
) -> None:
    assert any(told in one for one in said(tab, vehicle, red, stripe, labels))


def test_colours_are_told_apart() -> None:
    assert nearest("rgb(210, 35, 42)")[0] == "red"
    assert nearest("rgb(31, 95, 191)")[0] == "blue"
