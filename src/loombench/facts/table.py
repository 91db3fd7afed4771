"""Reading the tables in `data/`: every row says what kind of value it holds, from which source and edition.

A value that is from memory or common practice keeps that mark wherever it is shown, so a row never travels without
its `Provenance`. A row that lacks one is refused: the tables are part of the program, and a fault in one is a fault
of the program, not of the user.
"""

import csv
import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from types import MappingProxyType


class Kind(StrEnum):
    """How far a value is known."""

    PRINTED = "printed"
    COMPUTED = "computed"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    ESTIMATE = "estimate"


@dataclass(frozen=True)
class Provenance:
    """Where a value comes from; `edition` is `not known` where the source was not at hand."""

    kind: Kind
    source: str
    edition: str

    @property
    def checked(self) -> bool:
        """True where the value was read in its source, or computed from a named formula."""
        return self.kind in (Kind.PRINTED, Kind.COMPUTED)


class TableError(ValueError):
    """A table of the program is broken: names the file and the line."""

    def __init__(self, file: str, line: int, what: str) -> None:
        super().__init__(f"{file}, line {line}: {what}")
        self.file = file
        self.line = line


_PROVENANCE = ("kind", "source", "edition")


@dataclass(frozen=True)
class Row:
    """One row of a table; `cells` are the texts of its own columns, without the provenance."""

    file: str
    line: int
    cells: Mapping[str, str]
    provenance: Provenance

    def text(self, column: str) -> str:
        """The text of a column, which may be empty.

        Raises:
            TableError: the table has no such column.
        """
        if column not in self.cells:
            raise TableError(self.file, self.line, f"no column {column!r}; there are {', '.join(self.cells)}")
        return self.cells[column]

    def number_or_none(self, column: str) -> float | None:
        """The finite number in a column, None where the cell is empty.

        Raises:
            TableError: no such column, or the cell holds something else.
        """
        text = self.text(column)
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            raise TableError(self.file, self.line, f"column {column!r} holds {text!r}, expected a number") from None
        if not math.isfinite(value):
            raise TableError(self.file, self.line, f"column {column!r} holds {text!r}, expected a finite number")
        return value

    def number(self, column: str) -> float:
        """The finite number in a column.

        Raises:
            TableError: no such column, or no number in it.
        """
        value = self.number_or_none(column)
        if value is None:
            raise TableError(self.file, self.line, f"column {column!r} is empty, expected a number")
        return value


def read_table(text: str, file: str) -> tuple[Row, ...]:
    """The rows of a table given as CSV text; `file` is its name in messages.

    Raises:
        TableError: a column kind, source or edition is missing or empty, a kind is not one of `Kind`, a row has too
            few or too many cells, a column name is double, or there is no row at all.
    """
    reader = csv.reader(io.StringIO(text), strict=True)
    rows: list[Row] = []
    names: list[str] = []
    try:
        for cells in reader:
            line = reader.line_num
            if not names:
                names = _heading(cells, file, line)
            elif cells:
                rows.append(_row(names, cells, file, line))
    except csv.Error as error:
        raise TableError(file, reader.line_num, f"not CSV: {error}") from error
    if not rows:
        raise TableError(file, max(reader.line_num, 1), "no rows")
    return tuple(rows)


def _heading(names: list[str], file: str, line: int) -> list[str]:
    missing = [name for name in _PROVENANCE if name not in names]
    if missing:
        raise TableError(file, line, f"no column {', '.join(missing)}: every row says its kind, source and edition")
    if len(set(names)) < len(names):
        raise TableError(file, line, "two columns have the same name")
    return names


def _row(names: list[str], cells: list[str], file: str, line: int) -> Row:
    if len(cells) != len(names):
        raise TableError(file, line, f"{len(cells)} cells, expected {len(names)}")
    values = {name: cell.strip() for name, cell in zip(names, cells, strict=True)}
    empty = [name for name in _PROVENANCE if not values[name]]
    if empty:
        raise TableError(file, line, f"{', '.join(empty)} is empty; write 'not known' for an edition that is not known")
    kinds = [kind.value for kind in Kind]
    if values["kind"] not in kinds:
        raise TableError(file, line, f"kind is {values['kind']!r}, expected one of {', '.join(kinds)}")
    provenance = Provenance(Kind(values["kind"]), values["source"], values["edition"])
    own = {name: value for name, value in values.items() if name not in _PROVENANCE}
    return Row(file, line, MappingProxyType(own), provenance)


def table_names() -> tuple[str, ...]:
    """The names of all tables, without `.csv`, in alphabetical order."""
    found = (entry.name for entry in (files("loombench.facts") / "data").iterdir())
    return tuple(sorted(name.removesuffix(".csv") for name in found if name.endswith(".csv")))


@cache
def load_table(name: str) -> tuple[Row, ...]:
    """The rows of the table `data/<name>.csv`, in the order of the file.

    Raises:
        TableError: the table is broken.
        FileNotFoundError: there is no such table.
    """
    file = f"{name}.csv"
    return read_table((files("loombench.facts") / "data" / file).read_text(encoding="utf-8"), file)
