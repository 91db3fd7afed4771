"""A fault hidden to practise on: drawn by a seed from those of a level, in a circuit whose load then does wrong.

    easy     what is open: a wire, a contact, a load, a blown fuse
    middle   a resistance in the way, a bad ground, a control or relay that is stuck
    hard     a short, a leak, a module's input or output, terminals changed over; or two faults at once

The same vehicle, level and seed give the same fault for ever: whoever shares the numbers shares the task.
"""

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.app.circuits import Circuits
from loombench.app.drawing import Drawings
from loombench.app.practice import complaint_of
from loombench.app.states import States
from loombench.circuit.catalogue import CONTACT
from loombench.circuit.fault import Fault
from loombench.diagnose.safety import handleable, suspect_allowed
from loombench.diagnose.suspect import group_of, part_of, point_of
from loombench.draw.circuit.functions import Function
from loombench.evidence.complaint import Complaint
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import loads

EASY, MIDDLE, HARD = "easy", "middle", "hard"
LEVELS = (EASY, MIDDLE, HARD)
MODES: Mapping[str, tuple[str, ...]] = MappingProxyType({
    EASY: ("open", "blown"),
    MIDDLE: ("resistance", "open", "stuck", "held"),
    HARD: ("short", "leak", "stuck", "swapped", "wrong", "dragging", "weak"),
})  # fmt: skip
RESISTANCES_OHM = (0.5, 1.0, 2.0, 5.0, 15.0, 60.0)
"""What a bad contact may have: from one that dims a headlamp to one that hardly lets a relay pull."""
TWO_OF = 0.35
"""So many of the hard tasks hide two faults."""
MOST_TRIED = 25
"""So many faults are tried for one load before another load is taken."""
MOST_LOADS = 12


@dataclass(frozen=True)
class Dealt:
    """A task: what is hidden, what one complains about, and the function whose page shows the load."""

    level: str
    seed: int
    hidden: tuple[Fault, ...]
    complaint: Complaint
    function: str


def deal(
    drawings: Drawings, circuits: Circuits, level: str, seed: int, go_on: Callable[[], None] = lambda: None
) -> Dealt | None:
    """The task of a level and a seed; None where the vehicle has none. `go_on` is called between two tries.

    Raises:
        KeyError: no such level.
    """
    vehicle = drawings.vehicle
    drawn = random.Random(f"{seed} {level}")
    states = States(vehicle)
    acting = [one.via for one in loads(vehicle) if handleable(vehicle, circuits.nets, one.via.partition(".")[0])]
    drawn.shuffle(acting)
    for load in acting[:MOST_LOADS]:
        go_on()
        function = next((one for one in drawings.functions if load in one.loads), None)
        condition = states.working(load) if function is not None else None
        if function is None or condition is None:
            continue
        for hidden in _tried(circuits, function, level, drawn):
            go_on()
            # Of two faults each has to show by itself, or who has found the one could not know of the other.
            said = [complaint_of(vehicle, some, (condition, Condition())) for some in ((one,) for one in hidden)]
            complaint = complaint_of(vehicle, hidden, (condition, Condition())) if all(said) else None
            if complaint is not None:
                shown = next((one.key for one in drawings.functions if complaint.target in one.loads), function.key)
                return Dealt(level, seed, hidden, complaint, shown)
    return None


def _tried(circuits: Circuits, function: Function, level: str, drawn: random.Random) -> Iterator[tuple[Fault, ...]]:
    """Sets of faults in a function, in an order drawn."""
    two = level == HARD and drawn.random() < TWO_OF
    modes = MODES[level]
    faults = [one for one in _in(circuits, function) if _suits(circuits, one, (EASY, MIDDLE) if two else (level,))]
    drawn.shuffle(faults)
    faults = [_sized(one, drawn) for one in faults]
    if not two:
        yield from ((one,) for one in faults[:MOST_TRIED] if one.mode in modes)
        return
    vehicle = circuits.vehicle
    for one, other in zip(faults[:MOST_TRIED], reversed(faults[: 2 * MOST_TRIED]), strict=False):
        if group_of(vehicle, one) != group_of(vehicle, other):
            yield (one, other)


def _in(circuits: Circuits, function: Function) -> list[Fault]:
    """The single faults of a function that one may look for and put right."""
    names = (*function.parts, *sorted(function.wires))
    every = (fault for name in names for fault in circuits.faults_at.get(name, ()))
    return [fault for fault in dict.fromkeys(every) if suspect_allowed(circuits.vehicle, circuits.nets, fault)]


def _suits(circuits: Circuits, fault: Fault, levels: tuple[str, ...]) -> bool:
    grounded = _grounded(circuits, fault)
    for level in levels:
        fits = fault.mode in MODES[level]
        if level == MIDDLE and fault.mode == "open":
            fits = grounded
        if level == EASY and fault.mode == "open":
            fits = not grounded
        if fault.mode == "stuck":
            part = part_of(circuits.vehicle, fault)
            fits &= (part is not None and part.module is not None) == (level == HARD)
        if fits:
            return True
    return False


def _grounded(circuits: Circuits, fault: Fault) -> bool:
    """Whether a fault is in the way back: a contact or a wire of a ground net."""
    vehicle: Vehicle = circuits.vehicle
    wire = vehicle.wire_by_id.get(fault.target)
    point = wire.a if wire is not None else point_of(fault) if fault.target.startswith(CONTACT) else None
    return point is not None and "ground" in circuits.nets.classes_of(point)


def _sized(fault: Fault, drawn: random.Random) -> Fault:
    """A resistance of its own; the catalogue's stands for all there may be."""
    return replace(fault, ohm=drawn.choice(RESISTANCES_OHM)) if fault.mode == "resistance" else fault
