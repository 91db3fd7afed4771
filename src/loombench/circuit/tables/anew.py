"""One faulted network factored anew by the sound network's own plan: where a table loses too many digits.

A changed resistance or an opened element leaves the plan as it is, and one new resistance or meter is a probe to it.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from loombench.circuit.netlist import Battery, Conductor
from loombench.circuit.newton import NoSolution, Solution, solve_network
from loombench.circuit.probe import Probe
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.respond import Port


def refactored(base: Base, ports: Sequence[Port]) -> Solution | None:
    """The whole solution, that of a new element as its `probe_a`; None where other than conductors change, or more than
    one is new."""
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
    at = solve_network(replace(base.p, slope_s=slope_s), closed, base.at.across_v, probe)
    return None if isinstance(at, NoSolution) or not np.isfinite(at.inner_v).all() else at
