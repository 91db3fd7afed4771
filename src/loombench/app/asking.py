"""A question about a vehicle as words: the file, operations in order, faults; names looked up, problems as text."""

from dataclasses import dataclass

from loombench.app.vehicles import Opened, open_vehicle
from loombench.base.outcome import Outcome
from loombench.base.problems import Level, Problem, error
from loombench.base.report import render_all
from loombench.base.wording import Catalogue
from loombench.circuit.fault import Fault, read_fault
from loombench.text.names import find_part, find_point, read_condition
from loombench.vehicle.condition import CLAMPS, METERS, Condition, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle


@dataclass(frozen=True)
class Question:
    """What was asked, as far as it was understood; `words` are the language that its problems are told in."""

    opened: Opened
    condition: Condition
    faults: tuple[Fault, ...]
    setup: Setup | None
    problems: tuple[Problem, ...]
    words: Catalogue | None = None

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
        return self.opened.report(*self.problems, least=Level.WARNING, words=self.words)

    def said(self, *problems: Problem) -> str:
        """Further problems as text."""
        return render_all(problems, self.opened.sources, self.words)


def asked(
    file: str,
    operations: tuple[str, ...],
    faults: tuple[str, ...],
    at: str = "",
    to: str = "",
    meter: str = "voltmeter",
    part: str = "",
    words: Catalogue | None = None,
) -> Question:
    """Open the file and look the names up. With `at`, a meter from there to `to` (battery minus unless said)."""
    opened = open_vehicle(file)
    vehicle = opened.vehicle
    condition = read_condition(vehicle, operations)
    read = [(text, read_fault(text)) for text in faults]
    problems = [*condition.problems, *(error("fault-unread", text=text) for text, fault in read if fault is None)]
    known = tuple(fault for _, fault in read if fault is not None)
    setup = None
    if meter not in METERS:
        problems.append(error("meter-unknown", meter=meter[:40], allowed=", ".join(METERS)))
    elif at:
        red = find_point(vehicle, at)
        black = Outcome(battery_minus(vehicle)) if not to else find_point(vehicle, to)
        problems += [*red.problems, *black.problems]
        if red.value is not None:
            setup = Setup(condition.value, red.value, None if meter in CLAMPS else black.value, meter)
    if part:
        problems += find_part(vehicle, part).problems
    return Question(opened, condition.value, known, setup, tuple(problems), words)
