"""Companion lists of a wire list: connectors, pin-outs, splices, grounds, fuses; each row a small record."""

import re
from collections import Counter
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.base.problems import Span
from loombench.exchange.harness import CONNECTOR, RING, SPLICE
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import Row, Sheet
from loombench.exchange.texts import Texts
from loombench.exchange.wirelist.altered import restored
from loombench.exchange.wirelist.columns import CONNECTORS, FUSES, GROUNDS, PINOUT, SPLICES, Columns
from loombench.exchange.wirelist.layout import Layout
from loombench.exchange.wirelist.words import place_word, speaks_of

_MOST_WAYS = 500


@dataclass(frozen=True)
class Entry:
    """A row of a companion list: its name, and its other texts by field."""

    name: str
    says: dict[str, str]
    span: Span

    def __getitem__(self, field: str) -> str:
        return self.says.get(field, "")

    @property
    def ways(self) -> int:
        """The number of cavities of a connector, 0 where it is not said."""
        found = re.match(r"\d{1,3}", self["ways"])
        return min(int(found[0]), _MOST_WAYS) if found else 0


@dataclass
class Companions:
    """All companion lists of one import; the first row of a name counts."""

    connectors: dict[str, Entry] = field(default_factory=dict)
    splices: dict[str, list[Entry]] = field(default_factory=dict)
    grounds: dict[str, Entry] = field(default_factory=dict)
    fuses: dict[str, Entry] = field(default_factory=dict)
    pins: dict[tuple[str, str], Entry] = field(default_factory=dict)
    _held: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def names(self) -> frozenset[str]:
        """The names of connectors that a list gives, with those of splices and grounds; empty without such a list."""
        if not self.connectors and not self.pins:
            return frozenset()
        pinned = {holder for holder, _ in self.pins}
        return frozenset({*self.connectors, *self.splices, *self.grounds, *pinned})

    def kind_of(self, name: str) -> str:
        """What the lists say a holder is, empty where they do not."""
        if name in self.splices:
            return SPLICE
        if self.ground(name):
            return RING
        entry = self.connectors.get(name)
        if entry is None or place_word(name)[0]:
            return ""
        about = f"{entry['description']} {entry['housing']}"
        return SPLICE if speaks_of(about, SPLICE) else RING if speaks_of(about, RING) else CONNECTOR

    def ground(self, name: str) -> Entry | None:
        """The row of a ground."""
        return self.grounds.get(name)

    def ways_of(self, name: str) -> int:
        """The number of cavities of a connector, 0 where it is not said."""
        entry = self.connectors.get(name)
        return entry.ways if entry else 0

    def pins_of(self, name: str) -> tuple[str, ...]:
        """The cavities that the pin-out of a connector names."""
        return self._by_holder().get(name, ())

    def pin_of(self, name: str, number: str) -> str:
        """The cavity in which a pin-out has a wire, empty where it has it in none or in several."""
        found = [cavity for cavity in self.pins_of(name) if number and number in wires_of(self.pins[name, cavity])]
        return found[0] if len(found) == 1 else ""

    def _by_holder(self) -> dict[str, tuple[str, ...]]:
        if not self._held and self.pins:
            for holder, cavity in self.pins:
                if cavity:
                    self._held[holder] = (*self._held.get(holder, ()), cavity)
        return self._held

    def take(self, sheet: Sheet, columns: Columns, layout: Layout, notes: Notes, counts: Counter[str]) -> None:
        """Take the rows of a sheet in."""
        texts, carried = Texts(sheet.label, notes), ""
        key = _KEY[columns.kind]
        for row in sheet.rows[columns.first :]:
            if row.cells[0].startswith("#"):
                continue
            says = {name: self._text(row, at, texts, layout) for name, at in columns.at if name != "ignored"}
            name = next((says[one] for one in key if says.get(one)), "")
            if columns.kind in (PINOUT, SPLICES):
                name = carried = name or carried
            if not name:
                continue
            counts[columns.kind] += 1
            entry = Entry(name, says, sheet.where(row))
            if columns.kind == SPLICES:
                self.splices.setdefault(name, []).append(entry)
            elif columns.kind == PINOUT:
                self.pins.setdefault((name, says.get("cavity", "")), entry)
            else:
                held = {CONNECTORS: self.connectors, GROUNDS: self.grounds, FUSES: self.fuses}[columns.kind]
                held.setdefault(name, entry)

    def _text(self, row: Row, at: int, texts: Texts, layout: Layout) -> str:
        text = row.cell(at)
        kept, _ = restored(text, row.kinds.get(at, ""), layout.dates) if text else ("", "")
        return texts.words(kept or text, row.line)


_KEY = MappingProxyType({
    CONNECTORS: ("connector",), PINOUT: ("connector",), SPLICES: ("splice",), GROUNDS: ("ground", "stud"),
    FUSES: ("fuse", "slot"),
})  # fmt: skip


def wires_of(entry: Entry) -> tuple[str, ...]:
    """The wire numbers a row names, in one cell or in one for each side."""
    text = " ".join(entry[name] for name in ("wires", "wires_left", "wires_right", "wire_no", "circuit"))
    return tuple(dict.fromkeys(word for word in re.split(r"[\s,;+/]+|\band\b|\bund\b", text) if word))
