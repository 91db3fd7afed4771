"""Steps about what a breaker stops by heat: a load that one may have stopped is switched off until the breaker has
cooled, then switched on and watched, or the amperes are read while it works.

What trips the breaker shows itself: the load works again, for a while. What is open for good, the breaker itself or any
other place, stays dead. No volts part these two, as an open breaker reads the same whatever opened it.

Amperes part what trips it: above its rating the circuit takes too much, below it the breaker is weak.
"""

from collections.abc import Iterator

import numpy as np

from loombench.circuit.lowering.protection import cooling_s
from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import Sights
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import CUTS_OUT, PULSING, LoadSeen
from loombench.diagnose.region import Region, setting
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step
from loombench.vehicle.condition import RUNNING, Condition, Operation, Setup
from loombench.vehicle.points import WIRE, Point

SUSPECTED = 0.02
"""From this share of the belief in something that trips a breaker it is waited for (an estimate)."""


def left_to_cool(
    bench: Bench, belief: Belief, where: Region, sights: Sights, load: str, condition: Condition
) -> Iterator[See]:
    """A look at a load after a pause for each breaker before it that some suspect trips in this state; none where it
    does not close by itself once it has cooled, or where nothing that the driver sets can be switched off."""
    off = _switched_off(bench, where, condition)
    if off is None or load not in sights.loads:
        return
    for name in where.protection:
        cools_s = cooling_s(bench.vehicle.parts[name])
        if cools_s is not None and _trips(belief, sights, name) >= SUSPECTED:
            # Where the time is not known, as long as any takes.
            yield See(load, _rested(condition, off, cools_s.high))


def while_running(bench: Bench, belief: Belief, where: Region, load: str, condition: Condition) -> Iterator[Measure]:
    """Amperes behind each breaker before a load that was seen to stop by itself, or to come and go, while it works.

    A breaker that closes once it has cooled is left to cool first.
    """
    now = setting(condition)
    looks = (one for one in belief.observations if isinstance(one, LoadSeen) and one.verified and one.load == load)
    if not any(one.seen in (CUTS_OUT, PULSING) and setting(one.condition) == now for one in looks):
        return
    off = _switched_off(bench, where, condition)
    for name in where.protection:
        part, point = bench.vehicle.parts[name], Point(name, "out", layer=WIRE)
        if part.kind == "breaker" and point in bench.vehicle.wires_at:
            cools_s = cooling_s(part)
            rested = condition if off is None or cools_s is None else _rested(condition, off, cools_s.high)
            yield Measure(Setup(rested, point, None, RUNNING), drop=True)


def once_stopped(belief: Belief, situation: Situation, step: Step) -> str:
    """The load that has to have stopped before volts are read: one seen to cut out in that state; empty where none is.

    With the breaker open is where the circuit comes to rest, so that is what every suspect is expected to show.
    """
    if not isinstance(step, Measure) or step.kind == "ohms" or step.setup.meter == RUNNING:
        return ""
    cut = (one for one in belief.observations if isinstance(one, LoadSeen) and one.verified and one.seen == CUTS_OUT)
    now = setting(step.setup.condition)
    there = (one for one in cut if one.repaired == situation.repaired and setting(one.condition) == now)
    return next((one.load for one in there), "")


def _rested(condition: Condition, off: Operation, cools_s: float) -> Condition:
    """A condition with what it sets last switched off, left so long, and switched on again."""
    on = next(one for one in reversed(condition.operations) if (one.verb, one.target) == ("set", off.target))
    return condition.then(off, Operation("wait", "", f"{cools_s:g}"), on)


def _switched_off(bench: Bench, where: Region, condition: Condition) -> Operation | None:
    """What was set last of what switches the load, put back to rest."""
    driven = {name for name in where.controls if bench.vehicle.controls[name].by == "driver"}
    for one in reversed(condition.operations):
        if one.verb == "set" and one.target in driven and one.value != bench.vehicle.controls[one.target].rest:
            return Operation("set", one.target, bench.vehicle.controls[one.target].rest)
    return None


def _trips(belief: Belief, sights: Sights, breaker: str) -> float:
    """The belief in what makes too much current open a breaker."""
    if breaker not in sights.fuses:
        return 0.0
    opens = (sights.opens_s[:, sights.fuses.index(breaker)] > 0.0).astype(np.float64)
    return float(belief.share @ ((opens[belief.hypotheses.low] + opens[belief.hypotheses.high]) / 2.0))
