"""Surgery on the lines of a text: only what a change touches is replaced, comments and layout stay."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from loombench.text.draft import Draft
from loombench.text.numbers import Number, read_number
from loombench.text.statements.stretch import UNITS
from loombench.text.statements.wires import Way, is_wire_line, take_apart
from loombench.text.syntax import Line
from loombench.text.tokens import Token, tokens
from loombench.text.units import joined


@dataclass(frozen=True)
class Cut:
    """Replace the characters from `start` to `end` (from 0, exclusive) of a line (from 1) by `text`."""

    line: int
    start: int
    end: int
    text: str


@dataclass(frozen=True)
class Stretch:
    """Where a wire stands: its line taken apart, and which of its stretches it is."""

    line: Line
    way: Way
    index: int

    @property
    def bracket(self) -> tuple[Token, ...]:
        """The tokens in the wire's brackets."""
        return self.way.brackets[self.index]

    @property
    def last(self) -> bool:
        """Whether it is the last stretch of its line."""
        return self.index == len(self.way.brackets) - 1


def cut(text: str, cuts: Iterable[Cut]) -> str:
    """The text with the cuts made; they must not overlap. A line break in a cut's text takes the file's own form."""
    lines = text.splitlines(keepends=True)
    newline = line_break(text)
    for item in sorted(cuts, key=lambda one: (one.line, one.start), reverse=True):
        raw = lines[item.line - 1]
        lines[item.line - 1] = raw[: item.start] + item.text.replace("\n", newline) + raw[item.end :]
    return "".join(lines)


def line_break(text: str) -> str:
    """The line break a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def without_line(text: str, number: int) -> str:
    """The text without a line; a comment that stands at its end stays on a line of its own."""
    lines = text.splitlines(keepends=True)
    raw = lines[number - 1]
    found = tokens(raw)
    tail = raw[found[-1].end - 1 :].strip() if found else ""
    lines[number - 1] = tail + line_break(text) if tail else ""
    return "".join(lines)


def with_lines(text: str, after: int, added: Sequence[str]) -> str:
    """The text with lines put in after a line (0: at the top)."""
    newline = line_break(text)
    lines = text.splitlines(keepends=True)
    if after and lines and not lines[after - 1].endswith(("\n", "\r")):
        lines[after - 1] += newline
    lines[after:after] = [line + newline for line in added]
    return "".join(lines)


def find_stretch(text: str, number: int, column: int) -> Stretch | None:
    """The stretch that begins at a column of a line."""
    raw = text.splitlines()[number - 1]
    every = tokens(raw)
    first = next((at for at, token in enumerate(every) if token.column == column), None)
    if first is None:
        return None
    for start in range(first + 1):
        line = Line("", number, every[start:])
        way = take_apart(Draft(), line) if is_wire_line(line) else None
        if way is not None:
            index = next((at for at, point in enumerate(way.points[:-1]) if point.column == column), None)
            return None if index is None else Stretch(line, way, index)
    return None


def number_cut(line: Line, found: Sequence[Token], units: Sequence[str], text: str, behind: Token) -> Cut:
    """Replace the number of one of those units among tokens, or put it in behind a token."""
    for token in joined(tuple(found), dict.fromkeys(units, ""), every_spelling=True):
        number = read_number(token.text) if token.is_word() else None
        if isinstance(number, Number) and number.unit in units:
            return Cut(line.number, token.column - 1, token.end - 1, text)
    lead = "" if behind.is_mark("(") else " "
    trail = " " if behind.is_mark("(") and found else ""
    return Cut(line.number, behind.end - 1, behind.end - 1, f"{lead}{text}{trail}")


def colour_cut(stretch: Stretch, text: str) -> Cut:
    """Replace the colour in a wire's brackets, or put it in at their beginning."""
    words: list[Token] = []
    skip = False
    for token in joined(stretch.bracket, UNITS, every_spelling=True):
        if skip or token.is_word("via", "at", "in"):
            skip = not skip
        elif token.is_word() and not re.match(r"[\d?+\-.#]", token.text):
            words.append(token)
    number = stretch.line.number
    if words:
        return Cut(number, words[0].column - 1, words[-1].end - 1, text)
    unknown = next((token for token in stretch.bracket if token.is_word("?")), None)
    if unknown is not None:
        return Cut(number, unknown.column - 1, unknown.end - 1, text)
    opening = opening_of(stretch)
    return Cut(number, opening.end - 1, opening.end - 1, f"{text} " if stretch.bracket else text)


def opening_of(stretch: Stretch) -> Token:
    """The bracket that opens a wire's."""
    point = stretch.way.points[stretch.index]
    at = stretch.line.tokens.index(point)
    return stretch.line.tokens[at + 1]


def point_cut(number: int, token: Token, text: str) -> Cut:
    """Replace a point."""
    return Cut(number, token.column - 1, token.end - 1, text)
