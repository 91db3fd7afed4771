"""Lines that belong below a part and were not indented: read where they belong, and pointed out."""

import re
from collections.abc import Iterable

from loombench.text.dispatch import HANDLERS
from loombench.text.draft import Draft
from loombench.text.statements.module import CLAUSES
from loombench.text.statements.unit import ELEMENTS
from loombench.text.syntax import Line, Statement

_ENDS = re.compile(r"[^-]+-[^-]+")
_THREE = 3


def gather(draft: Draft, statements: Iterable[Statement]) -> tuple[Statement, ...]:
    """The statements, each with the lines that follow at the margin and can only be its own."""
    made: list[Statement] = []
    for statement in statements:
        above = made[-1] if made else None
        if above is not None and fits_below(above.line, statement.line):
            draft.wrong(
                "indent-missing", statement.line.span(), above.line.span(above.line.tokens[0]),
                word=" ".join(token.text for token in above.line.tokens[:2])[:60],
            )  # fmt: skip
            made[-1] = Statement(above.line, (*above.block, statement.line, *statement.block))
        else:
            made.append(statement)
    return tuple(made)


def fits_below(head: Line, row: Line) -> bool:
    """Whether a line means nothing at the margin and something below that part's."""
    words = row.tokens
    if len(words) < 2 or not words[0].is_word() or words[1].is_mark("(") or row.keyword in HANDLERS:
        return False
    if head.keyword == "module":
        return row.keyword in CLAUSES
    if head.keyword == "carrier":
        return row.keyword == "bar" or (len(words) == _THREE and words[1].is_mark("="))
    if head.keyword == "unit" or (head.keyword == "generic" and not any(token.is_word() for token in head.tokens[2:])):
        ends = _ENDS.fullmatch(row.keyword) is not None and words[1].is_word(*ELEMENTS)
        return ends or row.keyword in ("cam", "process")
    poles = head.keyword == "switch" and not any(token.is_mark("|") or token.is_mark(":") for token in head.tokens)
    return poles and any(token.is_mark("|") for token in words) and any(token.is_mark(":") for token in words)
