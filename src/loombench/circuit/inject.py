"""Faults put into a netlist: opened, raised, shorted, held. Several together, in their order.

An opened element stays in the network behind a gate that never closes, and a series resistance raises a resistance
wherever the law has one, so that the network keeps its shape. Only a filament, a converter's input and a cam's motor
(which is known to turn by its volts) get a node of their own for it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from operator import is_not
from types import MappingProxyType

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.circuit import alter
from loombench.circuit.fault import GROUND, SUPPLY, UNDRAWN, Fault
from loombench.circuit.lowering.builder import LEAST_OHM
from loombench.circuit.netlist import (
    Agent,
    Battery,
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

NEVER = Gate(ENGINE, ())
"""A gate no state of the engine closes."""
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


@dataclass(frozen=True, eq=False)
class Edit:
    """What faults change in a netlist: elements by id, elements and nodes added, variables held, variables that are
    new or have more states by name, agents by place."""

    changed: Mapping[str, Element]
    added: tuple[Element, ...]
    held: Mapping[str, str]
    variables: Mapping[str, Variable]
    agents: Mapping[int, Agent]
    fresh: int


def inject(netlist: Netlist, faults: Iterable[Fault]) -> Outcome[Netlist]:
    """The netlist with the faults in it; those without a target are left out, each with a problem."""
    work = _put_in(netlist, faults)
    return Outcome(work.finish(), tuple(work.problems))


def edit(netlist: Netlist, faults: Iterable[Fault]) -> Outcome[Edit]:
    """The same as what would be changed, without making the netlist."""
    work = _put_in(netlist, faults)
    agents: dict[int, Agent] = {}
    # Hardly any fault is one of an agent, and of a large vehicle there are tens of thousands of faults.
    if any(map(is_not, work.agents, netlist.agents)):
        agents = {k: one for k, one in enumerate(work.agents) if one is not netlist.agents[k]}
    made = Edit(work.changed, tuple(work.added), work.held, work.variables, agents, work.fresh)
    return Outcome(made, tuple(work.problems))


def _put_in(netlist: Netlist, faults: Iterable[Fault]) -> "_Work":
    work = _Work(netlist, agents=list(netlist.agents))
    for fault in faults:
        work.put(fault)
    return work


@dataclass
class _Work:
    netlist: Netlist
    changed: dict[str, Element] = field(default_factory=dict)
    added: list[Element] = field(default_factory=list)
    held: dict[str, str] = field(default_factory=dict)
    variables: dict[str, Variable] = field(default_factory=dict)
    agents: list[Agent] = field(default_factory=list)
    fresh: int = 0
    problems: list[Problem] = field(default_factory=list)

    def put(self, fault: Fault) -> None:
        match fault.mode:
            case "open":
                self._open(fault)
            case "resistance":
                self._resistance(fault)
            case "moving":
                self._moving(fault)
            case "short" | "leak":
                self._short(fault)
            case "swapped":
                self._swapped(fault)
            case "blown":
                self._blown(fault)
            case "wrong":
                self._wrong(fault)
            case "held":
                self._hanging(fault)
            case "dragging":
                self._dragging(fault)
            case "weak":
                self._weak(fault)
            case "stuck" | "position":
                self._hold(fault, fault.to)
            case _:
                self.problems.append(error("fault-unread", text=str(fault)[:80]))

    def finish(self) -> Netlist:
        netlist = self.netlist
        agents = tuple(self.agents)
        if not (self.changed or self.added or self.held or agents != netlist.agents):
            return netlist
        elements = netlist.elements
        if self.changed or self.added:
            altered = [*netlist.elements, *self.added]
            for name, element in self.changed.items():
                altered[netlist.place_of[name]] = element
            elements = tuple(altered)
        held = self.held
        known = tuple(self.variables.pop(v.name, v) for v in netlist.variables)
        variables = (*known, *self.variables.values())
        return replace(
            netlist,
            nodes=netlist.nodes + self.fresh,
            names=netlist.names + ((),) * self.fresh,
            elements=elements,
            variables=tuple(replace(v, rest=held[v.name]) if v.name in held else v for v in variables),
            agents=agents,
            frozen=MappingProxyType({**netlist.frozen, **held}) if held else netlist.frozen,
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
        turning = self.netlist.turned
        for element in self._elements(fault):
            match element:
                case Conductor() | Battery() | Regulated() if element.id not in turning:
                    ohm = element.resistance_ohm + fault.ohm
                    self.changed[element.id] = replace(element, resistance_ohm=ohm)
                case Junction():
                    self.changed[element.id] = replace(element, series_ohm=element.series_ohm + fault.ohm)
                case _:
                    self._in_series(element, fault.ohm)

    def _in_series(self, element: Element, ohm: float) -> Conductor:
        node = self.netlist.nodes + self.fresh
        self.fresh += 1
        added = Conductor(f"in series {element.id} {self.fresh}", element.a, node, max(ohm, LEAST_OHM))
        self.added.append(added)
        self.changed[element.id] = replace(element, a=node)
        return added

    def _moving(self, fault: Fault) -> None:
        """Sound until a condition says that it is lost: open then, or with its resistance."""
        variable = alter.moving_variable(fault.target)
        for element in self._elements(fault):
            self.variables[variable.name] = variable
            if not fault.ohm:
                self.changed[element.id] = replace(element, gates=(*element.gates, Gate(variable.name, (alter.MADE,))))
            elif isinstance(element, Conductor) and element.id not in self.netlist.turned:
                self.changed[element.id], lost = alter.beside(element, variable.name, fault.ohm)
                self.added.append(lost)
            else:
                whole = self._in_series(element, 0.0)
                self.added[-1], lost = alter.beside(whole, variable.name, fault.ohm)
                self.added.append(lost)

    def _short(self, fault: Fault) -> None:
        start = self._node(fault, fault.target)
        if fault.to in (GROUND, SUPPLY):
            end = (alter.ground_node if fault.to == GROUND else alter.supply_node)(self.netlist, fault.target)
            if end is None:
                self.problems.append(error(f"fault-no-{fault.to}", fault=fault))
        else:
            end = self._node(fault, fault.to)
        if start is None or end is None:
            return
        ohm = fault.ohm or typical("lowering", "short").value
        self.added.append(Conductor(f"{fault} {len(self.added)}", start, end, max(ohm, LEAST_OHM)))

    def _swapped(self, fault: Fault) -> None:
        """The wires of two contacts change places; terminals and what is behind them stay."""
        one, other = self._node(fault, fault.target), self._node(fault, fault.to)
        if one is None or other is None or one == other:
            return
        found = {e.id: e for node in (one, other) for e in alter.wires_at(self.netlist, self.changed, node)}
        for element in found.values():
            self.changed[element.id] = alter.changed_over(element, one, other)

    def _wrong(self, fault: Fault) -> None:
        """Another part than drawn: a fuse, a lamp, or a relay with its contact the other way round."""
        variable = f"relay:{fault.target}"
        if fault.to in alter.CLOSED_WHEN and variable in self.netlist.variable_by_name:
            every = (self.changed.get(one.id, one) for one in self.netlist.elements)
            contacts = alter.other_relay(every, variable, fault.to)
            self.changed |= {one.id: one for one in contacts}
            if not contacts:
                self._unfit(fault)
            return
        elements = self._elements(fault)
        for element in elements:
            lamp = alter.other_lamp(element, fault.to)
            fuse = alter.other_fuse(element, self.netlist.element_by_id[element.id], self.agents, fault.to)
            if lamp is not None:
                self.changed[element.id] = lamp
            elif fuse is not None:
                self.changed[element.id] = fuse[0]
                self._agents(fuse[1])
            else:
                self._unfit(fault)

    def _hanging(self, fault: Fault) -> None:
        relays = alter.hanging(self.agents, f"relay:{fault.target}")
        self._agents(relays)
        if not relays:
            known = self.netlist.variable_by_name
            self._unknown(fault, (name.removeprefix("relay:") for name in known if name.startswith("relay:")))

    def _dragging(self, fault: Fault) -> None:
        for element in self._elements(fault):
            worse = alter.dragging(element, fault.to)
            if worse is None:
                self._unfit(fault)
            else:
                self.changed[element.id] = worse

    def _weak(self, fault: Fault) -> None:
        breakers = alter.weakened(self.agents, f"breaker:{fault.target}", fault.to)
        self._agents(breakers)
        if breakers:
            return
        if fault.target in self.netlist.element_of:
            self._unfit(fault)
        else:
            known = (name for name in self.netlist.variable_by_name if name.startswith("breaker:"))
            self._unknown(fault, (name.removeprefix("breaker:") for name in known))

    def _agents(self, changed: Mapping[int, Agent]) -> None:
        for place, agent in changed.items():
            self.agents[place] = agent

    def _unfit(self, fault: Fault) -> None:
        self.problems.append(error("fault-unfit", fault=fault, target=fault.target[:80], to=fault.to[:80]))

    def _node(self, fault: Fault, text: str) -> int | None:
        node = alter.node_at(self.netlist, text)
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
        elif state == UNDRAWN and variable.name in self.netlist.controls and state not in variable.states:
            self.variables[variable.name] = replace(variable, states=(*variable.states, state))
            self._hold_at(fault, variable, state)
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
