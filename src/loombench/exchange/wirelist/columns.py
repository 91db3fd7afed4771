"""What each column of a sheet means: the row of heads is found by what it says, wherever it stands.

The heads of a wire list name two sides of the same things. They may say the side, or repeat (`Connector, Pin,
Connector, Pin`), or stand in two lines, the side above the thing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from loombench.exchange.tables.model import Row, Sheet
from loombench.exchange.wirelist.heads import END, FROM, SIDE_A, SIDE_B, TO, Head, read_head
from loombench.exchange.wirelist.layout import AUTOMATIC, FIELDS, Layout

WIRES, CONNECTORS, PINOUT, SPLICES, GROUNDS, FUSES = "wires", "connectors", "pinout", "splices", "grounds", "fuses"
_LOOKED_AT = 80
_SHORT = MappingProxyType({"connector": "conn"})
_TWICE = ("connector", "cavity", "terminal", "seal", "strip")
_OF_CONNECTOR = frozenset({"housing", "ways", "description", "place", "mating", "part_no", "colour", "remark"})


@dataclass(frozen=True)
class Columns:
    """The columns of a sheet.

    Attributes:
        kind: what the sheet is, one of the words above, or empty.
        at: field and column, each field once, in the order of the columns.
        heads: the texts of the heads by column.
        first: index of the first row of data among the sheet's rows.
        units: the units that heads give, by field.
        unknown: columns whose head says nothing known; twice: columns left out since another means the same.
    """

    kind: str
    at: tuple[tuple[str, int], ...]
    heads: tuple[str, ...]
    first: int
    units: tuple[tuple[str, str], ...] = ()
    unknown: tuple[int, ...] = ()
    twice: tuple[int, ...] = ()
    header: Row | None = None

    def of(self, field: str) -> int:
        """The column of a field, -1 where there is none."""
        return self._by_field.get(field, -1)

    @cached_property
    def _by_field(self) -> Mapping[str, int]:
        return MappingProxyType(dict(self.at))


def find_columns(sheet: Sheet, layout: Layout = AUTOMATIC) -> Columns:
    """The best row of heads in a sheet, with what the layout says put over it; kind empty where there is none."""
    if layout.header_line < 0:
        return _told(Columns("", (), (), 0), layout)
    rows = sheet.rows[:_LOOKED_AT]
    if layout.header_line:
        found = [(at, row) for at, row in enumerate(sheet.rows) if row.line == layout.header_line][:1]
        return _told(_columns(found[0][1].cells, found[0][0] + 1, found[0][1]), layout) if found else _no_columns(sheet)
    best, worth = _no_columns(sheet), 1
    for at, row in enumerate(rows):
        options = [_columns(row.cells, at + 1, row)]
        if at + 1 < len(rows) and row.filled > 1 and 2 * _heads(rows[at + 1].cells) > rows[at + 1].filled:
            options.append(_columns(_stacked(row.cells, rows[at + 1].cells), at + 2, rows[at + 1]))
        for one in options:
            value = len(one.at) + (100 if one.kind == WIRES else 50 if one.kind else 0)
            if len(one.at) > 1 and value > worth:
                best, worth = one, value
    return _told(best, layout)


def _no_columns(sheet: Sheet) -> Columns:
    return Columns("", (), (), len(sheet.rows))


def _heads(cells: Sequence[str]) -> int:
    return sum(1 for cell in cells if read_head(cell).thing not in ("", END))


def _stacked(above: Sequence[str], below: Sequence[str]) -> tuple[str, ...]:
    """Two lines of heads as one: what stands above counts on to the right until the next."""
    heads, group = list[str](), ""
    for at, head in enumerate((*below, *[""] * (len(above) - len(below)))):
        group = above[at] if at < len(above) and above[at] else group
        alone = read_head(head).thing not in ("", END) and read_head(group).thing != END
        heads.append(head if alone or group == head else f"{group} {head}")
    return tuple(heads)


def _columns(cells: Sequence[str], first: int, header: Row) -> Columns:
    heads = [read_head(cell) for cell in cells]
    fields, twice = _fields(heads)
    at: dict[str, int] = {}
    units: dict[str, str] = {}
    for column, field in enumerate(fields):
        if not field or field == "ignored":
            continue
        if field in at:
            twice.append(column)
            continue
        at[field] = column
        if heads[column].unit:
            units[field] = heads[column].unit
    unknown = tuple(column for column, field in enumerate(fields) if not field and column not in twice)
    kind = _kind(frozenset(at))
    return Columns(kind, tuple(at.items()), tuple(cells), first, tuple(units.items()), unknown, tuple(twice), header)


def _fields(heads: Sequence[Head]) -> tuple[list[str], list[int]]:
    """The field of each column, and the columns that say what two others have said already."""
    sided = [_side_told(head, heads) for head in heads]
    twice: list[int] = []
    have = {(head.thing, head.side) for head in sided}
    sides = {side for _, side in have if side}
    for thing in _TWICE:
        alone = [at for at, head in enumerate(sided) if head.thing == thing and not head.side]
        free = [side for side in (FROM, TO) if (thing, side) not in have]
        if len(alone) >= 2 or (alone and sides & {FROM, TO}):
            for at, side in zip(alone, free, strict=False):
                sided[at] = replace(sided[at], side=side)
            twice += alone[len(free) :]
    fields = [_field(head, at, sided) for at, head in enumerate(sided)]
    for at in twice:
        fields[at] = ""
    return _settled(fields), twice


def _side_told(head: Head, heads: Sequence[Head]) -> Head:
    """The head with its side as from or to: `a` is the first of two, or the Italian and Spanish word for to."""
    if head.side not in (SIDE_A, SIDE_B) or head.thing == "colour":
        return head
    sides = {one.side for one in heads if one.thing != "colour"}
    second = head.side == SIDE_B or (FROM in sides and TO not in sides)
    return replace(head, side=TO if second else FROM)


def _field(head: Head, at: int, heads: Sequence[Head]) -> str:
    if head.thing == "colour":
        return "stripe" if head.side == SIDE_B else "colour"
    if head.thing == "unit":
        before = next((one.thing for one in reversed(heads[:at]) if one.thing), "")
        return f"{before}_unit" if before in ("size", "length") else ""
    if not head.side:
        return head.thing
    if head.thing == END:
        split = any(one.thing == "cavity" and one.side == head.side for one in heads)
        return f"{head.side}_conn" if split else head.side
    return f"{head.side}_{_SHORT.get(head.thing, head.thing)}"


def _settled(fields: list[str]) -> list[str]:
    """Fields whose word means one thing or another, by what else there is."""
    if _kind(frozenset(fields)) != WIRES:
        if "connector" not in fields and "housing" in fields:
            fields[fields.index("housing")] = "connector"
        return fields
    either = (("circuit", "wire_no", "signal"), ("row_no", "wire_no", ""), ("description", "remark", ""))
    for word, first, second in either:
        for at, field in enumerate(fields):
            if field == word:
                fields[at] = first if first not in fields else second if second and second not in fields else "ignored"
    return [field if field in FIELDS else "" for field in fields]


def _kind(fields: frozenset[str]) -> str:
    if fields & {"from", "from_conn"} and fields & {"to", "to_conn"}:
        return WIRES
    if "splice" in fields and fields & {"wires", "wires_left", "wires_right", "wire_no"}:
        return SPLICES
    if "fuse" in fields or {"slot", "rating"} <= fields:
        return FUSES
    if {"connector", "cavity"} <= fields:
        return PINOUT
    if "connector" in fields and fields & _OF_CONNECTOR:
        return CONNECTORS
    if fields & {"ground", "stud"} and len(fields) > 1:
        return GROUNDS
    return SPLICES if "splice" in fields and len(fields) > 1 else ""


def _told(found: Columns, layout: Layout) -> Columns:
    """The columns with the caller's own meanings put over those of the heads."""
    if not layout.columns:
        return found
    told = dict(layout.columns)
    at = {field: column for field, column in found.at if column not in told and field not in told.values()}
    at.update({field: column for column, field in told.items() if field not in ("", "ignored")})
    unknown = tuple(column for column in found.unknown if column not in told)
    twice = tuple(column for column in found.twice if column not in told)
    kind = _kind(frozenset(at))
    return replace(found, kind=kind, at=tuple(at.items()), unknown=unknown, twice=twice)
