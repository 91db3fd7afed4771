"""Solving and switching until nothing wants to move: one kind of event at a time, rhythms held in their part.

Order: the quickest fuse alone; breakers that have cooled; relays; converters; modules (mode, inputs, outputs); timed
contacts. Relays that want to move together do so at once; if that goes round in circles they are let go one by one in
file order, and if this ends, the end is a race. A state that comes again otherwise is chatter.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from loombench.circuit.finding import Chatter, Finding, FuseOpens, Race, SupplyCollapses, Unsolved
from loombench.circuit.loops import FloatArray
from loombench.circuit.moduleview import ModuleView, Rhythm, Volts
from loombench.circuit.netlist import BreakerAgent, FuseAgent
from loombench.circuit.network import Prepared
from loombench.circuit.newton import NoSolution, Solution
from loombench.circuit.ready import Ready
from loombench.circuit.switching import (
    Overload,
    overloaded,
    relay_wishes,
    supply_wishes,
)
from loombench.circuit.timed import (
    breaker_rhythm,
    breaker_wishes,
    cam_rhythm,
    cam_wishes,
    cooling_wishes,
    cycling,
    flasher_rhythm,
    flasher_wishes,
    timer_wishes,
)
from loombench.circuit.working import Working

MOST_ROUNDS = 400
Trip = tuple[FuseOpens, Solution, Working]


@dataclass(frozen=True, eq=False)
class Rest:
    """Where it came to rest: the solution, what was found on the way, fuses above 1.1 of their rating, rhythms; and
    each breaker that tripped with the solution and the state it did so in."""

    at: Solution
    findings: tuple[Finding, ...]
    over: tuple[Overload, ...]
    rhythms: Mapping[str, Rhythm]
    tripped: tuple[Trip, ...] = ()


@dataclass
class _Found:
    """What is come across on the way."""

    findings: list[Finding] = field(default_factory=list)
    tripped: list[Trip] = field(default_factory=list)


def quiet(ready: Ready, w: Working, near: Solution | FloatArray | None, last: Mapping[str, Rhythm]) -> Rest:
    """Move `w` until nothing in it wants to move. `near` is as in `Ready.solve`; `last` are the rhythms that were going
    on before, by key."""
    before = w.copy()
    rest, circle = _rounds(ready, w, near, last, False)
    names = set(ready.agents.relays.names)
    if not circle or not names.intersection(circle):
        return rest if not circle else replace(rest, findings=(*rest.findings, Chatter(circle)))
    singly = before.copy()
    other, again = _rounds(ready, singly, near, last, True)
    if again:
        return replace(rest, findings=(*rest.findings, Chatter(circle)))
    w.take(singly)
    return replace(other, findings=(*other.findings, Race(tuple(name for name in circle if name in names))))


def _rounds(
    ready: Ready, w: Working, near: Solution | FloatArray | None, last: Mapping[str, Rhythm], singly: bool
) -> tuple[Rest, tuple[str, ...]]:
    """Rounds of one event kind each; with the names of what moves in circles, if it does."""
    found = _Found()
    seen: dict[tuple[object, ...], int] = {}
    passed: list[Mapping[str, str]] = []
    good: tuple[Solution, Working] | None = None
    for _ in range(MOST_ROUNDS):
        at = ready.solve(w.values, near)
        circle = _circle(w, seen, passed)
        if isinstance(at, NoSolution):
            stops = _collapse(ready, w, at, found.findings)
            if stops and not circle:
                continue
            if not stops:
                found.findings.append(Unsolved(at.reason, at.nodes))
            if good is not None:
                w.take(good[1])
            return _rest(ready, good[0] if good else _nothing(ready.p, w), found, w, last), circle
        near = at
        good = (at, w.copy())
        if circle:
            return _rest(ready, at, found, w, last), circle
        views: list[ModuleView] = []
        if not _event(ready, at, w, found, singly, views):
            return _rest(ready, at, found, w, last, views), ()
    at, kept = good if good is not None else (_nothing(ready.p, w), w)
    w.take(kept)
    return _rest(ready, at, found, w, last), tuple(name for name in w.state if passed[-1][name] != passed[-2][name])


def _circle(w: Working, seen: dict[tuple[object, ...], int], passed: list[Mapping[str, str]]) -> tuple[str, ...]:
    key = w.key()
    first = seen.setdefault(key, len(passed))
    if first == len(passed):
        passed.append(dict(w.state))
        return ()
    ring = passed[first:]
    moved = tuple(name for name in w.state if any(state[name] != ring[0][name] for state in ring))
    return moved or tuple(w.blocked) or ("?",)


def _collapse(ready: Ready, w: Working, at: NoSolution, findings: list[Finding]) -> bool:
    """Stop the converter whose input collapses; False where there is none to stop."""
    element = ready.p.netlist.element_by_id.get(at.element)
    if at.reason != "supply-collapses" or element is None:
        return False
    found = SupplyCollapses(at.element, (element.a, element.b))
    if found not in findings:
        findings.append(found)
    own = {agent.variable for agent in ready.agents.supplies}
    return w.move({gate.variable: "off" for gate in element.gates if gate.variable in own})


def _nothing(p: Prepared, w: Working) -> Solution:
    nowhere, none = np.full(p.netlist.nodes, np.nan), np.full(len(p.a), np.nan)
    return Solution(nowhere, p.islands(w.closed()), none, none, 0.0, 0)


def _event(ready: Ready, at: Solution, w: Working, found: _Found, singly: bool, views: list[ModuleView]) -> bool:
    """Let the first kind that wants to move do so; False where none does, and `views` then has all modules."""
    agents = ready.agents
    for over in overloaded(agents.overloads, at):
        if not over.opens or w.state[over.agent.variable] in {"blown", "tripped"}:
            continue
        if isinstance(over.agent, BreakerAgent) and cycling(over.agent):
            # What is slower than a breaker that trips in this part of its rhythm does not get that far.
            break
        before = w.copy()
        if w.move({over.agent.variable: "blown" if isinstance(over.agent, FuseAgent) else "tripped"}):
            opens = FuseOpens(over.agent.variable, over.current_a, over.agent.rated_a, over.t_min_s, over.t_max_s)
            found.findings.append(opens)
            found.tripped += [(opens, at, before)] if isinstance(over.agent, BreakerAgent) else []
            return True
    frozen = ready.p.netlist.frozen
    tripped = [one for one in agents.breakers if w.state[one.variable] == "tripped" and one.variable not in frozen]
    if w.move(cooling_wishes(tripped, at, w)):
        return True
    wishes = {n: v for n, v in relay_wishes(agents.relays, at, w.state).items() if n not in frozen}
    if singly:
        wishes = dict(list(wishes.items())[:1])
    if w.move(wishes) or w.move(supply_wishes(agents.supplies, at, w.state)):
        return True
    volts = Volts(at)
    views.extend(agents.glances.views(volts, at, w))
    if _modules(w, views, found.findings):
        return True
    timed: dict[str, str] = {}
    for timer in agents.timers:
        timed |= timer_wishes(timer, volts, w)
    for flasher in agents.flashers:
        timed |= flasher_wishes(flasher, volts, w)
    for cam in agents.cams:
        timed |= cam_wishes(cam, w)
    for breaker in agents.breakers:
        if cycling(breaker):
            timed |= breaker_wishes(breaker, w)
    return w.move(timed)


def _modules(w: Working, views: Sequence[ModuleView], findings: list[Finding]) -> bool:
    if w.move({name: value for item in views for name, value in item.mode.items()}):
        return True
    for item in views:
        for limit in item.limits:
            w.blocked.update(() if limit.latched else (limit.variable,))
            if limit not in findings:
                findings.append(limit)
    return w.move({name: value for item in views for name, value in (*item.inputs.items(), *item.outputs.items())})


def _rest(
    ready: Ready,
    at: Solution,
    found: _Found,
    w: Working,
    last: Mapping[str, Rhythm],
    views: Sequence[ModuleView] | None = None,
) -> Rest:
    """What is still going on at the end."""
    agents, volts = ready.agents, Volts(at)
    over = tuple(item for item in overloaded(agents.overloads, at) if item.agent.variable not in ready.p.netlist.frozen)
    by_name = {item.agent.variable: item for item in over}
    if views is None:
        views = agents.glances.views(volts, at, w)
    going = [rhythm for item in views for rhythm in item.rhythms]
    going += [r for agent in agents.flashers if (r := flasher_rhythm(agent, at, w, last))]
    going += [r for agent in agents.cams if (r := cam_rhythm(agent, volts, w))]
    going += [r for agent in agents.breakers if cycling(agent) and (r := breaker_rhythm(agent, by_name, w, last))]
    rhythms = {item.key: item for item in going if item.key not in ready.p.netlist.frozen}
    return Rest(at, tuple(found.findings), over, rhythms, tuple(found.tripped))
