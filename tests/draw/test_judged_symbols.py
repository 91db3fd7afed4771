"""Every kind of part, in every position it can be in, as a browser shows its symbol: nothing lies on anything."""

from collections.abc import Iterator
from itertools import islice, product

import pytest

from benchmarks.drawnlooks import Looks, looks, seen_in
from benchmarks.drawnpage import read_page
from loombench.draw.shapes import PULLED, Symbol, Wanted
from loombench.draw.shapesvg import page_svg, symbol_svg
from loombench.draw.symbol import symbol_of
from loombench.text.load import load_file
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Part
from tests.browser import browser_page

pytestmark = pytest.mark.chromium
VEHICLES = ("library-van", "tipper-tarpaulin", "recovery-truck", "flatbed-indicators")
MOST_STATES = 2
ACROSS_MM = 400.0
# A stroke stands half its width outside of its middle.
EDGE_MM = 0.45


def parts() -> Iterator[tuple[str, Part]]:
    """One of each kind and number of pins and elements, with the name of its vehicle."""
    met = set()
    for vehicle in VEHICLES:
        for part in load_file(f"examples/{vehicle}").value.parts.values():
            same = (part.kind, len(part.pins), len(part.elements), len(part.controls), part.words)
            if same not in met:
                met.add(same)
                yield vehicle, part


def states(part: Part) -> Iterator[dict[str, str]]:
    """The positions it can be drawn in."""
    if part.kind in ("relay", "timer"):
        yield from ({}, {part.id: PULLED})
        return
    names = [[(control.id, position.name) for position in control.positions] for control in part.controls]
    yield from (dict(chosen) for chosen in islice(product(*names), MOST_STATES))


def laid() -> tuple[str, dict[str, tuple[Symbol, float, float]]]:
    """All symbols beside each other, and where each was put, by part and state."""
    put: dict[str, tuple[Symbol, float, float]] = {}
    x = y = 5.0
    low = 0.0
    marks = []
    for vehicle, part in parts():
        for number, positions in enumerate(states(part)):
            symbol = symbol_of(part, Wanted(positions=positions))
            if x + symbol.width_mm > ACROSS_MM:
                x, y, low = 5.0, y + low + 6, 0.0
            name = f"{vehicle} {part.id} {number}"
            put[name] = (symbol, x, y)
            marks.append(symbol_svg(symbol, x, y).replace(f'data-part="{part.id}"', f'data-part="{name}"'))
            x, low = x + symbol.width_mm + 6, max(low, symbol.height_mm)
    return page_svg("".join(marks), 1000, y + low + 5, "symbols", "all of them"), put


def test_nothing_lies_on_anything() -> None:
    text, put = laid()
    known = {symbol.kind for symbol, _, _ in put.values()}
    assert len(known) > 25
    assert known <= set(KINDS)
    with browser_page() as tab:
        tab.set_content(f'<body style="margin:0">{text}</body>')
        seen = seen_in(tab)
    assert looks(seen, read_page(text)) == Looks()
    out = []
    for one in (*seen["texts"], *seen["shapes"]):
        if one["part"]:
            symbol, x, y = put[one["part"]]
            box = one["box"]
            far = max(x - box[0], y - box[1], box[2] - x - symbol.width_mm, box[3] - y - symbol.height_mm)
            if far > EDGE_MM:
                out.append(
                    f"{symbol.kind} {one['part']}: {one.get('text', one.get('kind'))} {far:.2f} mm out of its box"
                )
    assert out == []
