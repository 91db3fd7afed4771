"""Netlists written by hand: nodes by name, elements in a line each."""

from collections.abc import Iterable, Mapping

from loombench.circuit.netlist import Agent, Battery, Conductor, Element, Filament, Gate, Netlist, Variable
from loombench.circuit.point import Settled
from loombench.facts.filament import filament
from loombench.vehicle.points import Point

GROUND = "ground"


class Hand:
    """Collects elements between named nodes; `ground` is the reference."""

    def __init__(self, nominal_v: float = 12.0) -> None:
        self.nominal_v = nominal_v
        self.nodes: dict[str, int] = {GROUND: 0}
        self.elements: list[Element] = []
        self.variables: dict[str, Variable] = {}
        self.agents: list[Agent] = []
        self.frozen: dict[str, str] = {}

    def node(self, name: str) -> int:
        return self.nodes.setdefault(name, len(self.nodes))

    def battery(self, name: str, plus: str, emf_v: float, ohm: float = 0.005, minus: str = GROUND) -> None:
        self.elements.append(Battery(name, self.node(plus), self.node(minus), emf_v, ohm))

    def ohm(self, name: str, a: str, b: str, ohm: float, **gates: str) -> None:
        self.elements.append(Conductor(name, self.node(a), self.node(b), ohm, self.gates(gates)))

    def lamp(self, name: str, a: str, b: str, volts: float, watts: float) -> None:
        self.elements.append(Filament(name, self.node(a), self.node(b), filament(volts, watts)))

    def gates(self, gates: Mapping[str, str]) -> tuple[Gate, ...]:
        return tuple(Gate(name.replace("__", ":"), tuple(values.split("|"))) for name, values in gates.items())

    def control(self, name: str, *states: str) -> None:
        self.variables[name] = Variable(name, states, states[0], True)

    def memory(self, name: str, *states: str) -> None:
        self.variables[name] = Variable(name, states, states[0], False)

    def netlist(self) -> Netlist:
        names = tuple((Point(name),) for name in self.nodes)
        return Netlist(
            len(names),
            names,
            tuple(self.elements),
            tuple(self.variables.values()),
            tuple(self.agents),
            0,
            {element.id: (element.id,) for element in self.elements},
            self.nominal_v,
            self.frozen,
        )

    def volts(self, settled: Settled, name: str) -> float | None:
        return settled.point.node_v(self.nodes[name])


def kinds(settled: Settled) -> list[str]:
    return [type(finding).__name__ for finding in settled.findings]


def names(items: Iterable[object]) -> list[str]:
    return [str(item) for item in items]
