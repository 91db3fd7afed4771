"""Sizes and lengths of all wires of one sheet: the unit of bare numbers is decided for a whole column at a time."""

from collections.abc import Sequence
from dataclasses import dataclass

from loombench.base.problems import Level, Span
from loombench.exchange.report import Notes
from loombench.exchange.wirelist.columns import Columns
from loombench.exchange.wirelist.heads import unit_of
from loombench.exchange.wirelist.layout import Layout
from loombench.exchange.wirelist.numbers import (
    AWG,
    LENGTH_M,
    MM2,
    Amount,
    area_mm2,
    decimal_mark,
    length_m,
    read_amount,
    suggests,
)
from loombench.exchange.wirelist.rows import RawWire

SIZE, LENGTH = "size", "length"
_SHOWN = 4


@dataclass(frozen=True)
class Measured:
    """Area and length of each wire of a sheet, in its order; None where unknown."""

    areas_mm2: tuple[float | None, ...]
    lengths_m: tuple[float | None, ...]


def measure(wires: Sequence[RawWire], columns: Columns, layout: Layout, notes: Notes) -> Measured:
    """Read sizes and lengths, saying what was assumed, what has to be asked, and what could not be read."""
    texts = [wire.says.get(what, "") for wire in wires for what in (SIZE, LENGTH) if what not in wire.exact]
    mark = layout.decimal or decimal_mark(texts)
    sizes = _amounts(wires, SIZE, mark, columns, notes)
    lengths = _amounts(wires, LENGTH, mark, columns, notes)
    size_unit = layout.size_unit or dict(columns.units).get(SIZE, "") or _size_unit(wires, sizes, columns, notes)
    told = layout.length_unit or dict(columns.units).get(LENGTH, "")
    length_unit = told or _length_unit(wires, lengths, columns, notes)
    areas = [_made(one, SIZE, size_unit, wire, columns, notes) for wire, one in zip(wires, sizes, strict=True)]
    metres = [_made(one, LENGTH, length_unit, wire, columns, notes) for wire, one in zip(wires, lengths, strict=True)]
    return Measured(tuple(areas), tuple(metres))


def _amounts(wires: Sequence[RawWire], what: str, mark: str, columns: Columns, notes: Notes) -> list[Amount | None]:
    """The cells of a column; a unit in a column of its own is the cell's."""
    found: list[Amount | None] = []
    for wire in wires:
        text = wire.says.get(what, "")
        amount = read_amount(text, "." if what in wire.exact else mark) if text else None
        if text and (amount is None or amount.unclear):
            where = wire.sheet.where(wire.row, columns.of(what))
            code = "list-number-unread" if amount is None else "list-number-unclear"
            notes.add(code, Level.WARNING, where, text=text[:40])
            amount = None
        beside = wire.says.get(f"{what}_unit", "")
        if amount is not None and beside and not amount.unit:
            unit = unit_of(beside)
            if not unit:
                where = wire.sheet.where(wire.row, columns.of(f"{what}_unit"))
                notes.add("list-number-unread", Level.WARNING, where, text=beside[:40])
            amount = Amount(amount.text, amount.value if unit else None, unit, amount.ought if unit else None)
        found.append(amount)
    return found


def _bare(wires: Sequence[RawWire], amounts: Sequence[Amount | None]) -> list[tuple[RawWire, Amount]]:
    both = zip(wires, amounts, strict=True)
    return [
        (wire, one) for wire, one in both if one is not None and not one.unit and (one.value or one.ought is not None)
    ]


def _size_unit(wires: Sequence[RawWire], amounts: Sequence[Amount | None], columns: Columns, notes: Notes) -> str:
    """The unit of bare sizes that the column shows, empty where it shows both or none."""
    bare = _bare(wires, amounts)
    if not bare:
        return ""
    shown: dict[str, tuple[RawWire, Amount]] = {}
    for wire, one in zip(wires, amounts, strict=True):
        unit = suggests(one) if one is not None and (one.value or one.ought is not None) else ""
        if one is not None and unit:
            shown.setdefault(unit, (wire, one))
    if len(shown) == 1:
        (unit,) = shown
        notes.add(
            "list-unit-assumed", Level.NOTE, _place(bare[0], SIZE, columns), what=SIZE, unit=unit, count=len(bare)
        )
        return unit
    if shown:
        places = (_place(shown[unit], SIZE, columns) for unit in (MM2, AWG))
        facts = {unit: shown[unit][1].text for unit in (MM2, AWG)}
        notes.add("list-size-mixed", Level.WARNING, *places, count=len(bare), **facts)
    else:
        _ask(bare, SIZE, "mm2, awg", columns, notes)
    return ""


def _length_unit(wires: Sequence[RawWire], amounts: Sequence[Amount | None], columns: Columns, notes: Notes) -> str:
    bare = _bare(wires, amounts)
    if bare:
        _ask(bare, LENGTH, ", ".join(LENGTH_M), columns, notes)
    return ""


def _ask(bare: Sequence[tuple[RawWire, Amount]], what: str, units: str, columns: Columns, notes: Notes) -> None:
    seen = ", ".join(dict.fromkeys(one.text for _, one in bare[:_SHOWN]))
    notes.add("list-unit-asked", Level.WARNING, _place(bare[0], what, columns), what=what, seen=seen, units=units)


def _place(one: tuple[RawWire, Amount], what: str, columns: Columns) -> Span:
    return one[0].sheet.where(one[0].row, columns.of(what))


def _made(amount: Amount | None, what: str, unit: str, wire: RawWire, columns: Columns, notes: Notes) -> float | None:
    if amount is None or not (amount.unit or unit) or not (amount.value or amount.ought is not None):
        return None
    made = area_mm2(amount, unit) if what == SIZE else length_m(amount, unit)
    if made is None:
        where = wire.sheet.where(wire.row, columns.of(what))
        notes.add("list-number-unread", Level.WARNING, where, text=amount.text[:40])
    return made
