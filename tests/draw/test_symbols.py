"""Symbols: their pins stand on the raster and on the edge, and their texts lie inside the box."""

import xml.etree.ElementTree as ET

import pytest

from loombench.draw.shapes import BOTTOM, LEFT, RASTER_MM, RIGHT, TOP, Symbol
from loombench.draw.shapesvg import symbol_svg
from loombench.draw.symbols.frame import text_bottom_mm, text_right_mm
from tests.draw.sheet import kind_symbols, sheet

SYMBOLS = kind_symbols()


def complaints(symbol: Symbol) -> list[str]:
    """What is wrong with the pins and the box of a symbol."""
    said: list[str] = []
    edges = {TOP: ("y", 0.0), BOTTOM: ("y", symbol.height_mm), LEFT: ("x", 0.0), RIGHT: ("x", symbol.width_mm)}
    for pin in symbol.pins:
        axis, edge = edges[pin.side]
        if {"x": pin.x_mm, "y": pin.y_mm}[axis] != pytest.approx(edge):
            said.append(f"{pin.name} is not on the {pin.side}")
        if any(abs(at / RASTER_MM - round(at / RASTER_MM)) > 1e-6 for at in (pin.x_mm, pin.y_mm)):
            said.append(f"{pin.name} is off the raster")
    if len({(pin.x_mm, pin.y_mm) for pin in symbol.pins}) != len(symbol.pins):
        said.append("two pins at one place")
    if text_right_mm(symbol.shapes) > symbol.width_mm or text_bottom_mm(symbol.shapes) > symbol.height_mm:
        said.append("a text sticks out")
    return said


@pytest.mark.parametrize("symbol", SYMBOLS, ids=lambda symbol: symbol.kind)
def test_a_symbol_keeps_to_its_box_and_to_the_raster(symbol: Symbol) -> None:
    assert complaints(symbol) == []
    ET.fromstring(symbol_svg(symbol))


def test_the_sheet_is_one_page_of_all_of_them() -> None:
    root = ET.fromstring(sheet(SYMBOLS, "Symbols"))
    parts = [group.get("data-kind") for group in root.iter("{http://www.w3.org/2000/svg}g")]
    assert parts == [symbol.kind for symbol in SYMBOLS]
