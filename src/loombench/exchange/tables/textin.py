"""Text tables (CSV, TSV and the like): encoding, delimiter, quotes.

The delimiter is the one that parts most lines into equally many cells: with decimal commas and semicolons that is the
semicolon. Every cell stays text, so that `1-2`, `10E4` and `007` are what was written.
"""

import codecs
import csv
from collections import Counter
from collections.abc import Iterator, Sequence

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import Row, Sheet, TableLimits, split_line

_BOMS = (
    (codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF32_LE, "utf-32-le"), (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"),
)  # fmt: skip
_DELIMITERS = (";", "\t", ",", "|")
_TRIED_LINES = 200


def read_text(data: bytes, file: str, notes: Notes, limits: TableLimits, delimiter: str = "") -> Sheet | None:
    """The table of a text file; None where it is no text, with the problem said. `delimiter` as told, or found."""
    text = decoded(data, file, notes)
    if text is None:
        return None
    lines = text.split("\n")
    skip = 0
    if lines and lines[0].lower().startswith("sep=") and len(lines[0]) == 5:
        delimiter, skip = delimiter or lines[0][4], 1
    delimiter = delimiter or found_delimiter(lines[skip : skip + _TRIED_LINES])
    rows: list[Row] = []
    cells_met = 0
    for line, cells in _records(lines, skip, delimiter, file, notes):
        if not any(cells):
            continue
        tidied = tuple(cell and tidy(cell, limits.longest_cell) for cell in cells[: limits.most_columns])
        cells_met += sum(1 for cell in tidied if cell)
        if any(cells[limits.most_columns :]):
            reason = phrase("table.columns", limit=limits.most_columns)
            notes.add("table-left-out", Level.WARNING, Span(file, line), reason=reason)
        if len(rows) >= limits.most_rows or cells_met > limits.most_cells:
            notes.add("table-limit", Level.ERROR, Span(file, line), limit=limits.most_rows, cells=limits.most_cells)
            return None
        if any(tidied):
            rows.append(Row(line, tidied))
    return Sheet(file, "", tuple(rows), tuple(lines), delimiter)


def decoded(data: bytes, file: str, notes: Notes) -> str | None:
    """The text of bytes in UTF-8, UTF-16 or Windows-1252, the last said to be assumed; None where it is no text."""
    for mark, name in _BOMS:
        if data.startswith(mark):
            return _tidy_end(data[len(mark) :].decode(name, "replace"))
    name = "utf-8"
    head = data[:2000]
    if b"\0" in head:
        odd, even = head[1::2].count(0), head[::2].count(0)
        name = "utf-16-le" if odd > even else "utf-16-be"
        if max(odd, even) < 0.35 * len(head):
            notes.add("table-unreadable", Level.ERROR, Span(file, 1), reason=phrase("table.no-text"))
            return None
        return _tidy_end(data.decode(name, "replace"))
    try:
        return _tidy_end(data.decode(name))
    except UnicodeDecodeError as broken:
        start = broken.start
    line = data.count(b"\n", 0, start) + 1
    if start >= len(data) - 3:
        notes.add("table-cut", Level.WARNING, Span(file, line))
        return _tidy_end(data[:start].decode(name))
    notes.add("table-encoding", Level.NOTE, Span(file, line))
    return _tidy_end(data.decode("cp1252", "replace"))


def _tidy_end(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def tidy(cell: str, longest: int) -> str:
    """A cell without the blanks around it, control marks and line breaks as blanks, cut where it is absurdly long."""
    if cell.isalnum() and len(cell) <= longest:
        return cell
    if not cell.isprintable():
        cell = "".join(mark if mark.isprintable() else " " for mark in cell)
    return cell[:longest].strip()


def found_delimiter(lines: Sequence[str]) -> str:
    """The mark that parts most lines into equally many cells, empty where none parts them."""
    best, chosen = 0.0, ""
    filled = [line for line in lines if line.strip()]
    for mark in _DELIMITERS:
        counts = Counter(_cells_in(line, mark) for line in filled)
        counts.pop(1, None)
        if counts:
            cells, lines_so = max(counts.items(), key=lambda item: (item[1], item[0]))
            worth = lines_so / len(filled) * min(cells, 8) ** 0.5
            if worth > best:
                best, chosen = worth, mark
    return chosen


def _cells_in(line: str, mark: str) -> int:
    if '"' not in line:
        return line.count(mark) + 1
    try:
        return len(split_line(line, mark))
    except csv.Error:
        return line.count(mark) + 1


def _records(
    lines: Sequence[str], skip: int, delimiter: str, file: str, notes: Notes
) -> Iterator[tuple[int, Sequence[str]]]:
    """The rows with the line each begins on. A file whose quotes do not close is read line by line instead."""
    if not delimiter:
        yield from ((number, [line]) for number, line in enumerate(lines[skip:], skip + 1))
        return
    try:
        yield from list(_whole(lines, skip, delimiter))
    except csv.Error:
        for number, line in enumerate(lines[skip:], skip + 1):
            try:
                yield number, split_line(line, delimiter)
            except csv.Error:
                notes.add("table-quote", Level.WARNING, Span(file, number))
                yield number, split_line(line, delimiter, strict=False)


def _whole(lines: Sequence[str], skip: int, delimiter: str) -> Iterator[tuple[int, Sequence[str]]]:
    reader = csv.reader((f"{line}\n" for line in lines[skip:]), delimiter=delimiter, strict=True)
    begins = skip + 1
    for cells in reader:
        yield begins, cells
        begins = skip + reader.line_num + 1
