"""A sheet of a workbook while it is read: cells by row and column, merged cells carried to the rows they cover.

They are carried down and not across: a connector over several rows is that of each, a cell over connector and pin is
not both.
"""

from bisect import bisect_left, bisect_right
from types import MappingProxyType

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import FAULT, Row, Sheet, TableLimits
from loombench.exchange.tables.textin import tidy

_FAULTS = frozenset({"#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NULL!", "#NUM!", "#NV", "#BEZUG!", "#WERT!"})


class Grid:
    """Cells of one sheet; `room` counts down over all sheets of a file and stops a flood."""

    def __init__(self, file: str, name: str, notes: Notes, limits: TableLimits, room: list[int]) -> None:
        self.file, self.name, self.notes, self.limits, self.room = file, name, notes, limits, room
        self.rows: dict[int, dict[int, tuple[str, str]]] = {}
        self.merged: list[tuple[int, int, int]] = []

    def put(self, line: int, column: int, text: str, kind: str = "") -> bool:
        """Keep a cell that holds something; false where there are more than the limits allow."""
        if text in _FAULTS:
            text, kind = "", FAULT
        if not text and not kind:
            return True
        if not 0 <= column < self.limits.most_columns:
            self.leave_out("columns", line, limit=self.limits.most_columns)
            return True
        self.room[0] -= 1
        self.rows.setdefault(line, {})[column] = (tidy(text, self.limits.longest_cell), kind)
        if self.room[0] >= 0 and len(self.rows) <= self.limits.most_rows:
            return True
        self.refuse(line)
        return False

    def refuse(self, line: int) -> None:
        """Say that there are more rows or cells than the limits allow."""
        rows, cells = self.limits.most_rows, self.limits.most_cells
        self.notes.add("table-limit", Level.ERROR, Span(self.file, line), limit=rows, cells=cells)

    def leave_out(self, why: str, line: int, **facts: object) -> None:
        """Say that something of a row could not be taken; `why` is a key below `table` in the catalogue."""
        reason = phrase(f"table.{why}", **facts)
        self.notes.add("table-left-out", Level.WARNING, Span(f"{self.file}[{self.name}]", line), reason=reason)

    def merge(self, line: int, column: int, last_line: int) -> None:
        """Remember that a cell covers others below it."""
        if last_line > line:
            self.merged.append((line, column, last_line))

    def sheet(self) -> Sheet:
        """The sheet: its rows in order, what merged cells say in each cell they cover."""
        lines = sorted(self.rows)
        for line, column, last_line in self.merged:
            held = self.rows.get(line, {}).get(column)
            if held is None or self.room[0] <= 0:
                continue
            for one in lines[bisect_left(lines, line) : bisect_right(lines, last_line)]:
                if self.room[0] <= 0:
                    break
                self.room[0] -= 1
                self.rows[one].setdefault(column, held)
        return Sheet(self.file, self.name, tuple(_row(line, self.rows[line]) for line in lines))


def _row(line: int, cells: dict[int, tuple[str, str]]) -> Row:
    texts = [""] * (max(cells) + 1)
    for column, (text, _) in cells.items():
        texts[column] = text
    kinds = {column: kind for column, (_, kind) in cells.items() if kind}
    return Row(line, tuple(texts), MappingProxyType(kinds))
