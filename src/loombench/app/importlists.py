"""Wire lists as somebody looks at them before they are imported: what each column was taken for, and the first rows."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from io import BytesIO
from types import MappingProxyType

from loombench.exchange.detect import WIRELIST, detect
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import Sheet
from loombench.exchange.tables.read import read_tables
from loombench.exchange.wirelist.columns import WIRES, find_columns
from loombench.exchange.wirelist.layout import AUTOMATIC, FIELDS, Layout

MOST_ROWS, MOST_COLUMNS, MOST_LETTERS, MOST_HEADERS = 5, 60, 40, 12
MEANINGS = FIELDS
"""What a column of a wire list can be said to mean."""


@dataclass(frozen=True)
class Said:
    """What somebody said of one list: what columns mean, from 0, and the line of the heads (0: found, -1: none)."""

    columns: Mapping[int, str]
    header_line: int = 0


@dataclass(frozen=True)
class ListSeen:
    """A table: its kind (`wires`, `connectors` ..., empty for none), its columns by head, meaning and whether that was
    found without being said; the lines heads may stand on, the one taken, and the first rows."""

    file: str
    sheet: str
    kind: str
    heads: tuple[str, ...]
    meanings: tuple[str, ...]
    header_line: int
    lines: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    count: int


def layouts_of(
    files: Mapping[str, bytes], said: Mapping[tuple[str, str], Said], general: Layout = AUTOMATIC
) -> Mapping[str, Layout]:
    """The layout of each file of which something was said that is not found anyway; of several sheets the first."""
    found: dict[str, Layout] = {}
    for sheet in _sheets(files):
        one = said.get((sheet.file, sheet.name))
        if one is None or sheet.file in found:
            continue
        base = replace(general, sheet=sheet.name, header_line=one.header_line)
        taken = _meanings(sheet, base)
        told = tuple(
            (at, meaning)
            for at, meaning in sorted(one.columns.items())
            if meaning in FIELDS and (taken[at] if at < len(taken) else "") != meaning
        )
        if told or one.header_line:
            found[sheet.file] = replace(base, columns=told)
    return MappingProxyType(found)


def lists_seen(files: Mapping[str, bytes], layouts: Mapping[str, Layout]) -> tuple[ListSeen, ...]:
    """All tables of the files, as they are understood with those layouts."""
    return tuple(_seen(sheet, _own(sheet, layouts.get(sheet.file, AUTOMATIC))) for sheet in _sheets(files))


def _sheets(files: Mapping[str, bytes]) -> tuple[Sheet, ...]:
    found: list[Sheet] = []
    for name, data in files.items():
        if detect(BytesIO(data)).format == WIRELIST:
            found += read_tables(data, name, Notes())
    return tuple(found)


def _own(sheet: Sheet, layout: Layout) -> Layout:
    return layout if not layout.sheet or layout.sheet == sheet.name else AUTOMATIC


def _meanings(sheet: Sheet, layout: Layout) -> tuple[str, ...]:
    """What each column is taken for, empty for what is not known."""
    columns = find_columns(sheet, layout)
    width = max((len(row.cells) for row in sheet.rows), default=0)
    meanings = [""] * max(width, len(columns.heads))
    for field, at in columns.at:
        if 0 <= at < len(meanings):
            meanings[at] = field
    for at, meaning in layout.columns:
        if meaning == "ignored" and at < len(meanings):
            meanings[at] = meaning
    return tuple(meanings)


def _seen(sheet: Sheet, layout: Layout) -> ListSeen:
    columns = find_columns(sheet, layout)
    meanings = _meanings(sheet, layout)[:MOST_COLUMNS]
    heads = tuple(columns.heads[at] if at < len(columns.heads) else "" for at in range(len(meanings)))
    data = sheet.rows[columns.first :] or sheet.rows
    rows = tuple(tuple(row.cell(at)[:MOST_LETTERS] for at in range(len(meanings))) for row in data[:MOST_ROWS])
    line = columns.header.line if columns.header is not None else layout.header_line
    lines = tuple(row.line for row in sheet.rows[:MOST_HEADERS])
    return ListSeen(sheet.file, sheet.name, columns.kind, heads, meanings, line, lines, rows, len(data))


def is_wires(one: ListSeen) -> bool:
    """Whether columns of it can be said to mean something else: a list of wires, or of nothing known."""
    return one.kind in (WIRES, "")
