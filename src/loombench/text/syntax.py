"""Text as statements: one a line, with the indented lines that belong to it. Never raises; each line fails alone."""

from dataclasses import dataclass

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error
from loombench.text.limits import LIMITS, Limits
from loombench.text.tokens import OPEN, STRING, Token, tokens


@dataclass(frozen=True)
class Line:
    """A line with its tokens; `number` counts from 1."""

    file: str
    number: int
    tokens: tuple[Token, ...]

    def span(self, token: Token | None = None, last: Token | None = None) -> Span:
        """The place of a token, of a stretch up to `last`, or of the whole line."""
        first = token or self.tokens[0]
        end = last or token or self.tokens[-1]
        return Span(self.file, self.number, first.column, end.end)

    @property
    def keyword(self) -> str:
        """The first token's text."""
        return self.tokens[0].text


@dataclass(frozen=True)
class Statement:
    """A line and the indented lines below it."""

    line: Line
    block: tuple[Line, ...] = ()


def read_statements(text: str, file: str, limits: Limits = LIMITS) -> Outcome[tuple[Statement, ...]]:
    """The statements of a text in order.

    A line that is too long is left out, and one of wires in which a quote does not end; a text with too many statements
    is not read at all, since a part of a vehicle misleads more than none.
    """
    problems: list[Problem] = []
    heads: list[tuple[Line, list[Line]]] = []
    margin: int | None = None
    count = words = 0
    for number, raw in enumerate(text.splitlines(), 1):
        if len(raw) > limits.longest_line:
            place = Span(file, number, 1, 2)
            problems.append(error("line-too-long", place, length=len(raw), limit=limits.longest_line))
            if not raw[0].isspace():
                heads.append((Line(file, number, ()), []))
            continue
        found = tokens(raw)
        if not found:
            continue
        indent = found[0].column - 1
        margin = indent if margin is None else margin
        line = Line(file, number, found)
        if found[-1].kind == OPEN:
            problems.append(error("quote-open", line.span(found[-1]), text=found[-1].text.strip()[:40]))
            line = _closed(line)
        count += 1
        words += len(found)
        if count > limits.most_statements or words > limits.most_words:
            limit = limits.most_statements if count > limits.most_statements else limits.most_words
            return Outcome((), (error("too-many-lines", Span(file, number, indent + 1, indent + 2), limit=limit),))
        if indent <= margin:
            heads.append((line, []))
        elif heads and line.tokens:
            heads[-1][1].append(line)
    made = tuple(Statement(head, tuple(block)) for head, block in heads if head.tokens)
    return Outcome(made, tuple(problems))


def _closed(line: Line) -> Line:
    """The line with its quote closed at its end; nothing of a line of wires, since brackets may be in the text."""
    if any(token.is_mark("(") for token in line.tokens):
        return Line(line.file, line.number, ())
    last = line.tokens[-1]
    text = Token(last.text.strip(), last.column, last.end, STRING)
    return Line(line.file, line.number, (*line.tokens[:-1], text))
