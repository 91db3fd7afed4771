"""The sheet that is being written: lines, node names, and what is known of each variable while it is written.

A variable is *fixed* where one value holds from beginning to end; else each of its states is a signal, 1 volt while the
state holds and 0 volt while it does not.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from loombench.circuit.netlist import Element, Gate, Netlist

OPEN_OHM = 1e14
"""An open switch; so far above the tie of a node that a floating node stays near 0 V."""
HELD_UP = 0.5
"""Volts from which a signal counts as on."""


def number(value: float) -> str:
    """A number so that it reads back as the same one."""
    return repr(float(value))


@dataclass
class Deck:
    """Lines in the order written, and the signals by (variable, state).

    `smoothing_f` is the capacitor across each regulated supply (0 = none), `pieces` says of some which piece of their
    law is written, `emf` has the battery sources that are not the netlist's own, `set_v` the volts of regulated
    supplies that are not, as expressions.
    """

    netlist: Netlist
    fixed: Mapping[str, str]
    signals: dict[tuple[str, str], str] = field(default_factory=dict)
    smoothing_f: float = 0.0
    pieces: dict[str, str] = field(default_factory=dict)
    emf: dict[str, str] = field(default_factory=dict)
    set_v: dict[str, str] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)
    _gates: dict[tuple[Gate, ...], str] = field(default_factory=dict)

    def add(self, line: str) -> None:
        """Write a line."""
        self.lines.append(line)

    def node(self, index: int) -> str:
        """The name of a node; the reference is 0."""
        return "0" if index == self.netlist.reference else f"n{index}"

    def across(self, a: int, b: int) -> str:
        """The volts from one node to another, as an expression."""
        if a == b:
            return "0"
        one, other = self.node(a), self.node(b)
        return f"V({one})" if other == "0" else f"(-V({other}))" if one == "0" else f"V({one},{other})"

    def signal(self, variable: str, state: str) -> str:
        """1 while the variable has that state, 0 while not, as an expression."""
        if variable in self.fixed:
            return "1" if self.fixed[variable] == state else "0"
        return self.signals.get((variable, state), "0")

    def gate(self, gates: tuple[Gate, ...]) -> str:
        """1 while all gates conduct: `1`, `0` or the volts of a node."""
        terms = []
        for gate in gates:
            states = [self.signal(gate.variable, state) for state in dict.fromkeys(gate.closed_in)]
            if "1" in states:
                continue
            moving = [state for state in states if state != "0"]
            if not moving:
                return "0"
            terms.append("+".join(moving))
        if not terms:
            return "1"
        if gates not in self._gates:
            expression = f"({terms[0]})"
            for term in terms[1:]:
                expression = f"min({expression},({term}))"
            name = f"g{len(self._gates)}"
            self.add(f"B{name} {name} 0 V={expression}")
            self._gates[gates] = f"V({name})"
        return self._gates[gates]

    def on(self, element: Element) -> str:
        """The gate of an element."""
        return self.gate(element.gates)
