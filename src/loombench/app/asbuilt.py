"""The vehicle a case is about, as built: its drawing with the differences that were found on the way."""

import re
from collections.abc import Sequence

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.looking import CheckPosition
from loombench.diagnose.stepname import read_step
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import ComplaintGiven, NotAsDrawn, Observed, ReadingTaken, RepairDone
from loombench.evidence.replay import effective
from loombench.text.changes import VERBS, change_of
from loombench.vehicle.change import Change, ChooseOption, Rename, apply
from loombench.vehicle.condition import ENGINE, Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import read_point

REASON = "not as drawn"
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


def as_built(drawn: Vehicle, events: Sequence[Envelope]) -> Outcome[Vehicle]:
    """The drawing with the changes of the events in force, in their order; one that does not fit is left out and
    said."""
    vehicle, problems = drawn, list[Problem]()
    for event in effective(events):
        if isinstance(event.payload, NotAsDrawn) and event.payload.change:
            read = read_deviation(vehicle, event.payload.change, event.time)
            made = Outcome(vehicle) if read.value is None else apply(vehicle, read.value)
            vehicle = made.value
            problems += [*read.problems, *made.problems]
    return Outcome(vehicle, tuple(problems))


def is_change(text: str) -> bool:
    """Whether a text begins as a change does (`size S4.2~E7.1 2.5mm2`); else it is words for a person."""
    return text.split(" ", 1)[0] in VERBS


def read_deviation(vehicle: Vehicle, text: str, time: str) -> Outcome[Change | None]:
    """The change a text spells, if it can be made within a case: what a case is about keeps its name, and options are
    chosen before a drawing is read."""
    date = _DATE.match(time)
    read = change_of(vehicle, text, REASON, date[0] if date else "2000-01-01")
    if read.value is not None and isinstance(read.value.action, Rename | ChooseOption):
        return Outcome(None, (error("change-in-case", text=text[:80]),))
    return read


def unfit(bench: Bench, events: Sequence[Envelope]) -> tuple[Problem, ...]:
    """What the events speak of and the vehicle does not have: then the case cannot be worked out on it."""
    for event in effective(events):
        name = _missing(bench, event.payload)
        if name:
            return (error("case-unfit", name=name[:60], number=event.number, vehicle=bench.vehicle.name),)
    return ()


def _missing(bench: Bench, payload: object) -> str:
    match payload:
        case ComplaintGiven(complaint=told):
            part = told.target.partition(".")[0]
            known = told.target in bench.vehicle.parts or part in bench.vehicle.parts
            return _unknown(bench.vehicle, told.condition) if known else part
        case ReadingTaken(setup=setup):
            return _unknown(bench.vehicle, setup.condition)
        case Observed(what=what):
            step = read_step(what)
            if isinstance(step, CheckPosition):
                return "" if step.control in bench.vehicle.controls else step.control
            condition = getattr(step, "condition", None)
            return _unknown(bench.vehicle, condition) if isinstance(condition, Condition) else ""
        case RepairDone(fault=group):
            return "" if set(halves(group)) <= set(bench.hypotheses.groups) else group
    return ""


def _unknown(vehicle: Vehicle, condition: Condition) -> str:
    for operation in condition.operations:
        if operation.verb == "set" and operation.target != ENGINE:
            control = vehicle.controls.get(operation.target)
            if control is None or control.position(operation.value) is None:
                return str(operation)
        elif operation.target and operation.verb != "set" and not _has(vehicle, operation.target):
            return operation.target
    return ""


def _has(vehicle: Vehicle, name: str) -> bool:
    point = read_point(name)
    return name in vehicle.wire_by_id or (point is not None and point.part in vehicle.parts)
