"""A problem: a message about the user's data as a record, worded by the catalogue and not here.

It has a code, the places it is about (a clash has two), and the facts its sentences need. The sentences (what was
seen, what was expected, one thing to do) stand in `base/data/<language>/*.toml` under `problem.<code>`, and each code
has a page under `docs/problems/` which is its test.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum


class Level(Enum):
    """How bad: an error keeps something from being understood, a warning and a note do not."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, order=True)
class Span:
    """A place in a text: file as the user named it, line and columns counted from 1, end column exclusive."""

    file: str
    line: int
    column: int = 1
    end_column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True)
class Problem:
    """One message. `facts` are (name, text) pairs for the sentences of the catalogue, already printed with units."""

    code: str
    level: Level
    spans: tuple[Span, ...]
    facts: tuple[tuple[str, str], ...] = ()

    def fact(self, name: str) -> str:
        """The fact of that name, or an empty text."""
        return dict(self.facts).get(name, "")


def problem(code: str, level: Level, *spans: Span | None, **facts: object) -> Problem:
    """A problem from keyword facts; places that are None are left out."""
    places = tuple(span for span in spans if span is not None)
    return Problem(code, level, places, tuple((name, str(value)) for name, value in facts.items()))


def error(code: str, *spans: Span | None, **facts: object) -> Problem:
    """A problem of level error."""
    return problem(code, Level.ERROR, *spans, **facts)


def warning(code: str, *spans: Span | None, **facts: object) -> Problem:
    """A problem of level warning."""
    return problem(code, Level.WARNING, *spans, **facts)


def note(code: str, *spans: Span | None, **facts: object) -> Problem:
    """A problem of level note: worth knowing, nothing to mend."""
    return problem(code, Level.NOTE, *spans, **facts)


def as_json(item: Problem, sentences: Mapping[str, str]) -> dict[str, object]:
    """The problem for machines: code, level, spans, facts, and its sentences as given."""
    return {
        "code": item.code,
        "level": item.level.value,
        "spans": [
            {"file": span.file, "line": span.line, "column": span.column, "end_column": span.end_column}
            for span in item.spans
        ],
        "facts": dict(item.facts),
        **sentences,
    }
