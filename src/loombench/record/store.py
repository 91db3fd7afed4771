"""What keeps the events of cases. An event counts as kept only once `append` has returned."""

from typing import Protocol

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.wording import catalogue
from loombench.evidence.envelope import Envelope


class NotKept(Exception):  # noqa: N818  (it says what happened to the event)
    """An event could not be kept. `problem` says why in the words of the catalogue; what was kept before is untouched.

    It is raised and not returned so that nobody can take an event for kept that is not.
    """

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.problem = problem

    def __str__(self) -> str:
        said = catalogue().problem(self.problem.code, dict(self.problem.facts))
        return f"{said['title']}: {said['seen']} {said['fix']}"


class EventStore(Protocol):
    """A place where cases are kept, each as events numbered from 1."""

    def append(self, event: Envelope) -> None:
        """Keep one more event of its case. On return it is on the disk and survives a power cut.

        Raises:
            NotKept: it could not be kept, or its number is not the case's next one.
        """
        ...

    def read(self, case: str) -> Outcome[tuple[Envelope, ...]]:
        """The events of a case in order of their numbers; empty for a case nobody has heard of. What cannot be
        understood is left out and said."""
        ...

    def next_number(self, case: str) -> int:
        """The number the next event of the case must have."""
        ...

    def cases(self) -> tuple[str, ...]:
        """The names of all cases, in alphabetical order."""
        ...
