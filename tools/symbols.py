"""Draws the symbols that the pages of `docs/kinds` show anew: `PYTHONPATH=. python tools/symbols.py`."""

from pathlib import Path

from loombench.draw.shapes import Symbol
from loombench.draw.shapesvg import page_svg, symbol_svg
from tests.draw.sheet import PAGES, kind_symbols

EDGE_MM = 2.0


def picture(symbol: Symbol) -> str:
    """The file of one symbol."""
    size = (symbol.width_mm + 2 * EDGE_MM, symbol.height_mm + 2 * EDGE_MM)
    return page_svg(symbol_svg(symbol, EDGE_MM, EDGE_MM), *size, symbol.kind, f"Symbol of a {symbol.kind}")


def main(folder: Path = PAGES / "symbols") -> None:
    """Write them all."""
    folder.mkdir(exist_ok=True)
    for symbol in kind_symbols():
        (folder / f"{symbol.kind}.svg").write_text(picture(symbol), encoding="utf-8")


if __name__ == "__main__":
    main()
