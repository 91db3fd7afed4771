"""What an import did to the data: counted repairs and assumptions, so that nothing is mended in silence.

A file of a hundred thousand wires may need the same repair a hundred thousand times. The first few of each code become
problems with their places, the others are counted.
"""

from collections import Counter
from dataclasses import dataclass, field

from loombench.base.problems import Level, Problem, Span, problem
from loombench.exchange.harness import Harness

SHOWN_OF_EACH = 5


@dataclass(frozen=True)
class Imported:
    """A harness as read, and how it came to be; `harness` is None where nothing of the file may be used.

    Attributes:
        rows: objects or rows looked at, by kind (`row`, `connection` ...), in order.
        repairs: how often each code of a problem was met, sorted by code; `problems` shows the first few of each.
    """

    harness: Harness | None
    rows: tuple[tuple[str, int], ...] = ()
    repairs: tuple[tuple[str, int], ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass
class Notes:
    """Collects problems while one file is read; local to that read."""

    counts: Counter[str] = field(default_factory=Counter)
    problems: list[Problem] = field(default_factory=list)

    def add(self, code: str, level: Level, *spans: Span | None, **facts: object) -> None:
        """Count a problem, and keep it if few of its code came before."""
        self.counts[code] += 1
        if self.counts[code] <= SHOWN_OF_EACH:
            self.problems.append(problem(code, level, *spans, **facts))

    def imported(self, harness: Harness | None, rows: Counter[str]) -> Imported:
        """The result of the read."""
        return Imported(harness, tuple(rows.items()), tuple(sorted(self.counts.items())), tuple(self.problems))
