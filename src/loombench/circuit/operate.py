"""Putting a netlist into a condition: the operations from rest, one after the other, each settled with memory.

Time: `wait` says how long passes after what was done before it. Between operations with no wait no time passes; after
the last one so long that every timer runs out. A position that springs back is held until its control is set again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from loombench.circuit.kernel import FloatArray
from loombench.circuit.netlist import Netlist
from loombench.circuit.network import with_supply
from loombench.circuit.point import Settled
from loombench.circuit.probe import Probe
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import LONG, settle
from loombench.vehicle.condition import Condition, Operation

_VERBS = MappingProxyType(
    {
        "unplug": ("plug", "unplugged"),
        "plug": ("plug", "plugged"),
        "pull": ("seat", "out"),
        "insert": ("seat", "in"),
        "couple": ("couple", "coupled"),
        "uncouple": ("couple", "uncoupled"),
    }
)


@dataclass(frozen=True, eq=False)
class Situation:
    """A condition reached: the network with its supply, the inputs as set, where it settled, and whether the time that
    has passed is stated (`stated_time`), so that a measurement must not add to it.

    The findings of `settled` are those of all operations on the way: a fuse stays blown by what was done before.
    """

    ready: Ready
    inputs: Mapping[str, str]
    settled: Settled
    stated_time: bool

    def measured(self, probe: Probe) -> Settled:
        """Settle on from here with a meter on."""
        seconds = 0.0 if self.stated_time else LONG
        return settle(
            self.ready, self.inputs, self.settled.memory, seconds, probe, guess_from(self.ready, self.settled)
        )


def operate(netlist: Netlist | Ready, condition: Condition, rest: Settled | None = None) -> Situation:
    """Do the operations of a condition from rest. `rest` is where the netlist settles at rest, if known already.

    Raises:
        KeyError: an operation names something that the netlist does not have; names are looked up before.
        ValueError: seconds or volts are no number.
    """
    start = netlist if isinstance(netlist, Ready) else ready_for(netlist)
    ready = start
    inputs: dict[str, str] = {}
    settled = settle(ready, inputs, {}) if rest is None else rest
    findings = dict.fromkeys(settled.findings)
    steps = condition.operations
    timed = False
    k = 0
    while k < len(steps):
        memory = dict(settled.memory)
        if steps[k].verb == "supply":
            ready = replace(ready, p=with_supply(start.p, float(steps[k].value)))
        elif steps[k].verb != "wait":
            name, value = target_of(ready.p.netlist, steps[k])
            (inputs if ready.p.netlist.variable_by_name[name].is_input else memory)[name] = value
            ready.p.value(name, value)
        k += steps[k].verb != "wait"
        waits = 0.0
        timed = k < len(steps) and steps[k].verb == "wait"
        while k < len(steps) and steps[k].verb == "wait":
            waits += float(steps[k].value)
            k += 1
        seconds = waits if timed or k < len(steps) else LONG
        settled = settle(ready, inputs, memory, seconds, guess=guess_from(ready, settled))
        findings |= dict.fromkeys(settled.findings)
    return Situation(ready, inputs, replace(settled, findings=tuple(findings)), timed)


def run(netlist: Netlist | Ready, condition: Condition) -> Settled:
    """Where a condition settles. Raises as `operate`."""
    return operate(netlist, condition).settled


def guess_from(ready: Ready, settled: Settled) -> FloatArray | None:
    """Volts across the elements where it settled, as a guess for the next time; None where there is no answer."""
    volts = settled.point.inner_v
    across: FloatArray = volts[ready.p.a] - volts[ready.p.b]
    return across if bool(np.isfinite(across).all()) else None


def target_of(netlist: Netlist, step: Operation) -> tuple[str, str]:
    """The variable an operation sets, and its value.

    Raises:
        KeyError: the netlist has no such variable, or the verb is none that sets one.
    """
    if step.verb == "set":
        name, value = netlist.aliases.get(step.target, step.target), step.value
    else:
        prefix, value = _VERBS[step.verb]
        name = f"{prefix}:{step.target}"
    if name not in netlist.variable_by_name:
        raise KeyError(f"nothing named {name!r} to {step.verb}")
    return name, value
