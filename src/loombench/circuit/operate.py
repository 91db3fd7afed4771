"""Putting a netlist into a condition: the operations from rest, one after the other, each settled with memory.

Time: `wait` says how long passes after what was done before it. Between operations with no wait no time passes; after
the last one so long that every timer runs out. A position that springs back is held until its control is set again.
"""

from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from loombench.circuit.finding import Chatter, Finding
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Netlist
from loombench.circuit.network import with_supply
from loombench.circuit.newton import NoSolution
from loombench.circuit.phases import reference_point
from loombench.circuit.point import Settled
from loombench.circuit.probe import Probe
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import LONG, settle
from loombench.circuit.working import Working
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
        """Settle on from here with a meter on. Where nothing but what chatters has moved then, it is put back: in which
        of its states it is caught hangs on when the meter is put on, so that shows what is there in the one that stands
        here."""
        seconds, guess = 0.0 if self.stated_time else LONG, guess_from(self.ready, self.settled)
        found = settle(self.ready, self.inputs, self.settled.memory, seconds, probe, guess)
        here = self.settled.point.state
        moved = {name for name, state in found.point.state.items() if here.get(name) != state}
        chatters = {name for one in found.findings if isinstance(one, Chatter) for name in one.variables}
        if found.phases or self.settled.phases or not moved or not moved <= chatters:
            return found
        w = Working(self.ready.p, self.inputs, self.settled.memory)
        at = replace(self.ready, probe=probe).solve(w.values, guess)
        if isinstance(at, NoSolution):
            return found
        return replace(found, point=reference_point(w, at), memory=self.settled.memory)


@dataclass(frozen=True, eq=False)
class Halfway:
    """What stands after some operations while more are to come."""

    ready: Ready
    inputs: Mapping[str, str]
    settled: Settled
    findings: Mapping[Finding, None]


def operate(
    netlist: Netlist | Ready,
    condition: Condition,
    rest: Settled | None = None,
    known: MutableMapping[tuple[Operation, ...], Halfway] | None = None,
) -> Situation:
    """Do the operations of a condition from rest. `rest` is where the netlist settles at rest, if known already;
    `known` is where the netlist stood after earlier operations of other conditions, and is added to: who tries one
    more operation after another goes on from there.

    Raises:
        KeyError: an operation names something that the netlist does not have; names are looked up before.
        ValueError: seconds or volts are no number.
    """
    start = netlist if isinstance(netlist, Ready) else ready_for(netlist)
    steps = condition.operations
    # A wait belongs to the operation before it, so nothing is gone on with between the two.
    counts = (count for count in range(len(steps) - 1, 0, -1) if steps[count].verb != "wait")
    k = next((count for count in counts if steps[:count] in (known or {})), 0)
    if known and k:
        at = known[steps[:k]]
    else:
        settled = settle(start, {}, {}) if rest is None else rest
        at = Halfway(start, {}, settled, dict.fromkeys(settled.findings))
    timed = False
    while k < len(steps):
        k, timed, at = _done(start, at, steps, k)
        if known is not None and k < len(steps):
            known[steps[:k]] = at
    return Situation(at.ready, at.inputs, replace(at.settled, findings=tuple(at.findings)), timed)


def _done(start: Ready, at: Halfway, steps: tuple[Operation, ...], k: int) -> tuple[int, bool, Halfway]:
    """One operation with the waits after it: how many are done then, whether the time was stated, where it stands."""
    begun = k
    ready, inputs, memory = at.ready, dict(at.inputs), dict(at.settled.memory)
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
    settled = settle(ready, inputs, memory, seconds, guess=guess_from(ready, at.settled))
    if begun and steps[begun - 1].verb != "wait":
        # Where no time passes between two operations, what trips by heat trips after the last of them.
        settled = replace(settled, stood=(*at.settled.stood, *settled.stood))
    return k, timed, Halfway(ready, inputs, settled, {**at.findings, **dict.fromkeys(settled.findings)})


def run(netlist: Netlist | Ready, condition: Condition) -> Settled:
    """Where a condition settles. Raises as `operate`."""
    return operate(netlist, condition).settled


def guess_from(ready: Ready, settled: Settled) -> FloatArray | None:
    """Volts across the elements where it settled, as a guess for the next time; None where there are none."""
    volts = settled.point.inner_v
    if len(volts) != ready.p.netlist.nodes:
        return None
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
