"""ODS sheets (OpenDocument 1.3, ISO/IEC 26300) as sheets of text cells: the shown text, as far as it is unaltered.

An own reader of the few elements that matter, on the safe XML reader, for the same reasons as `tables.xlsx`. Repeated
cells and rows, by which a file of a few bytes may stand for millions, are spread out only up to the limits.
"""

from math import isfinite

from loombench.exchange.report import Notes
from loombench.exchange.tables.grid import Grid
from loombench.exchange.tables.model import DATE, EXPONENT, NUMBER, Sheet, TableLimits
from loombench.exchange.tables.package import Package
from loombench.exchange.xmlin import Element

_CONTAINERS = ("body", "spreadsheet", "table", "table-row-group", "table-header-rows", "table-rows")
_SKIPPED = ("annotation", "shapes", "tracked-changes", "forms", "custom-shape", "frame", "dde-links", "table-source")
_BLANKS = frozenset({"s", "tab", "line-break"})


def read_ods(package: Package, notes: Notes, limits: TableLimits) -> tuple[Sheet, ...]:
    """The sheets of a document in its order; where `package.sound` is false they are of no use."""
    taker = _Taker(package.file, notes, limits)
    whole = package.read("content.xml", _CONTAINERS, taker.take, _SKIPPED)
    package.sound = package.sound and whole
    if not taker.grids and package.sound:
        package.refuse("no-sheet")
    return tuple(grid.sheet() for grid in taker.grids[: limits.most_sheets]) if package.sound else ()


class _Taker:
    """Puts the cells into one grid for each table."""

    def __init__(self, file: str, notes: Notes, limits: TableLimits) -> None:
        self.file, self.notes, self.limits = file, notes, limits
        self.grids: list[Grid] = []
        self.room = [limits.most_cells]
        self.line = 0

    def take(self, parent: str, element: Element) -> bool:
        if element.tag == "table" and parent == "spreadsheet":
            name = element.attributes.get("name", "")[:60]
            self.grids.append(Grid(self.file, name, self.notes, self.limits, self.room))
            self.line = 0
        elif element.tag == "table-row" and self.grids and len(self.grids) <= self.limits.most_sheets:
            return self._row(self.grids[-1], element)
        return True

    def _row(self, grid: Grid, row: Element) -> bool:
        repeated = _count(row, "number-rows-repeated")
        cells: list[tuple[int, str, str]] = []
        column = 0
        for cell in row.children:
            if cell.tag not in ("table-cell", "covered-table-cell"):
                continue
            text, kind = _value(cell) if cell.tag == "table-cell" else ("", "")
            times = _count(cell, "number-columns-repeated")
            if text:
                cells += [(at, text, kind) for at in range(column, min(column + times, self.limits.most_columns))]
                if column + times > self.limits.most_columns:
                    grid.leave_out("columns", self.line + 1, limit=self.limits.most_columns)
            grid.merge(self.line + 1, column, self.line + _count(cell, "number-rows-spanned"))
            column += times
        if len(cells) * repeated > self.room[0] or (cells and repeated > self.limits.most_rows):
            grid.refuse(self.line + 1)
            return False
        for line in range(self.line + 1, self.line + repeated + 1) if cells else ():
            if not all(grid.put(line, at, text, kind) for at, text, kind in cells):
                return False
        self.line += repeated
        return True


def _count(element: Element, name: str) -> int:
    text = element.attributes.get(name, "")
    return max(int(text), 1) if text.isascii() and text.isdigit() and len(text) < 10 else 1


def _value(cell: Element) -> tuple[str, str]:
    shown = " ".join(_flat(child) for child in cell.all("p")).strip()
    kind = cell.attributes.get("value-type", "")
    if kind == "date":
        return cell.attributes.get("date-value", shown)[:10], DATE
    if kind != "float":
        return shown, ""
    stored = cell.attributes.get("value", "")
    try:
        value = float(stored)
    except ValueError:
        return shown, ""
    if shown.isdigit() and float(shown) == value:
        return shown, ""
    if not isfinite(value):
        return shown, ""
    plain = f"{int(value)}" if abs(value) < 1e15 and value == int(value) else f"{value:.15g}"
    return plain, (EXPONENT if "E+" in shown.upper() or "E-" in shown.upper() else NUMBER)


def _flat(element: Element) -> str:
    if element.tag in _BLANKS:
        return " "
    return element.text + "".join(_flat(child) for child in element.children)
