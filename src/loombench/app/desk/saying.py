"""Problems as a page shows them: their sentences, and the line they are about."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loombench.base.problems import Problem
from loombench.base.wording import Catalogue


@dataclass(frozen=True)
class Told:
    """A problem in words. `level` is error, warning or note; `places` are (file, line, column, end column)."""

    code: str
    level: str
    title: str
    seen: str
    expected: str
    fix: str
    places: tuple[tuple[str, int, int, int], ...]


def told(problems: Iterable[Problem], words: Catalogue) -> tuple[Told, ...]:
    """Problems in words, each once."""
    return tuple(_told(one, words) for one in dict.fromkeys(problems))


def _told(one: Problem, words: Catalogue) -> Told:
    said: Mapping[str, str] = words.problem(one.code, dict(one.facts))
    places = tuple((span.file, span.line, span.column, span.end_column) for span in one.spans)
    return Told(one.code, one.level.value, said["title"], said["seen"], said["expected"], said["fix"], places)
