"""Going on from where a vehicle stands to a condition that is one operation longer, and where that may not be done."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.circuit.finding import FuseOpens
from loombench.circuit.operate import Situation, target_of
from loombench.circuit.ready import Ready
from loombench.circuit.settle import LONG, settle
from loombench.vehicle.condition import Condition, Operation

FloatArray = npt.NDArray[np.float64]


def timed(ready: Ready, condition: Condition) -> bool:
    """Whether it matters how much time passes between two operations."""
    agents = ready.agents
    clocks = agents.deadlines.keys() - _cooling(ready) or agents.flashers or agents.cams or agents.modules
    return bool(clocks) or any(operation.verb in ("wait", "supply") for operation in condition.operations)


def _cooling(ready: Ready) -> frozenset[str]:
    return frozenset(agent.variable for agent in ready.agents.breakers)


def cools(situation: Situation) -> bool:
    """Whether a breaker has tripped, so that it matters how long it is left to cool before the next operation."""
    opened = {found.variable for found in situation.settled.findings if isinstance(found, FuseOpens)}
    return bool(opened & _cooling(situation.ready))


def turns(situation: Situation) -> bool:
    """Whether a cam is turning."""
    phases = situation.settled.phases
    cams = situation.ready.agents.cams
    return any(len({phase.point.state[cam.variable] for phase in phases}) > 1 for cam in cams)


def gone_on(before: Situation, ready: Ready, operation: Operation, guess: FloatArray | None) -> Situation:
    """One more operation after a situation, of which only memory and inputs are taken."""
    inputs, memory = dict(before.inputs), dict(before.settled.memory)
    name, value = target_of(ready.p.netlist, operation)
    (inputs if ready.p.netlist.variable_by_name[name].is_input else memory)[name] = value
    ready.p.value(name, value)
    settled = settle(ready, inputs, memory, LONG, guess=guess)
    found = dict.fromkeys((*before.settled.findings, *settled.findings))
    return Situation(ready, inputs, replace(settled, findings=tuple(found)), False)
