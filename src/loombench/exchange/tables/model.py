"""Tables as read: sheets of rows of text cells, each with its line, and what a spreadsheet did to a cell."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.base.problems import Span

NUMBER, DATE, EXPONENT, FAULT = "number", "date", "exponent", "fault"
"""Kinds of cells that are not plain text: a number with a decimal point whatever the file's language, a text that a
spreadsheet made into a date or into a power of ten, and a formula that failed (its text is left empty)."""


@dataclass(frozen=True)
class TableLimits:
    """Far above real lists (6,000 wires of 30 columns are 180,000 cells), low enough that no file stalls the bench.

    `largest_file` counts bytes of the file, `largest_part` bytes of one unpacked part of a workbook; `most_cells` and
    `most_rows` of all sheets together, `most_columns` of a row; `longest_cell` characters: what is longer is cut.
    """

    largest_file: int = 64_000_000
    largest_part: int = 256_000_000
    most_sheets: int = 100
    most_rows: int = 60_000
    most_columns: int = 512
    most_cells: int = 2_000_000
    longest_cell: int = 2_000


TABLE_LIMITS = TableLimits()


@dataclass(frozen=True)
class Row:
    """One row: the line it begins on (of a workbook: its row number), its cells, the kinds of those not plain text."""

    line: int
    cells: tuple[str, ...]
    kinds: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))

    def cell(self, column: int) -> str:
        """The text of a column, empty where the row is shorter or the column is -1."""
        return self.cells[column] if 0 <= column < len(self.cells) else ""

    @property
    def filled(self) -> int:
        """How many cells hold something."""
        return sum(1 for cell in self.cells if cell)


@dataclass(frozen=True)
class Sheet:
    """A table: its file, its name within a workbook, its rows without empty ones.

    `lines` are the lines of a text file and `delimiter` what parts their cells, so that a cell's place can be told.
    """

    file: str
    name: str
    rows: tuple[Row, ...]
    lines: tuple[str, ...] = ()
    delimiter: str = ""

    @property
    def label(self) -> str:
        """The file, and which sheet of it."""
        return f"{self.file}[{self.name}]" if self.name else self.file

    def where(self, row: Row, column: int = -1) -> Span:
        """The place of a cell, or of the row; in a workbook columns are counted as its letters are (A is 1)."""
        if not self.lines:
            return Span(self.label, row.line, max(column, 0) + 1, max(column, 0) + 2)
        if column < 0:
            return Span(self.label, row.line)
        start = self._starts(row)
        if column >= len(start) - 1:
            return Span(self.label, row.line)
        return Span(self.label, row.line, start[column] + 1, max(start[column + 1], start[column] + 2))

    def _starts(self, row: Row) -> tuple[int, ...]:
        """Where each cell of a row begins in its line, and one more for the end; only the line of a cell is looked at,
        so that cells behind a line break within quotes have no place of their own."""
        line = self.lines[row.line - 1] if 0 < row.line <= len(self.lines) else ""
        starts, quoted = [0], False
        for place, mark in enumerate(line):
            if mark == '"' and (quoted or starts[-1] == place):
                quoted = not quoted
            elif mark == self.delimiter and not quoted:
                starts.append(place + 1)
        return (*starts, len(line) + 1)


def split_line(line: str, delimiter: str, strict: bool = True) -> list[str]:
    """The cells of one line; of a broken one, without `strict`, as if quotes meant nothing.

    Raises:
        csv.Error: strict, and a quote is not closed.
    """
    if not delimiter:
        return [line]
    if strict:
        return next(csv.reader([line], delimiter=delimiter, strict=True), [])
    return [cell.strip('"') for cell in line.split(delimiter)]
