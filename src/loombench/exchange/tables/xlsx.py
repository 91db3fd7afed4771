"""XLSX workbooks (Office Open XML, ECMA-376) as sheets of text cells.

An own reader of the few elements that matter, on the safe XML reader: it needs no further library, sees the stored text
beside the number format, and so can tell what a spreadsheet has altered. A number is given as it is stored, with the
leading zeros its format shows; a date (which `1-2` becomes when typed) and a power of ten (`10E4`) are given as such
and marked, since what was typed can no longer be told.
"""

import re
from datetime import date, timedelta
from math import isfinite
from posixpath import dirname, join, normpath

from loombench.exchange.report import Notes
from loombench.exchange.tables.grid import Grid
from loombench.exchange.tables.model import DATE, EXPONENT, FAULT, NUMBER, Sheet, TableLimits
from loombench.exchange.tables.package import Package
from loombench.exchange.xmlin import Element

_DATE_FORMATS = frozenset({*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)})
_POWER_FORMATS = frozenset({11, 48})
_ASIDE = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]|_.|\*.')
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?(\d{1,7})")
_MOST_MERGED = 50_000
_EPOCH, _EPOCH_1904 = date(1899, 12, 30), date(1904, 1, 1)


def read_xlsx(package: Package, notes: Notes, limits: TableLimits) -> tuple[Sheet, ...]:
    """The sheets of a workbook in its order, hidden ones too; where `package.sound` is false they are of no use."""
    book = _Book(package, limits)
    book.open()
    room, sheets = [limits.most_cells], list[Sheet]()
    for name, part in book.sheets[: limits.most_sheets]:
        grid = Grid(package.file, name, notes, limits, room)
        package.sound = package.read(part, ("sheetData", "mergeCells"), _Taker(book, grid).take) and package.sound
        if not package.sound:
            return ()
        sheets.append(grid.sheet())
    return tuple(sheets)


class _Book:
    """What the cells of all sheets refer to: shared texts and formats."""

    def __init__(self, package: Package, limits: TableLimits) -> None:
        self.package, self.limits = package, limits
        self.sheets: list[tuple[str, str]] = []
        self.texts: list[str] = []
        self.letters = 0
        self.custom: dict[int, str] = {}
        self.formats: list[int] = []
        self.epoch = _EPOCH

    def open(self) -> None:
        main = next((path for kind, path in self._related("_rels/.rels", "").values() if kind == "officeDocument"), "")
        main = main or "xl/workbook.xml"
        related = self._related(join(dirname(main), "_rels", main.rpartition("/")[2] + ".rels"), dirname(main))
        self.package.read(main, ("sheets",), lambda parent, element: self._workbook(parent, element, related))
        for kind, path in related.values():
            if kind == "sharedStrings":
                self.package.read(path, (), self._text, ("rPh",))
            elif kind == "styles":
                self.package.read(path, ("numFmts", "cellXfs"), self._style)
        if not self.sheets:
            self.package.refuse("no-sheet")

    def _related(self, part: str, folder: str) -> dict[str, tuple[str, str]]:
        found: dict[str, tuple[str, str]] = {}

        def take(parent: str, element: Element) -> bool:
            target = element.attributes.get("Target", "")
            if (
                parent
                and element.attributes.get("TargetMode") != "External"
                and len(found) < 2 * self.limits.most_sheets
            ):
                path = target[1:] if target.startswith("/") else normpath(join(folder, target))
                kind = element.attributes.get("Type", "").rpartition("/")[2]
                found[element.attributes.get("Id", "")] = (kind, path)
            return True

        self.package.read(part, (), take)
        return found

    def _workbook(self, parent: str, element: Element, related: dict[str, tuple[str, str]]) -> bool:
        if element.tag == "workbookPr" and element.attributes.get("date1904", "") in ("1", "true"):
            self.epoch = _EPOCH_1904
        elif parent == "sheets" and element.tag == "sheet":
            kind, path = related.get(element.id, ("", ""))
            if kind == "worksheet":
                self.sheets.append((element.attributes.get("name", "")[:60], path))
        return True

    def _text(self, parent: str, element: Element) -> bool:
        if parent and element.tag == "si":
            text = flat(element)[: self.limits.longest_cell]
            self.letters += len(text) + 20
            self.texts.append(text)
            if self.letters > self.limits.largest_part:
                self.package.refuse("texts")
                return False
        return True

    def _style(self, parent: str, element: Element) -> bool:
        if parent == "numFmts":
            self.custom[_whole(element.attributes.get("numFmtId", ""))] = element.attributes.get("formatCode", "")[:200]
        elif parent == "cellXfs":
            self.formats.append(_whole(element.attributes.get("numFmtId", "")))
        return True

    def value(self, cell: Element) -> tuple[str, str]:
        """A cell's text and kind."""
        kind, text = cell.attributes.get("t", "n"), cell.say("v").strip()
        if kind == "s":
            place = _whole(text)
            known = text.isascii() and text.isdigit() and place < len(self.texts)
            return (self.texts[place], "") if known else ("", FAULT)
        if kind == "inlineStr":
            inline = cell.first("is")
            return (flat(inline) if inline is not None else ""), ""
        if kind == "e":
            return "", FAULT
        if kind == "d":
            return text[:10], DATE
        if kind in ("str", "b") or not text:
            return text, ""
        return self._number(text, _whole(cell.attributes.get("s", "0")))

    def _number(self, text: str, style: int) -> tuple[str, str]:
        number = self.formats[style] if 0 <= style < len(self.formats) else 0
        code = _ASIDE.sub("", self.custom.get(number, "")).split(";")[0].lower()
        try:
            value = float(text)
        except ValueError:
            return text, ""
        if not isfinite(value):
            return text, ""
        if number in _DATE_FORMATS or (re.search(r"[dmy]", code) and "general" not in code):
            return (self._date(value), DATE)
        plain = f"{int(value)}" if value == int(value) and abs(value) < 1e15 else f"{value:.15g}"
        if number in _POWER_FORMATS or "e+" in code or "e-" in code:
            return plain, EXPONENT
        if code and set(code) == {"0"} and plain.isdigit():
            return plain.zfill(min(len(code), 20)), ""
        return plain, NUMBER

    def _date(self, value: float) -> str:
        try:
            return (self.epoch + timedelta(days=int(value))).isoformat()
        except (OverflowError, ValueError):
            return f"{value:.15g}"


class _Taker:
    """Puts the cells of one sheet into its grid."""

    def __init__(self, book: _Book, grid: Grid) -> None:
        self.book, self.grid, self.line = book, grid, 0

    def take(self, parent: str, element: Element) -> bool:
        if parent == "sheetData" and element.tag == "row":
            self.line = _whole(element.attributes.get("r", "")) or self.line + 1
            column = -1
            for cell in element.all("c"):
                placed = _REFERENCE.fullmatch(cell.attributes.get("r", ""))
                column = _column(placed[1]) if placed else column + 1
                text, kind = self.book.value(cell)
                if kind == FAULT and cell.attributes.get("t") == "s":
                    self.grid.leave_out("no-text-there", self.line)
                if not self.grid.put(self.line, column, text, kind):
                    return False
        elif parent == "mergeCells" and len(self.grid.merged) < _MOST_MERGED:
            ends = _REFERENCE.findall(element.attributes.get("ref", "")[:40])
            if len(ends) == 2:
                (left, top), (_, bottom) = ends
                self.grid.merge(int(top), _column(left), int(bottom))
        return True


def flat(element: Element) -> str:
    """All text in an element, in order."""
    return element.text + "".join(flat(child) for child in element.children)


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
