"""Where a part's name stands in a text: each word that refers to it, and no word that only looks like it."""

import re
from collections.abc import Iterator

from loombench.text.edit_lines import Cut
from loombench.text.statements.wires import is_wire_line
from loombench.text.syntax import Line, Statement, read_statements
from loombench.text.tokens import Token
from loombench.vehicle.kinds import KINDS

_REFERRING = ("strap", "cable", "class")
"""Statements in which further words name parts."""


def rename_cuts(text: str, file: str, old: str, new: str) -> list[Cut]:
    """The cuts that give a part another name in this text."""
    pattern = re.compile(rf"(?:(?<=^)|(?<=~)){re.escape(old)}(?=$|[./@>~#])")
    made: dict[tuple[int, int], Cut] = {}
    for statement in read_statements(text, file).value:
        for line, token in _references(statement):
            for match in pattern.finditer(token.text):
                start = token.column - 1 + match.start()
                made[line.number, start] = Cut(line.number, start, start + len(old), new)
    return list(made.values())


def _references(statement: Statement) -> Iterator[tuple[Line, Token]]:
    """The words of a statement that name parts."""
    line = statement.line
    words = line.tokens
    if words[0].is_word("if") and len(words) > 2:
        words = words[3:] if words[1].is_word("not") else words[2:]
        line = Line(line.file, line.number, words)
    if not words:
        return
    yield from _of_line(line)
    inside = words[0].text if words[0].is_word() else ""
    for row in statement.block:
        if inside == "carrier":
            yield from ((row, token) for token in row.tokens if token.is_word() and token.text != "bar")
        elif inside not in (*KINDS, "face"):
            yield from _of_line(row)


def _of_line(line: Line) -> Iterator[tuple[Line, Token]]:
    words = line.tokens
    first = words[0].text
    if (len(words) > 1 and words[1].is_mark("(")) or is_wire_line(line):
        yield from ((line, token) for token in _of_wires(words))
    elif first == "change":
        yield from ((line, token) for token in words[4:] if token.is_word())
    elif first == "stud":
        yield from ((line, token) for at, token in enumerate(words) if at == 1 or words[at - 1].is_word("on"))
    elif first in _REFERRING:
        rest = words[1:] if first != "class" else words[2:]
        yield from ((line, token) for token in _but_places(rest))
    elif first == "plug" and words[-2:-1] and words[-2].is_word("into"):
        yield line, words[-1]
    elif first in (*KINDS, "face") and len(words) > 1:
        yield line, words[1]


def _but_places(words: tuple[Token, ...]) -> Iterator[Token]:
    for at, token in enumerate(words):
        if token.is_word() and not (at and words[at - 1].is_word("at", "class")):
            yield token


def _of_wires(words: tuple[Token, ...]) -> Iterator[Token]:
    depth = 0
    for at, token in enumerate(words):
        if token.is_mark("("):
            depth += 1
        elif token.is_mark(")"):
            depth -= 1
        elif token.is_word() and (depth == 0 or (at and words[at - 1].is_word("in"))):
            yield token
