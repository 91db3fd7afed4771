"""Faults put into a netlist: opened, raised, shorted, held. Several together, in their order.

An opened element stays in the network behind a gate that never closes, and a series resistance raises a resistance
wherever the law has one, so that the network keeps its shape. Only a filament, a converter's input and a cam's motor
(which is known to turn by its volts) get a node of their own for it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.circuit.fault import Fault
from loombench.circuit.lowering.builder import LEAST_OHM
from loombench.circuit.netlist import (
    Battery,
    CamAgent,
    Conductor,
    Element,
    Gate,
    Junction,
    Netlist,
    Regulated,
    Variable,
)
from loombench.facts.typical import typical
from loombench.vehicle.condition import ENGINE
from loombench.vehicle.points import Point, read_point

NEVER = Gate(ENGINE, ())
"""A gate no state of the engine closes."""
GROUND = "ground"
HELD = (
    "relay:",
    "output:",
    "input:",
    "contact:",
    "module:",
    "flasher:",
    "timer:",
    "supply:",
    "breaker:",
    "cutout:",
    "fuse:",
    "",
)
"""What a name may stand for when it is held, besides a control of that name."""


def inject(netlist: Netlist, faults: Iterable[Fault]) -> Outcome[Netlist]:
    """The netlist with the faults in it; those without a target are left out, each with a problem."""
    work = _Work(netlist)
    for fault in faults:
        work.put(fault)
    return Outcome(work.finish(), tuple(work.problems))


@dataclass
class _Work:
    netlist: Netlist
    changed: dict[str, Element] = field(default_factory=dict)
    added: list[Element] = field(default_factory=list)
    held: dict[str, str] = field(default_factory=dict)
    fresh: int = 0
    problems: list[Problem] = field(default_factory=list)

    def put(self, fault: Fault) -> None:
        match fault.mode:
            case "open":
                self._open(fault)
            case "resistance":
                self._resistance(fault)
            case "short":
                self._short(fault)
            case "blown":
                self._blown(fault)
            case "stuck" | "position":
                self._hold(fault, fault.to)
            case _:
                self.problems.append(error("fault-unread", text=str(fault)[:80]))

    def finish(self) -> Netlist:
        netlist = self.netlist
        if not (self.changed or self.added or self.held):
            return netlist
        elements = [*netlist.elements, *self.added]
        for name, element in self.changed.items():
            elements[netlist.place_of[name]] = element
        variables, frozen = netlist.variables, netlist.frozen
        if self.held:
            held = self.held
            variables = tuple(replace(v, rest=held[v.name]) if v.name in held else v for v in netlist.variables)
            frozen = MappingProxyType({**netlist.frozen, **self.held})
        return replace(
            netlist,
            nodes=netlist.nodes + self.fresh,
            names=netlist.names + ((),) * self.fresh,
            elements=tuple(elements),
            variables=variables,
            frozen=frozen,
        )

    def _elements(self, fault: Fault) -> tuple[Element, ...]:
        ids = self.netlist.element_of.get(fault.target, ())
        if not ids:
            self._unknown(fault, (name for name, owned in self.netlist.element_of.items() if owned))
        known = self.netlist.element_by_id
        return tuple(self.changed.get(name, known[name]) for name in ids)

    def _open(self, fault: Fault) -> None:
        for element in self._elements(fault):
            if NEVER not in element.gates:
                self.changed[element.id] = replace(element, gates=(*element.gates, NEVER))

    def _resistance(self, fault: Fault) -> None:
        turning = {name for agent in self.netlist.agents if isinstance(agent, CamAgent) for name in agent.motors}
        for element in self._elements(fault):
            match element:
                case Conductor() | Battery() | Regulated() if element.id not in turning:
                    ohm = element.resistance_ohm + fault.ohm
                    self.changed[element.id] = replace(element, resistance_ohm=ohm)
                case Junction():
                    self.changed[element.id] = replace(element, series_ohm=element.series_ohm + fault.ohm)
                case _:
                    self._in_series(element, fault.ohm)

    def _in_series(self, element: Element, ohm: float) -> None:
        node = self.netlist.nodes + self.fresh
        self.fresh += 1
        self.added.append(Conductor(f"in series {element.id} {self.fresh}", element.a, node, max(ohm, LEAST_OHM)))
        self.changed[element.id] = replace(element, a=node)

    def _short(self, fault: Fault) -> None:
        start = self._node(fault, fault.target)
        if fault.to == GROUND:
            end = ground_node(self.netlist, fault.target)
            if end is None:
                self.problems.append(error("fault-no-ground", fault=fault))
        else:
            end = self._node(fault, fault.to)
        if start is None or end is None:
            return
        ohm = fault.ohm or typical("lowering", "short").value
        self.added.append(Conductor(f"{fault} {len(self.added)}", start, end, max(ohm, LEAST_OHM)))

    def _node(self, fault: Fault, text: str) -> int | None:
        """The node of a point; of a wire, its first end."""
        point = read_point(text)
        node = self.netlist.node_of.get(point) if point else None
        if node is None and point is not None:
            node = self.netlist.node_of.get(replace(point, ring=not point.ring))
        if node is None and "~" in text:
            wire = self.netlist.element_by_id.get(text)
            node = wire.a if wire is not None else None
        if node is None:
            self._unknown(fault, (str(known) for known in self.netlist.node_of), text)
        return node

    def _blown(self, fault: Fault) -> None:
        """A fuse that has blown or a breaker that has tripped; for anything else it means open."""
        known = self.netlist.variable_by_name
        for name, state in ((f"fuse:{fault.target}", "blown"), (f"breaker:{fault.target}", "tripped")):
            if name in known:
                self._hold_at(fault, known[name], state)
                return
        self._open(fault)

    def _hold(self, fault: Fault, state: str) -> None:
        known = self.netlist.variable_by_name
        target = self.netlist.aliases.get(fault.target, fault.target)
        prefixes = ("",) if fault.mode == "position" else ("", *HELD)
        variable = next((known[name] for p in prefixes if (name := f"{p}{target}") in known), None)
        if variable is None:
            self._unknown(fault, (variable.name.partition(":")[2] or variable.name for variable in known.values()))
        elif state not in variable.states:
            near = nearest(state, variable.states)
            facts = {"state": state, "nearest": near, "allowed": ", ".join(variable.states)}
            self.problems.append(error("fault-state", fault=fault, target=fault.target, **facts))
        else:
            self._hold_at(fault, variable, state)

    def _hold_at(self, fault: Fault, variable: Variable, state: str) -> None:
        other = self.held.get(variable.name, self.netlist.frozen.get(variable.name, state))
        if other != state:
            self.problems.append(error("fault-clash", fault=fault, target=fault.target, first=other, second=state))
            return
        self.held[variable.name] = state

    def _unknown(self, fault: Fault, names: Iterable[str], target: str = "") -> None:
        wanted = target or fault.target
        self.problems.append(error("fault-target", fault=fault, target=wanted[:80], nearest=nearest(wanted, names)))


def ground_node(netlist: Netlist, target: str) -> int | None:
    """Where a chafed point meets metal; None where there is no body.

    That is the first body of the point's own vehicle (of the trailer for a trailer's point), those that are wired to
    the reference first.
    """
    own = _prefix(read_point(target) or Point(target))
    same = (node for node in netlist.bodies if any(_prefix(point) == own for point in netlist.names[node]))
    return next(same, next(iter(netlist.bodies), None))


def _prefix(point: Point) -> str:
    vehicle, mark, _ = point.part.rpartition("::")
    return vehicle if mark else ""
