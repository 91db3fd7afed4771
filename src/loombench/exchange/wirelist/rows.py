"""The rows of a wire list as they stand: which of them are wires, and the texts of each, nothing understood yet."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from loombench.base.problems import Level, Span
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import EXPONENT, FAULT, NUMBER, Row, Sheet
from loombench.exchange.texts import Texts
from loombench.exchange.wirelist import words
from loombench.exchange.wirelist.altered import restored
from loombench.exchange.wirelist.columns import Columns
from loombench.exchange.wirelist.layout import Layout

FROM, TO = "from", "to"


@dataclass
class RawEnd:
    """One end of a row: connector and cavity as written, or both in `joined`; `lost` where a spreadsheet spoilt it."""

    holder: str = ""
    cavity: str = ""
    joined: str = ""
    terminal: str = ""
    seal: str = ""
    lost: bool = False
    column: int = -1


@dataclass
class RawWire:
    """One wire's row; `says` are the texts of its other fields, `exact` the fields stored as numbers in a workbook."""

    sheet: Sheet
    row: Row
    ends: tuple[RawEnd, RawEnd]
    says: dict[str, str] = field(default_factory=dict)
    exact: frozenset[str] = frozenset()
    options: tuple[str, ...] = ()

    @property
    def number(self) -> str:
        """What is printed on the wire."""
        return self.says.get("wire_no", "")

    @property
    def span(self) -> Span:
        """The place of the row."""
        return self.sheet.where(self.row)


class RowReader:
    """Reads the rows of one sheet."""

    def __init__(self, sheet: Sheet, columns: Columns, layout: Layout, notes: Notes, counts: Counter[str]) -> None:
        self.sheet, self.columns, self.layout, self.notes, self.counts = sheet, columns, layout, notes, counts
        self.texts = Texts(sheet.label, notes)
        self.kinds = _kind_column(sheet, columns)
        self.above = {FROM: "", TO: ""}
        self.sides = {
            side: tuple(columns.of(name) for name in (f"{side}_conn", f"{side}_cavity", side, f"{side}_terminal",
                                                      f"{side}_seal"))
            for side in (FROM, TO)
        }  # fmt: skip
        self.fields = tuple((name, at) for name, at in columns.at if not name.startswith((FROM, TO, "option:")))

    def wires(self) -> Iterator[RawWire]:
        """The rows that are wires, in order."""
        heads = tuple(word for word in self.columns.header.cells if word) if self.columns.header else ()
        for row in self.sheet.rows[self.columns.first :]:
            self.counts["row"] += 1
            if row.cells[0].startswith("#") and not re.fullmatch(r"#\s?\w+", row.cells[0]):
                self.counts["comment"] += 1
            elif heads and tuple(word for word in row.cells if word) == heads:
                self.counts["heading"] += 1
            elif not self._is_wire(row):
                self.counts["other"] += 1
            else:
                wire = self._wire(row)
                if any(end.holder or end.joined or end.cavity for end in wire.ends) or (wire.number and row.filled > 2):
                    yield wire
                else:
                    self.counts["heading"] += 1

    def _is_wire(self, row: Row) -> bool:
        if self.kinds < 0:
            return True
        kind = row.cell(self.kinds)
        if words.means(kind, words.WIRE) or words.means(kind, words.CORE):
            return True
        if kind and not words.means(kind, words.NO_WIRE):
            self.notes.add("list-row-kind", Level.WARNING, self.sheet.where(row, self.kinds), kind=kind[:40])
        return False

    def _wire(self, row: Row) -> RawWire:
        says: dict[str, str] = {}
        exact: set[str] = set()
        for name, at in self.fields:
            text = row.cell(at)
            if not text:
                continue
            kind = row.kinds.get(at, "")
            if name == "remark":
                says[name] = self.texts.words(text, row.line)
            else:
                says[name] = self.texts.name(text, row.line)
            if kind in (NUMBER, EXPONENT):
                exact.add(name)
        return RawWire(self.sheet, row, (self._end(row, FROM), self._end(row, TO)), says, frozenset(exact))

    def _end(self, row: Row, side: str) -> RawEnd:
        conn, cavity, joined, terminal, seal = self.sides[side]
        end = RawEnd(column=max(conn, joined))
        end.holder, lost = self._key(row, conn)
        end.cavity, no_cavity = self._key(row, cavity)
        end.joined, no_joined = self._key(row, joined)
        end.lost = lost or no_cavity or no_joined
        if end.joined and (end.holder or end.cavity):
            end.holder, end.joined = end.holder or end.joined, ""
        if end.cavity and not end.holder and not lost and self.above[side]:
            end.holder = self.above[side]
            self.notes.add("list-carried", Level.NOTE, self.sheet.where(row, end.column), holder=end.holder)
        self.above[side] = "" if lost else end.holder
        if terminal >= 0:
            end.terminal = self.texts.name(row.cell(terminal), row.line)
        if seal >= 0:
            end.seal = self.texts.name(row.cell(seal), row.line)
        return end

    def _key(self, row: Row, at: int) -> tuple[str, bool]:
        """A name or cavity, and whether it is lost: made into a date or a power of ten, or a formula that failed."""
        text = row.cell(at)
        kind = row.kinds.get(at, "") if row.kinds else ""
        if kind == FAULT:
            self.notes.add("list-cell-altered", Level.WARNING, self.sheet.where(row, at), seen="?", may="?")
            return "", True
        if not text:
            return "", False
        kept, may = restored(text, kind, self.layout.dates)
        if kept is None:
            self.notes.add("list-cell-altered", Level.WARNING, self.sheet.where(row, at), seen=text[:40], may=may)
            return "", True
        return self.texts.name(kept, row.line), False


def _kind_column(sheet: Sheet, columns: Columns) -> int:
    """The column that says what each row is: named so, or the first one, without a head of any meaning."""
    at = columns.of("row_kind")
    if at < 0 and 0 in columns.unknown:
        at = 0
    if at < 0:
        return -1
    met = [row.cell(at) for row in sheet.rows[columns.first :] if row.cell(at)]
    known = sum(1 for kind in met if any(words.means(kind, one) for one in (words.WIRE, words.CORE, words.NO_WIRE)))
    wires = any(words.means(kind, words.WIRE) or words.means(kind, words.CORE) for kind in met)
    return at if wires and 2 * known > len(met) else -1
