"""One faulted network factored anew by the sound network's own plan: where a table loses too many digits.

A changed resistance or an opened element leaves the plan as it is, and one new resistance or meter is a probe to it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Battery, Conductor
from loombench.circuit.newton import NoSolution, Solution, solve_network
from loombench.circuit.probe import Probe
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.port import Port


@dataclass(frozen=True, eq=False, slots=True)
class Whole:
    """A whole solution by what it differs from the base's, in single precision: [nodes] volts, [elements] currents. A
    few hundred of them are kept for every state. `probe_a` is the current of the new element."""

    moved_v: npt.NDArray[np.float32]
    moved_a: npt.NDArray[np.float32]
    island: IntArray
    probe_a: float

    def across_v(self, base: Base, a: IntArray, b: IntArray) -> FloatArray:
        """[pairs] volts from `a` to `b`."""
        volts = base.inner_v
        result: FloatArray = volts[a] - volts[b] + (self.moved_v[a] - self.moved_v[b])
        return result

    def current_a(self, base: Base, places: IntArray) -> FloatArray:
        """[places] currents of elements."""
        result: FloatArray = base.at.current_a[places] + self.moved_a[places]
        return result

    def solution(self, base: Base) -> Solution:
        """All of it."""
        p, volts = base.p, base.inner_v + self.moved_v
        return Solution(volts, self.island, volts[p.a] - volts[p.b], base.at.current_a + self.moved_a, self.probe_a, 0)


def refactored(base: Base, ports: Sequence[Port]) -> Whole | None:
    """The whole solution; None where other than conductors change, or more than one is new."""
    probe: Probe | None = None
    slope_s, closed = base.p.slope_s.copy(), base.closed.copy()
    for port in ports:
        if port.place < 0:
            if probe is not None or not isinstance(port.element, Conductor | Battery):
                return None
            emf_v = port.element.emf_v if isinstance(port.element, Battery) else 0.0
            probe = Probe(port.a, port.b, port.element.resistance_ohm, emf_v)
        elif port.element is None:
            closed[port.place] = False
        elif isinstance(port.element, Conductor) and isinstance(base.p.netlist.elements[port.place], Conductor):
            closed[port.place] = True
            slope_s[port.place] = 1.0 / (port.element.resistance_ohm + port.series_ohm)
        else:
            return None
    key, index = tuple((port.place, port.a, port.b) for port in ports), base.p.devices.index
    at = solve_network(replace(base.p, slope_s=slope_s), closed, base.begun.guess(key, base.at.across_v, index), probe)
    if isinstance(at, NoSolution) or not np.isfinite(at.inner_v).all():
        return None
    base.begun.note(key, at.across_v[index])
    island = base.island if np.array_equal(at.island, base.island) else base.shared(at.island)
    moved_v, moved_a = at.inner_v - base.inner_v, at.current_a - base.at.current_a
    return Whole(moved_v.astype(np.float32), moved_a.astype(np.float32), island, at.probe_a)
