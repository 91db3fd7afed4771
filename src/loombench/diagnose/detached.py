"""A piece of the vehicle that a condition has taken apart from the rest, such as a lamp whose plug is off.

What a meter shows on it hangs on nothing else: not on faults elsewhere, nor on what they make relays, fuses and modules
do, as long as none of these switches anything inside of the piece.
"""

from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt

from loombench.circuit.netlist import Battery, Conductor, Element, Filament, Junction, Netlist
from loombench.circuit.tables.change import Change

BoolArray = npt.NDArray[np.bool_]


def detached(netlist: Netlist, inputs: Mapping[str, str], nodes: Iterable[int]) -> BoolArray | None:
    """[nodes] the pieces that some nodes are in, controls and plugs being at `inputs`, else at rest; None where they
    hang on the vehicle's ground, or on anything that switches by itself."""
    shut = {one.name: inputs.get(one.name, one.rest) for one in netlist.variables if one.is_input}
    near: list[list[Element]] = [[] for _ in range(netlist.nodes)]
    for element in netlist.elements:
        if not _held_open(element, shut):
            near[element.a].append(element)
            near[element.b].append(element)
    inside = np.zeros(netlist.nodes, dtype=np.bool_)
    waiting = list(nodes)
    while waiting:
        node = waiting.pop()
        if inside[node]:
            continue
        inside[node] = True
        if inside[netlist.reference]:
            return None
        for element in near[node]:
            plain = isinstance(element, Conductor | Battery | Filament | Junction)
            if not plain or any(gate.variable not in shut for gate in element.gates):
                return None
            waiting += [element.a, element.b]
    return inside


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
