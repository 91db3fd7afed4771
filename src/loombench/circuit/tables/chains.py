"""Elements in series: whatever is put in the way of one of them does the same to all the rest of the network.

Two elements that meet at a node where nothing else ends carry the same current in every state. A contact opened, or
made resistive, is then the same fault as the wire beside it opened or made as resistive, for everything but the volts
of the nodes between them.
"""

from collections.abc import Iterable

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.netlist import Conductor, Filament, Junction, Netlist
from loombench.circuit.tables.change import NOWHERE, Change

_SAME_DIGITS = 9
Kind = tuple[int, float]
"""A chain, and the ohms that a fault adds to it; infinite where it opens it."""


def chains(netlist: Netlist, watched: Iterable[int]) -> IntArray:
    """[elements] the first element of each element's chain; a node that is `watched` ends one."""
    ends_at: list[list[int]] = [[] for _ in range(netlist.nodes)]
    for place, element in enumerate(netlist.elements):
        ends_at[element.a].append(place)
        ends_at[element.b].append(place)
    kept = frozenset((*watched, netlist.reference))
    first = list(range(len(netlist.elements)))

    def root(place: int) -> int:
        while first[place] != place:
            first[place] = first[first[place]]
            place = first[place]
        return place

    for node, places in enumerate(ends_at):
        if node in kept or len(places) != 2 or places[0] == places[1]:
            continue
        if all(isinstance(netlist.elements[place], Conductor | Filament | Junction) for place in places):
            one, other = sorted(root(place) for place in places)
            first[other] = one
    return np.array([root(place) for place in range(len(first))], dtype=np.intp)


def kind_of(netlist: Netlist, chain: IntArray, change: Change) -> Kind | None:
    """The chain that a change is in the way of, and by how much; None for any other change."""
    if change.held or change.ratings or len(change.elements) != 1:
        return None
    (one,) = change.elements
    if one.place == NOWHERE:
        return None
    sound = netlist.elements[one.place]
    if type(sound) is not type(one.element):
        return None
    if any(not gate.closed_in for gate in one.element.gates) and one.series_ohm == 0.0:
        return int(chain[one.place]), np.inf
    added = one.series_ohm
    if isinstance(sound, Conductor) and isinstance(one.element, Conductor):
        added += one.element.resistance_ohm - sound.resistance_ohm
    elif isinstance(sound, Junction) and isinstance(one.element, Junction):
        added += one.element.series_ohm - sound.series_ohm
    if added <= 0.0 or one.element.gates != sound.gates or not _same_law(sound, one.element):
        return None
    return int(chain[one.place]), round(added, _SAME_DIGITS)


def _same_law(sound: object, other: object) -> bool:
    match sound, other:
        case Filament(), Filament():
            return sound.law == other.law
        case Junction(), Junction():
            return (sound.saturation_a, sound.slope_v) == (other.saturation_a, other.slope_v)
    return True
