"""A value together with the problems met on the way: how everything that reads user data answers."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

from loombench.base.problems import Level, Problem

Value_co = TypeVar("Value_co", covariant=True)


@dataclass(frozen=True)
class Outcome(Generic[Value_co]):
    """What could be understood, and what was wrong; user data never raises."""

    value: Value_co
    problems: tuple[Problem, ...] = ()

    @property
    def usable(self) -> bool:
        """True where no problem is an error."""
        return not any(problem.level is Level.ERROR for problem in self.problems)


def errors(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems of level error, in their order."""
    return tuple(problem for problem in problems if problem.level is Level.ERROR)
