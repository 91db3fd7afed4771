"""Faces of plugs, the plan of places and the trees of vehicles, as a browser shows them: nothing lies on anything."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page as Tab

from benchmarks.drawnlooks import Looks, looks, seen_in
from benchmarks.drawnpage import read_page
from benchmarks.drawnsafe import unsafe
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.places import places_svg
from loombench.draw.treepages import ground_pages, power_pages
from loombench.text.load import load_file
from loombench.vehicle.model import Vehicle
from tests.browser import browser_page
from tests.draw.hostile import WORDS, hostile

pytestmark = pytest.mark.chromium
VEHICLES = ("library-van", "livestock-trailer", "vintage-tractor")
MOST_FACES = 3


def sheets(vehicle: Vehicle) -> Iterator[str]:
    """The pages that tell of a vehicle beside its circuits, and the faces of some plugs."""
    yield from places_svg(vehicle)
    yield from power_pages(vehicle, {})
    yield from ground_pages(vehicle, {})
    connectors = [part for part in vehicle.parts.values() if part.kind == "connector"]
    for part in sorted(connectors, key=lambda one: (-len(one.pins), one.id))[:MOST_FACES]:
        for half in part.halves:
            for side in ("wires", "mating"):
                yield face_svg(vehicle, FaceAsked(part.id, half=half, cavity=part.pins[-1], seen_from=side))


@pytest.fixture(scope="module")
def tab() -> Iterator[Tab]:
    with browser_page() as page:
        yield page


def wrong(tab: Tab, svg: str) -> object:
    tab.set_content(f'<body style="margin:0">{svg}</body>')
    found = looks(seen_in(tab), read_page(svg))
    return (found, unsafe(svg)) if (found, unsafe(svg)) != (Looks(), ()) else None


@pytest.mark.parametrize("name", VEHICLES)
def test_nothing_lies_on_anything(tab: Tab, name: str) -> None:
    made = list(sheets(load_file(f"examples/{name}").value))
    assert len(made) > 2
    assert [found for found in (wrong(tab, svg) for svg in made) if found] == []


@pytest.mark.parametrize("name", ["long", "long words", "script", "right to left", "emoji", "lines"])
def test_hostile_words_neither_break_nor_overflow(tab: Tab, name: str) -> None:
    made = list(sheets(hostile(load_file("examples/cases/2-wiper.circuit").value, WORDS[name])))
    assert [found for found in (wrong(tab, svg) for svg in made) if found] == []
