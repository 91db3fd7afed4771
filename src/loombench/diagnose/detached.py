"""A piece of the vehicle that a condition has taken apart from the rest, such as a lamp whose plug is off.

What a meter shows on it hangs on nothing else: not on faults elsewhere, nor on what they make relays, fuses and modules
do, as long as none of these switches anything inside of the piece.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.netlist import Battery, Conductor, Element, Filament, Junction, Netlist
from loombench.circuit.tables.change import Change

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Joints:
    """The elements at each node of a netlist: `near` [nodes]."""

    netlist: Netlist
    near: tuple[tuple[Element, ...], ...]

    def detached(self, inputs: Mapping[str, str], nodes: Iterable[int]) -> BoolArray | None:
        """[nodes] the pieces that some nodes are in, controls and plugs being at `inputs`, else at rest; None where
        they hang on the vehicle's ground, or on anything that switches by itself."""
        shut = {one.name: inputs.get(one.name, one.rest) for one in self.netlist.variables if one.is_input}
        inside = np.zeros(self.netlist.nodes, dtype=np.bool_)
        waiting = list(nodes)
        while waiting:
            node = waiting.pop()
            if inside[node]:
                continue
            inside[node] = True
            if inside[self.netlist.reference]:
                return None
            for element in self.near[node]:
                if _held_open(element, shut):
                    continue
                plain = isinstance(element, Conductor | Battery | Filament | Junction)
                if not plain or any(gate.variable not in shut for gate in element.gates):
                    return None
                waiting += [element.a, element.b]
        return inside


def joints(netlist: Netlist) -> Joints:
    """What is joined to each node of a netlist."""
    near: list[list[Element]] = [[] for _ in range(netlist.nodes)]
    for element in netlist.elements:
        near[element.a].append(element)
        near[element.b].append(element)
    return Joints(netlist, tuple(tuple(some) for some in near))


def _held_open(element: Element, shut: Mapping[str, str]) -> bool:
    return any(gate.variable in shut and shut[gate.variable] not in gate.closed_in for gate in element.gates)


def touches(netlist: Netlist, piece: BoolArray, change: Change | None) -> bool:
    """Whether a fault changes anything in a piece, or at its border."""
    if change is None:
        return True
    if any(piece[one.a] or piece[one.b] for one in change.elements):
        return True
    if not change.held:
        return False
    gated = (one for one in netlist.elements if any(gate.variable in change.held for gate in one.gates))
    return any(piece[one.a] or piece[one.b] for one in gated)
