"""Settling: from inputs and memory to where a netlist comes to rest, timers run out and rhythms taken apart.

Time passes in three layers. `quiet` switches until nothing wants to move. Then timers run out in the order of their
deadlines, all settling again after each. What is left is rhythm: each is followed from part to part until a state
comes again (or until it stops, as a wiper does when parked); if several go on, their parts are combined as if they
ran independently, each combination weighted by its share of the time.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

from loombench.circuit.finding import Finding, FuseMayHold, TooManyRhythms
from loombench.circuit.loops import FloatArray
from loombench.circuit.moduleview import Rhythm, is_sleep_clock, sleep_clock
from loombench.circuit.netlist import FuseAgent, Netlist
from loombench.circuit.newton import Solution
from loombench.circuit.phases import Following, follow, reference_point
from loombench.circuit.point import Phase, Settled, Stood
from loombench.circuit.probe import Probe
from loombench.circuit.quiet import Rest, quiet
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.switching import Overload
from loombench.circuit.working import Working

LONG = math.inf
"""So long that every timer has run out. Modules fall asleep only in a time that is given."""
MOST_RHYTHMS = 4
_MOST_DEADLINES = 300
_MOST_ALTERNATIVES = 3
_LATE_S = 1e-9


def settle(
    netlist: Netlist | Ready,
    inputs: Mapping[str, str],
    memory: Mapping[str, str],
    seconds: float = LONG,
    probe: Probe | None = None,
    guess: FloatArray | None = None,
) -> Settled:
    """Where a netlist comes to rest `seconds` after the inputs were set, starting from `memory`.

    `inputs` and `memory` are values by variable, those left out are at rest; what a fault holds is held. `guess` are
    volts across the elements to start from, which changes the time taken and nothing else. What cannot be settled is
    in the findings.

    Raises:
        KeyError: a name or a state that the netlist does not have; names are looked up before they get here.
    """
    ready = netlist if isinstance(netlist, Ready) else ready_for(netlist)
    if probe is not None:
        ready = replace(ready, probe=probe)
    w = Working(ready.p, inputs, memory)
    found = _run(ready, w, seconds, guess)
    alternatives = []
    for over in found.may_hold[:_MOST_ALTERNATIVES]:
        other = Working(ready.p, inputs, {**memory, over.agent.variable: "blown"})
        alternatives.append(_settled(_run(ready, other, seconds, found.rest.at)))
    return replace(_settled(found), alternatives=tuple(alternatives))


@dataclass(frozen=True, eq=False)
class _Found:
    w: Working
    rest: Rest
    phases: tuple[Phase, ...]
    findings: tuple[Finding, ...]
    may_hold: tuple[Overload, ...]
    stood: tuple[Stood, ...]


def _settled(found: _Found) -> Settled:
    point = found.phases[0].point if found.phases else reference_point(found.w, found.rest.at)
    return Settled(point, found.phases, found.w.memory(), found.findings, stood=found.stood)


def _run(ready: Ready, w: Working, seconds: float, near: Solution | FloatArray | None) -> _Found:
    trail = Following(ready)
    rest = trail.note(quiet(ready, w, near, {}))
    ring: tuple[tuple[Working, Rest, float], ...] = ()
    rest, ring = _pass_time(trail, w, rest, seconds)
    if ring:
        return _finish(trail, w, rest, _shares(ring))
    cycles: dict[str, tuple[tuple[Working, Rest, float], ...]] = {}
    dropped: list[str] = []
    while going := [key for key in rest.rhythms if key not in cycles and key not in dropped]:
        if len(cycles) == MOST_RHYTHMS:
            dropped = going
            break
        rest, cycle = follow(trail, w, rest, going[0])
        if cycle:
            cycles[going[0]] = cycle
    cycles = {key: cycle for key, cycle in cycles.items() if key in rest.rhythms or len(cycles) == 1}
    if dropped:
        trail.findings.append(TooManyRhythms(tuple(dropped)))
    if len(cycles) == 1:
        (cycle,) = cycles.values()
        return _finish(trail, w, rest, _shares(cycle))
    return _finish(trail, w, rest, _combined(trail, w, rest) if cycles else ())


def _finish(trail: Following, w: Working, rest: Rest, phases: tuple[Phase, ...]) -> _Found:
    may_hold = {
        over.agent.variable: over
        for over in trail.over_at_rest(rest, phases)
        if isinstance(over.agent, FuseAgent) and not over.opens
    }
    findings = [FuseMayHold(name, over.current_a, over.agent.rated_a, over.t_min_s) for name, over in may_hold.items()]
    every = tuple(dict.fromkeys((*trail.findings, *findings)))
    return _Found(w, rest, phases, every, tuple(may_hold.values()), tuple(trail.stood))


def _shares(ring: tuple[tuple[Working, Rest, float], ...]) -> tuple[Phase, ...]:
    total = sum(seconds for _, _, seconds in ring)
    return tuple(Phase(seconds / total, seconds, reference_point(w, rest.at)) for w, rest, seconds in ring)


def _combined(trail: Following, w: Working, rest: Rest) -> tuple[Phase, ...]:
    """Every combination of the parts of the rhythms that go on."""
    keys = list(rest.rhythms)[:MOST_RHYTHMS]
    phases = []
    first: tuple[Working, Rest] | None = None
    for parts in product((True, False), repeat=len(keys)):
        at = w.copy()
        at.phase |= dict(zip(keys, parts, strict=True))
        there = trail.note(quiet(trail.ready, at, rest.at, rest.rhythms))
        first = first or (at, there)
        share, shortest = 1.0, math.inf
        for key, part in zip(keys, parts, strict=True):
            rhythm: Rhythm = rest.rhythms[key]
            seconds = rhythm.first_s if part else rhythm.second_s
            share *= seconds / (rhythm.first_s + rhythm.second_s)
            shortest = min(shortest, seconds)
        phases.append(Phase(share, shortest, reference_point(at, there.at)))
    if first is not None:
        w.take(first[0])
    return tuple(phases)


def _pass_time(
    trail: Following, w: Working, rest: Rest, seconds: float
) -> tuple[Rest, tuple[tuple[Working, Rest, float], ...]]:
    """Let timers run out; with the ring of states where they set each other off for ever."""
    ready, left = trail.ready, seconds
    times = dict(ready.agents.deadlines)
    if math.isfinite(seconds):
        times |= {sleep_clock(module): (module.asleep_after_s,) for module in ready.agents.modules}
    passed: list[tuple[Working, Rest, float]] = []
    seen: dict[tuple[object, ...], int] = {}
    for _ in range(_MOST_DEADLINES):
        due = [
            (time - w.clocks[name], time, name)
            for name, ends in times.items()
            if name in w.clocks
            for time in ends
            if time > w.clocks[name] + _LATE_S
        ]
        if not due or min(due)[0] > left:
            break
        step = min(due)[0]
        left -= step
        if math.isinf(seconds):
            first = seen.setdefault(_clock_key(w), len(passed))
            if first < len(passed):
                return rest, tuple(passed[first:])
            passed.append((w.copy(), rest, step))
        _advance(w, step)
        rest = trail.note(quiet(ready, w, rest.at, rest.rhythms))
    _advance(w, left)
    return rest, ()


def _advance(w: Working, seconds: float) -> None:
    for name in w.clocks:
        if math.isfinite(seconds) or not is_sleep_clock(name):
            w.clocks[name] += seconds


def _clock_key(w: Working) -> tuple[object, ...]:
    return (w.values.tobytes(), tuple((name, round(value, 6)) for name, value in sorted(w.clocks.items())))
