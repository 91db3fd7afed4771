"""Typical values: a name, a value with the range met in practice, a unit and the provenance."""

from dataclasses import dataclass
from functools import cache

from loombench.facts.table import Provenance, TableError, load_table


@dataclass(frozen=True)
class Typical:
    """`low <= value <= high` in `unit`; the range is what a sound part may have."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    provenance: Provenance


@cache
def typical_values(table: str) -> tuple[Typical, ...]:
    """All typical values of a table with the columns name, value, low, high, unit.

    Raises:
        TableError: the table is broken, a range is out of order, or a name is double.
    """
    found: list[Typical] = []
    names: set[str] = set()
    for row in load_table(table):
        name, value = row.text("name"), row.number("value")
        low, high = row.number("low"), row.number("high")
        if not low <= value <= high:
            raise TableError(row.file, row.line, f"{low} <= {value} <= {high} does not hold")
        if name in names:
            raise TableError(row.file, row.line, f"the name {name!r} is there twice")
        names.add(name)
        found.append(Typical(name, value, low, high, row.text("unit"), row.provenance))
    return tuple(found)


@cache
def typical(table: str, name: str) -> Typical:
    """One typical value of a table.

    Raises:
        KeyError: the table has no such name.
    """
    for entry in typical_values(table):
        if entry.name == name:
            return entry
    raise KeyError(f"{table}.csv has no {name!r}; there are {', '.join(entry.name for entry in typical_values(table))}")
