"""A question about a vehicle as words: the file, operations in order, faults; names looked up, problems as text."""

from dataclasses import dataclass

from loombench.app.vehicles import Opened, open_vehicle
from loombench.base.problems import Level, Problem, error
from loombench.base.report import render_all
from loombench.circuit.fault import Fault, read_fault
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle


@dataclass(frozen=True)
class Question:
    """What was asked, as far as it was understood."""

    opened: Opened
    condition: Condition
    faults: tuple[Fault, ...]
    problems: tuple[Problem, ...]

    @property
    def vehicle(self) -> Vehicle:
        """The vehicle asked about."""
        return self.opened.vehicle

    @property
    def broken(self) -> bool:
        """True where something could not be understood."""
        return self.opened.broken or any(one.level is Level.ERROR for one in self.problems)

    @property
    def report(self) -> str:
        """The errors and warnings as text."""
        return self.opened.report(*self.problems, least=Level.WARNING)

    def said(self, *problems: Problem) -> str:
        """Further problems as text."""
        return render_all(problems, self.opened.sources)


def asked(file: str, operations: tuple[str, ...], faults: tuple[str, ...]) -> Question:
    """Open the file and look the names up."""
    opened = open_vehicle(file)
    condition = read_condition(opened.vehicle, operations)
    read = [(text, read_fault(text)) for text in faults]
    unread = tuple(error("fault-unread", text=text) for text, fault in read if fault is None)
    known = tuple(fault for _, fault in read if fault is not None)
    return Question(opened, condition.value, known, (*condition.problems, *unread))
