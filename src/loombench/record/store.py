"""What keeps the events of cases. An event counts as kept only once `append` has returned."""

from pathlib import Path
from typing import Protocol, runtime_checkable

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.wording import catalogue
from loombench.evidence.envelope import Envelope
from loombench.record.attachment import Attached


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


@runtime_checkable
class JobStore(EventStore, Protocol):
    """A store that also keeps what belongs to a job: the vehicle's text it was worked with, photos."""

    @property
    def file(self) -> Path:
        """The file it lies in."""
        ...

    def attach(self, case: str, one: Attached, data: bytes) -> None:
        """Keep something with a job, on the disk on return. Raises `NotKept`."""
        ...

    def attached(self, case: str) -> Outcome[tuple[Attached, ...]]:
        """What belongs to a job, in the order in which it was kept."""
        ...

    def content(self, one: Attached) -> Outcome[bytes | None]:
        """The bytes of something attached; None where they are missing or not what was kept."""
        ...
