"""A problem: a message about the user's data as a record, worded by the catalogue and not here.

It has a code, the places it is about (a clash has two), and the facts its sentences need. The sentences (what was
seen, what was expected, one thing to do) stand in `base/data/<language>/*.toml` under `problem.<code>`, and each code
has a page under `docs/problems/` which is its test.
"""

from dataclasses import dataclass
from enum import Enum

from loombench.base.wording import Catalogue, Fact, Phrase


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
    """One message. `facts` are pairs for the sentences of the catalogue, a name and a text already printed with units,
    or a phrase of the catalogue."""

    code: str
    level: Level
    spans: tuple[Span, ...]
    facts: tuple[tuple[str, Fact], ...] = ()

    def fact(self, name: str) -> str:
        """The fact of that name, a phrase by its key; an empty text where there is none."""
        found = dict(self.facts).get(name, "")
        return found.key if isinstance(found, Phrase) else found


def problem(code: str, level: Level, *spans: Span | None, **facts: object) -> Problem:
    """A problem from keyword facts; places that are None are left out."""
    places = tuple(span for span in spans if span is not None)
    told = ((name, one if isinstance(one, Phrase) else str(one)) for name, one in facts.items())
    return Problem(code, level, places, tuple(told))


def error(code: str, *spans: Span | None, **facts: object) -> Problem:
    """A problem of level error."""
    return problem(code, Level.ERROR, *spans, **facts)


def warning(code: str, *spans: Span | None, **facts: object) -> Problem:
    """A problem of level warning."""
    return problem(code, Level.WARNING, *spans, **facts)


def note(code: str, *spans: Span | None, **facts: object) -> Problem:
    """A problem of level note: worth knowing, nothing to mend."""
    return problem(code, Level.NOTE, *spans, **facts)


def as_json(item: Problem, words: Catalogue) -> dict[str, object]:
    """The problem for machines: code, level, spans, facts, and its sentences."""
    return {
        "code": item.code,
        "level": item.level.value,
        "spans": [
            {"file": span.file, "line": span.line, "column": span.column, "end_column": span.end_column}
            for span in item.spans
        ],
        "facts": {name: words.text(fact) for name, fact in item.facts},
        **words.problem(item.code, dict(item.facts)),
    }
