"""Which nodes are tied to each other so stiffly that a voltmeter on them changes nothing that a display would show."""

import numpy as np
import numpy.typing as npt

from loombench.circuit.netlist import Battery, Conductor, Element, Filament, Junction
from loombench.circuit.operate import Situation
from loombench.circuit.tables.stiff import CONDUCTING_A, STIFF_OHM


def tied(situation: Situation) -> npt.NDArray[np.intp]:
    """[nodes] the smallest node of the group each node is tied into."""
    p, point = situation.ready.p, situation.settled.point
    values = np.array([p.value(one.name, point.state[one.name]) for one in p.netlist.variables], dtype=np.intp)
    stiff = np.array(
        [_stiff(element, current) for element, current in zip(p.netlist.elements, point.currents_a, strict=True)],
        dtype=bool,
    )
    return p.islands(p.closed(values) & stiff)


def _stiff(element: Element, current_a: float) -> bool:
    match element:
        case Conductor():
            return element.resistance_ohm <= STIFF_OHM
        case Filament() | Battery():
            return True
        case Junction():
            return current_a >= CONDUCTING_A and element.series_ohm <= STIFF_OHM
    return False
