"""All symbols on one sheet: every part of a kind on the pages of the kinds, and cases that those pages lack."""

from pathlib import Path

from loombench.draw.shapes import Symbol
from loombench.draw.shapesvg import page_svg, symbol_svg
from loombench.draw.symbol import symbol_of
from loombench.text.load import load_text
from tests.guard.pages import blocks

PAGES = Path(__file__).parents[2] / "docs" / "kinds"
WIDTH_MM, GAP_MM = 297.0, 5.0


def kind_symbols() -> tuple[Symbol, ...]:
    """The symbol of the first part of its kind on each kind's page, in the order of the kinds' names."""
    found: list[Symbol] = []
    for path in sorted(PAGES.glob("*.md")):
        circuits = [block.text for block in blocks(path.read_text(encoding="utf-8")) if block.info[:1] == ("circuit",)]
        for text in circuits[:1] if path.stem != "README" else ():
            parts = load_text(text, f"{path.stem}.circuit").value.parts.values()
            found.append(next(symbol_of(part) for part in parts if part.kind == path.stem))
    return tuple(found)


def sheet(symbols: tuple[Symbol, ...], title: str) -> str:
    """The symbols row by row as one SVG page."""
    x, y, row, body = GAP_MM, GAP_MM, 0.0, ""
    for symbol in symbols:
        if x + symbol.width_mm > WIDTH_MM - GAP_MM:
            x, y, row = GAP_MM, y + row + GAP_MM, 0.0
        body += symbol_svg(symbol, x, y)
        x, row = x + symbol.width_mm + GAP_MM, max(row, symbol.height_mm)
    return page_svg(body, WIDTH_MM, y + row + GAP_MM, title, "Symbols of the kinds of parts")
