"""Which faults change nothing in a state, so that they need not be solved.

A branch without current can be opened, made resistive or given another part, and two points at one potential can be
joined, without any volt or ampere changing anywhere; a control that is where it is held anyway is not held. This holds
for each stage of a condition as it settles; what happens between two stages (a contact carrying current until its relay
has moved) is not looked at. With a meter on, its own small current counts like any other.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit import alter
from loombench.circuit.fault import GROUND, SUPPLY, Fault
from loombench.circuit.netlist import Conductor, Netlist
from loombench.circuit.point import OperatingPoint

NO_CURRENT_A = 1e-9
"""A tenth of a per mille of what a 10 Mohm voltmeter draws at 12 V."""
NO_METER_CURRENT_A = 1e-11
"""With a meter on, whose own current it may be all of: a tenth of a millivolt on 10 Mohm."""
NO_VOLTS_V = 1e-7
EXACT_FROM_OHM = 2e-6
"""Below this resistance rounding of the volts alone looks like a current above `NO_CURRENT_A`."""
_NONE: npt.NDArray[np.intp] = np.empty(0, dtype=np.intp)
PREFIXES = ("", "relay:", "output:", "contact:", "module:", "breaker:", "fuse:")


@dataclass(frozen=True, eq=False)
class Row:
    """What to look at for a fault: elements by place, two nodes that get joined, or variables that are held."""

    elements: npt.NDArray[np.intp]
    nodes: tuple[int, int] | None
    held: tuple[tuple[str, str], ...]


def row(netlist: Netlist, faults: Sequence[Fault]) -> Row | None:
    """What to look at for some faults; None where that is not known, so that they have to be solved."""
    if len(faults) != 1:
        return None if faults else Row(_NONE, None, ())
    fault = faults[0]
    if fault.mode in ("open", "resistance", "blown", "dragging"):
        return _in_elements(netlist, fault)
    if fault.mode == "wrong" and fault.to not in alter.CLOSED_WHEN:
        return _in_elements(netlist, fault)
    if fault.mode in ("short", "leak"):
        start = alter.node_at(netlist, fault.target)
        other = {GROUND: alter.ground_node, SUPPLY: alter.supply_node}.get(fault.to)
        end = other(netlist, fault.target) if other else alter.node_at(netlist, fault.to)
        return Row(_NONE, (start, end), ()) if start is not None and end is not None else None
    if fault.mode not in ("stuck", "position"):
        return None
    name = next((p + fault.target for p in PREFIXES if p + fault.target in netlist.variable_by_name), None)
    return Row(_NONE, None, ((name, fault.to),)) if name is not None else None


def _in_elements(netlist: Netlist, fault: Fault) -> Row | None:
    names = netlist.element_of.get(fault.target, ())
    known = [netlist.place_of[name] for name in names if name in netlist.place_of]
    sure = known and len(known) == len(names) and all(_sure(netlist, name) for name in names)
    # A blown fuse is seen to be blown, even where no current would have passed it.
    held = ((f"fuse:{fault.target}", "blown"),) if fault.mode == "blown" else ()
    return Row(np.array(known, dtype=np.intp), None, held) if sure else None


def _sure(netlist: Netlist, name: str) -> bool:
    element = netlist.element_by_id.get(name)
    return not isinstance(element, Conductor) or element.resistance_ohm >= EXACT_FROM_OHM


def untouched(
    look: Row, points: Sequence[OperatingPoint], felt: npt.NDArray[np.intp], least_a: float = NO_CURRENT_A
) -> bool:
    """Whether a fault changes nothing in any of these points of the sound vehicle, less than `least_a` being none.
    `felt` are the pairs of nodes [n, 2] that something looks at or draws from (`watched.felt`)."""
    return all(_untouched(look, point, felt, least_a) for point in points)


def _untouched(look: Row, point: OperatingPoint, felt: npt.NDArray[np.intp], least_a: float) -> bool:
    if len(look.elements) and not np.all(np.abs(point.currents_a[look.elements]) < least_a):
        return False
    if look.nodes is not None:
        across = point.volts[look.nodes[0]] - point.volts[look.nodes[1]]
        if not np.isnan(across) and abs(across) > NO_VOLTS_V:
            return False
        # A floating point that is joined to another takes its potential, and no current; but what hangs between its
        # piece and another, and so far had no volts, may see some now.
        if np.isnan(across) and np.isin(_between_islands(point, felt), point.island[list(look.nodes)]).any():
            return False
    return all(point.state.get(name) == value for name, value in look.held)


def _between_islands(point: OperatingPoint, pairs: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """The islands that pairs of nodes are in whose two nodes are in different ones."""
    island = point.island[pairs]
    return np.unique(island[island[:, 0] != island[:, 1]])
