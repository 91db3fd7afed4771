"""A judge of classes: all readings that could part two suspects, listed by brute force.

Every state one control, plug or fuse away from the complaint's, every pair of points that leads can be put on there,
for every fault that the suspect may still be. Readings are `circuit.meter`'s on the faulted netlists; no code is shared
with what offers steps. Two suspects are parted by a pair if what the one may show and what the other may show lie
further apart than six errors of a reading (0.01 V, 1.5 % of it).
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.meter import read
from loombench.circuit.operate import Situation, operate
from loombench.circuit.ready import Ready, ready_for
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

HIDDEN = ("splice", "body", "carrier")
"""Kinds without a place of their own in these vehicles: no lead reaches them."""
PLUGS = ("connector", "lamp", "led", "motor", "horn", "unit", "heater", "solenoid")
SEATED = ("fuse", "relay", "breaker")
BACKS = ("fuse", "battery")
"""Kinds whose own pins a lead reaches with all plugged: the test points of a fuse, the posts of a battery."""
APART = 6.0
MINUS = Point("G1", "-", layer="pin")
Faults = tuple[Fault, ...]


def states(vehicle: Vehicle, base: Condition) -> Iterator[Condition]:
    """The complaint's state and those one operation away."""
    yield base
    for control in vehicle.controls.values():
        for position in control.positions:
            yield base.then(Operation("set", control.id, position.name))
    for part in vehicle.parts.values():
        if part.kind in PLUGS:
            yield base.then(Operation("unplug", part.id))
        if part.kind in SEATED:
            yield base.then(Operation("pull", part.id))


def within_reach(vehicle: Vehicle, condition: Condition) -> list[Point]:
    """The points a lead can be put on in a state: faces and pins of what is unplugged, else the wire sides."""
    out = {one.target for one in condition.operations if one.verb in ("unplug", "pull")}
    halves: dict[str, set[str]] = {}
    for wire in vehicle.wires:
        for end in (wire.a, wire.b):
            halves.setdefault(end.part, set()).add(end.half)
    return [
        Point(part.id, pin, half, layer, part.kind == "stud")
        for part in vehicle.parts.values()
        if part.kind not in HIDDEN
        for pin in part.pins
        for half in sorted(halves.get(part.id, {""}))
        for layer in ("wire", *(("face", "pin") if part.id in out else ("pin",) if part.kind in BACKS else ()))
    ]


def partings(
    vehicle: Vehicle, base: Condition, suspects: Mapping[str, Sequence[Faults]]
) -> Iterator[tuple[str, str, str]]:
    """Pairs of suspects that a reading parts, with that reading in words; `suspects` are the faults each may be."""
    rigs = {one: ready(vehicle, one) for some in suspects.values() for one in some}
    for condition in states(vehicle, base):
        situations = {one: operate(rig, condition) for one, rig in rigs.items()}
        known = next(iter(situations.values())).ready.p.netlist.node_of
        points = [point for point in within_reach(vehicle, condition) if point in known]
        volts = {one: against_minus(now, points) for one, now in situations.items()}
        for a, b in combinations(suspects, 2):
            mine, other = ([volts[one] for one in suspects[name]] for name in (a, b))
            for red, black in candidates(np.stack(mine), np.stack(other)):
                setup = Setup(condition, points[red], points[black])
                if parted(*([read(situations[one], setup).value for one in suspects[name]] for name in (a, b))):
                    yield a, b, str(setup)


def ready(vehicle: Vehicle, some: Faults) -> Ready:
    """The netlist of a vehicle with faults."""
    lowered = lower(vehicle, some)
    assert lowered.problems == ()
    return ready_for(lowered.value)


def against_minus(now: Situation, points: Sequence[Point]) -> npt.NDArray[np.float64]:
    """[points] volts against the post of the battery's minus without a meter; nan where a point floats."""
    node = now.ready.p.netlist.node_of
    across = [now.settled.point.across_v(node[point], node[MINUS]) for point in points]
    return np.array([math.nan if value is None else value for value in across])


def candidates(mine: npt.NDArray[np.float64], other: npt.NDArray[np.float64]) -> Iterator[tuple[int, int]]:
    """Pairs of points worth putting a meter on: [faults, points] each."""
    first, second = (of[:, :, None] - of[:, None, :] for of in (mine, other))
    gap = np.maximum(first.min(0), second.min(0)) - np.minimum(first.max(0), second.max(0))
    error = np.hypot(0.01, 0.015 * np.maximum(np.abs(first).max(0), np.abs(second).max(0)))
    for red, black in zip(*np.nonzero(gap > APART * error), strict=True):
        if red < black:
            yield int(red), int(black)


def parted(mine: Sequence[float | None], other: Sequence[float | None]) -> bool:
    """Whether no reading of the one could be taken for one of the other."""
    first, second = ([value for value in of if value is not None] for of in (mine, other))
    if len(first) < len(mine) or len(second) < len(other):
        return False
    gap = max(min(first), min(second)) - min(max(first), max(second))
    return gap > APART * math.hypot(0.01, 0.015 * max(map(abs, (*first, *second))))
