"""A vehicle's circuits kept for who tries one thing after another: lowered once, gone on with from where it stood.

circuits = Circuits(vehicle)
circuits.reached(condition).value        the vehicle after the operations, as `circuit.operate.operate` has it
circuits.overlay(situation, points)      what is laid over a drawing of some points
"""

from collections import OrderedDict
from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import TypeVar

from loombench.app.drawnstate import overlay_in, wire_name
from loombench.app.operating import allowed
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.circuit.aid import aided
from loombench.circuit.catalogue import single_faults
from loombench.circuit.explain import explain
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.observe import Load, LoadSight, loads_of, seen
from loombench.circuit.operate import Halfway, Situation, operate
from loombench.circuit.point import Settled
from loombench.circuit.readings import readings
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.diagnose.suspect import part_of
from loombench.draw.overlay import Overlay
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import Nets, nets
from loombench.vehicle.points import WIRE, Point

CIRCUITS_KEPT = 6
HALFWAY_KEPT, SITUATIONS_KEPT = 60, 60


Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Oldest(OrderedDict[Key, Value]):
    """A mapping that lets go of what was put in first where it holds more than `most`."""

    def __init__(self, most: int) -> None:
        super().__init__()
        self._most = most

    def __setitem__(self, key: Key, value: Value) -> None:
        super().__setitem__(key, value)
        if len(self) > self._most:
            self.popitem(last=False)

    def or_made(self, key: Key, make: Callable[[], Value]) -> Value:
        """What is kept, made first where it is not."""
        if key not in self:
            self[key] = make()
        return self[key]


@dataclass(frozen=True, eq=False)
class Circuit:
    """A vehicle lowered with some faults and aids, with what was worked out of it so far."""

    ready: Ready
    rest: Settled
    problems: tuple[Problem, ...]
    halfway: Oldest[tuple[Operation, ...], Halfway] = field(default_factory=lambda: Oldest(HALFWAY_KEPT))
    situations: Oldest[Condition, Situation] = field(default_factory=lambda: Oldest(SITUATIONS_KEPT))

    loads: Oldest[str, Mapping[str, Load]] = field(default_factory=lambda: Oldest(1))

    @property
    def netlist(self) -> Netlist:
        """What it was lowered to."""
        return self.ready.p.netlist


@dataclass(frozen=True, eq=False)
class Circuits:
    """The circuits of one vehicle."""

    vehicle: Vehicle

    @cached_property
    def nets(self) -> Nets:
        """The vehicle's nets with their classes."""
        return nets(self.vehicle)

    @cached_property
    def _kept(self) -> Oldest[tuple[tuple[Fault, ...], tuple[Operation, ...]], Circuit]:
        return Oldest(CIRCUITS_KEPT)

    @cached_property
    def may_set(self) -> frozenset[str]:
        """The variables that a person may set."""
        return allowed(self.vehicle, self.nets, self.circuit().netlist)

    @cached_property
    def faults_at(self) -> Mapping[str, tuple[Fault, ...]]:
        """Every single fault by the part or the wire that it is in."""
        found: dict[str, list[Fault]] = {}
        for fault in single_faults(self.vehicle):
            part = part_of(self.vehicle, fault)
            found.setdefault(part.id if part is not None else fault.target, []).append(fault)
        return MappingProxyType({name: tuple(some) for name, some in found.items()})

    @cached_property
    def named(self) -> Mapping[str, Point]:
        """The wire sides of all points by their names; no fault changes which there are."""
        every = (point for points in self.circuit().netlist.names for point in points if point.layer == WIRE)
        return MappingProxyType({wire_name(point): point for point in every})

    def circuit(self, faults: tuple[Fault, ...] = (), aids: tuple[Operation, ...] = ()) -> Circuit:
        """The vehicle with some faults and aids. Faults that cannot be put in are left out, with their problems."""
        return self._kept.or_made((faults, aids), lambda: self._made(faults, aids))

    def _made(self, faults: tuple[Fault, ...], aids: tuple[Operation, ...]) -> Circuit:
        lowered = aided(lower, aids)(self.vehicle, faults)
        ready = ready_for(lowered.value)
        return Circuit(ready, settle(ready, {}, {}), lowered.problems)

    def reached(self, condition: Condition, faults: tuple[Fault, ...] = ()) -> Outcome[Situation]:
        """Where the vehicle stands after the operations of a condition; what faults and operations brought about."""
        circuit = self.circuit(faults, condition.aids)
        plain = condition.plain
        situation = circuit.situations.or_made(
            plain, lambda: operate(circuit.ready, plain, circuit.rest, circuit.halfway)
        )
        found = (explain(circuit.netlist, one, self.vehicle) for one in situation.settled.findings)
        return Outcome(situation, (*circuit.problems, *found))

    def sights(self, condition: Condition, faults: tuple[Fault, ...], loads: Collection[str]) -> tuple[LoadSight, ...]:
        """What some loads do in a condition, by their names."""
        circuit = self.circuit(faults, condition.aids)
        known = circuit.loads.or_made("", lambda: {one.id: one for one in loads_of(self.vehicle, circuit.netlist)})
        wanted = [known[name] for name in loads if name in known]
        situation = self.reached(condition, faults).value
        return seen(self.vehicle, situation.ready.p.netlist, situation.settled, wanted).loads

    def overlay(
        self, situation: Situation, names: Collection[str], wires: Collection[str], sights: Collection[LoadSight],
        red: str = "", black: str = "", suspects: Mapping[str, str] | None = None,
    ) -> Overlay:  # fmt: skip
        """What is laid over a drawing of some points and wires, by their names; with what loads do, the leads of a
        meter, and what is to be marked as broken."""
        ends = (end for name in wires for end in (self.vehicle.wire_by_id[name].a, self.vehicle.wire_by_id[name].b))
        points = dict.fromkeys((*(self.named[name] for name in names if name in self.named), *ends))
        read = readings(situation.ready.p.netlist, situation.settled, points)
        overlay = overlay_in(self.vehicle, situation.settled, read, wires, sights)
        return replace(overlay, red=red, black=black, suspects=MappingProxyType(dict(suspects or {})))
