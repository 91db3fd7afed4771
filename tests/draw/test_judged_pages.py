"""Drawn pages of small vehicles held against the vehicle, by code that shares nothing with what draws them."""

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from functools import cache

import pytest
from playwright.sync_api import Page as Tab

from benchmarks.drawncompare import lacking, mismatches
from benchmarks.drawnlooks import Looks, looks, seen_in
from benchmarks.drawnnets import rebuilt
from benchmarks.drawnpage import read_page, whole
from benchmarks.drawnpages import Pages, all_pages
from benchmarks.drawnsafe import unsafe
from benchmarks.drawntrue import UNLABELLED, wrong_colours, wrong_labels
from benchmarks.drawnwanted import wanted
from loombench.text.load import load_file
from loombench.vehicle.model import Vehicle
from tests.browser import browser_page
from tests.draw.hostile import WORDS, hostile

VEHICLES = ("examples/vintage-tractor", "examples/cases/2-wiper.circuit")
SMALL = "examples/vintage-tractor"


@cache
def vehicle(path: str) -> Vehicle:
    return load_file(path).value


@cache
def drawn(path: str) -> tuple[Pages, ...]:
    return tuple(all_pages(vehicle(path)))


@pytest.mark.parametrize("path", VEHICLES)
def test_the_lines_are_the_wires(path: str) -> None:
    """The netlist is rebuilt from the geometry alone; what takes part is searched in the vehicle's graph."""
    assert drawn(path)
    for function in drawn(path):
        pages = [read_page(svg) for svg in function.svgs]
        assert pages, function.problems
        built = rebuilt([whole(page) for page in pages])
        must = wanted(vehicle(path), function.loads)
        wires = {**must.carrying, **must.controlling}
        parts = {**must.parts, **must.control_parts}
        assert built.faults == ()
        assert mismatches(vehicle(path), pages) == ()
        assert lacking(tuple(wires.values()), tuple(parts), pages, built) == ()


@pytest.mark.parametrize("path", VEHICLES)
def test_files_may_be_opened_anywhere(path: str) -> None:
    svgs = [svg for function in drawn(path) for svg in function.svgs]
    assert svgs
    assert [unsafe(svg) for svg in svgs] == [()] * len(svgs)


@pytest.fixture(scope="module")
def tab() -> Iterator[Tab]:
    for path in VEHICLES:
        drawn(path)
    with browser_page() as page:
        yield page


@pytest.mark.chromium
@pytest.mark.parametrize("path", VEHICLES)
def test_nothing_lies_on_anything(tab: Tab, path: str) -> None:
    held: dict[str, set[str]] = {}
    for part in vehicle(path).parts.values():
        held.setdefault(part.id, set()).update({part.holder} - {""})
        for link in part.links:
            for end in link:
                held.setdefault(end.part, set()).add(part.id)
    for function in drawn(path):
        for svg in function.svgs:
            tab.set_content(f'<body style="margin:0">{svg}</body>')
            page, seen = read_page(svg), seen_in(tab)
            assert looks(seen, whole(page), held) == Looks()
            labels = [one for one in wrong_labels(vehicle(path), page, seen) if not one.endswith(UNLABELLED)]
            assert [*labels, *wrong_colours(vehicle(path), page, seen)] == []


@cache
def hostile_page(name: str) -> Pages:
    """The first function of a small vehicle whose every word is hostile."""
    return next(iter(all_pages(hostile(vehicle(SMALL), WORDS[name]))))


@pytest.mark.parametrize("name", WORDS)
def test_hostile_words_are_words(name: str) -> None:
    """Names, labels, colours and places that would be markup stay words, and the page still says what is joined."""
    function = hostile_page(name)
    assert function.problems == ()
    assert function.svgs
    assert [unsafe(svg) for svg in function.svgs] == [()] * len(function.svgs)
    assert rebuilt([whole(read_page(svg)) for svg in function.svgs]).faults == ()


@pytest.mark.chromium
def test_hostile_pages_do_nothing_in_a_browser(tab: Tab) -> None:
    told: list[str] = []
    tab.on("dialog", lambda dialog: (told.append(dialog.message), dialog.dismiss()))
    tab.on("pageerror", lambda error: told.append(str(error)))
    tab.on("request", lambda request: told.append(request.url))
    for name in WORDS:
        tab.set_content(f'<body style="margin:0">{hostile_page(name).svgs[0]}</body>')
        tab.wait_for_timeout(20)
        assert tab.locator("script, img, iframe, foreignObject").count() == 0
        assert tab.locator("svg").count() == 1
    assert told == []


PRINT = """
import hashlib, sys
from benchmarks.drawnpages import all_pages
from loombench.text.load import load_file
for path in sys.argv[1:]:
    for function in all_pages(load_file(path).value):
        for svg in function.svgs:
            print(hashlib.sha256(svg.encode()).hexdigest())
"""


def test_pages_are_the_same_in_every_process() -> None:
    here = [hashlib.sha256(svg.encode()).hexdigest() for path in VEHICLES for one in drawn(path) for svg in one.svgs]
    # This process has some seed of its own.
    environment = os.environ | {"PYTHONHASHSEED": "77", "PYTHONPATH": os.pathsep.join(sys.path)}
    asked = [sys.executable, "-c", PRINT, *VEHICLES]
    told = subprocess.run(asked, env=environment, stdout=subprocess.PIPE, text=True, check=True, timeout=120)
    assert told.stdout.split() == here
