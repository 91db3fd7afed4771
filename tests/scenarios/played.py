"""A training scenario played as a whole case: the tool's own steps, answers from the vehicle with what is wrong in it.

Minutes are what the steps cost from where one stands, the work of a repair left out, up to the proof.
"""

from collections.abc import Callable
from dataclasses import dataclass

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, cannot, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.circuit.fault import Fault, read_fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import Mend
from loombench.diagnose.suspect import group_of
from loombench.diagnose.verdict import CURED, PROVEN
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.text.names import read_condition
from loombench.vehicle.model import Vehicle

MOST_STEPS = 40


@dataclass(frozen=True)
class Several(PracticeVehicle):
    """A practice vehicle with more than one thing wrong."""

    more: tuple[Fault, ...] = ()

    def left(self, repaired: tuple[str, ...]) -> tuple[Fault, ...]:
        """What is wrong after some repairs."""
        return tuple(one for one in (self.hidden, *self.more) if group_of(self.vehicle, one) not in repaired)


@dataclass(frozen=True)
class Taken:
    """A step as it was taken: what it was, what came of it, what it cost, and whether a meter was in it."""

    id: str
    kind: str
    said: float | str
    cost_s: float


@dataclass(frozen=True)
class Played:
    """A case at its proof, and how it came there."""

    case: Case
    taken: tuple[Taken, ...]

    @property
    def minutes(self) -> float:
        """Minutes up to the proof."""
        return sum(one.cost_s for one in self.taken) / 60.0

    @property
    def ids(self) -> tuple[str, ...]:
        """The steps in their order."""
        return tuple(one.id for one in self.taken)


def faults(*texts: str) -> tuple[Fault, ...]:
    """Faults as they are written."""
    found = tuple(fault for text in texts if (fault := read_fault(text)))
    assert len(found) == len(texts), texts
    return found


def vehicle_with(vehicle: Vehicle, *texts: str) -> Several:
    """The vehicle that answers, with these faults in it."""
    first, *others = faults(*texts)
    return Several(vehicle, first, more=tuple(others))


def opened(vehicle: Vehicle, target: str, symptom: str, condition: str, bench: Bench | None = None) -> Case:
    """A case on a vehicle."""
    state = read_condition(vehicle, condition)
    assert state.problems == (), condition
    complaint = Complaint(target, symptom, state.value, f"{target} {symptom} when {condition}")
    made = bench or bench_for(vehicle)
    return open_case(vehicle, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=made)


def play(case: Case, practice: PracticeVehicle, until: Callable[[Case], bool] | None = None) -> Played:
    """Take the tool's own steps until the fault is proven, or until something is so."""
    taken: list[Taken] = []
    for _ in range(MOST_STEPS):
        said = case.verdict
        if (until is not None and until(case)) or said.state in (PROVEN, CURED):
            return Played(case, tuple(taken))
        card = next_step(case)
        assert card is not None, (said, [one.id for one in taken])
        step, situation = case.offered(card.id), case.course.situation
        cost = step.cost_s(case.bench, situation) - (step.work_s if isinstance(step, Mend) else 0.0)
        seen = practice.reply(step, situation.repaired)
        taken.append(Taken(step.id, step.kind, seen, cost))
        if isinstance(seen, float) and seen != seen:  # noqa: PLR0124  (nan)
            case = cannot(case, card.id, "no answer", PRACTICE_TIME)
        else:
            case = answer(case, card.id, seen, PRACTICE_TIME)
    raise AssertionError([one.id for one in taken])
