"""Options of a wire list: a column of conditions, or one column of marks for each variant of a 150 % list."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from loombench.exchange.conditions import always, codes_in, option_code
from loombench.exchange.harness import Option
from loombench.exchange.tables.model import Row, Sheet
from loombench.exchange.wirelist.columns import Columns
from loombench.exchange.wirelist.heads import read_head
from loombench.exchange.wirelist.layout import OPTION
from loombench.exchange.wirelist.words import marked


@dataclass(frozen=True)
class Variants:
    """The columns of marks of a sheet: column, code, and the head as written."""

    columns: tuple[tuple[int, str, str], ...] = ()

    def of(self, row: Row) -> tuple[str, ...] | None:
        """The codes a row is marked for; empty where that is all of several, None where it is none of several."""
        found = tuple(code for at, code, head in self.columns if marked(row.cell(at), head))
        if len(self.columns) == 1:
            return found
        if len(found) == len(self.columns):
            return ()
        return found or None


def find_variants(sheet: Sheet, columns: Columns) -> Variants:
    """The columns of marks: those the caller names, and those without a known head in which there are only marks.

    One such column alone may be anything (`checked`), so it counts only where its head speaks of options.
    """
    told = tuple(
        (at, option_code(field.removeprefix(OPTION)) or f"V{at + 1}", field.removeprefix(OPTION))
        for field, at in columns.at
        if field.startswith(OPTION)
    )
    rows = sheet.rows[columns.first :]
    found = [at for at in columns.unknown if at < len(columns.heads) and _only_marks(rows, at, columns.heads[at])]
    if len(found) == 1 and not _of_option(columns.heads[found[0]]):
        found = []
    taken: dict[str, int] = {code: 1 for _, code, _ in told}
    made = []
    for at in found:
        code = option_code(columns.heads[at]) or f"V{at + 1}"
        taken[code] = taken.get(code, 0) + 1
        made.append((at, code if taken[code] == 1 else f"{code}_{taken[code]}", columns.heads[at]))
    return Variants((*told, *made))


def _only_marks(rows: Sequence[Row], at: int, head: str) -> bool:
    if not head:
        return False
    says = [marked(row.cell(at), head) for row in rows if row.filled > 2]
    return None not in says and True in says and (False in says or _of_option(head))


def _of_option(head: str) -> bool:
    return bool(head) and read_head(re.split(r"[\s_.:-]", head)[0]).thing == "option"


def conditions(said: str, marks: tuple[str, ...]) -> tuple[str, ...]:
    """The conditions of a wire from its cell of conditions and its marks: both have to hold."""
    if not said or always(said):
        return marks
    return tuple(f"({said})+{mark}" for mark in marks) or (said,)


def options(variants: Iterable[Variants], said: Iterable[str]) -> tuple[Option, ...]:
    """All codes a list knows, with the heads of their columns as words."""
    found: dict[str, str] = {}
    for variant in variants:
        for _, code, head in variant.columns:
            found.setdefault(code, head)
    for text in said:
        for code in codes_in(text) or ((text,) if text and not always(text) else ()):
            found.setdefault(code, "")
    return tuple(Option(code, "" if words == code else words) for code, words in found.items())
