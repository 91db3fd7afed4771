"""Following a rhythm from part to part until a state comes again."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from loombench.circuit.finding import Finding
from loombench.circuit.netlist import CamAgent
from loombench.circuit.newton import Solution
from loombench.circuit.point import OperatingPoint, Phase, Stood
from loombench.circuit.quiet import Rest, quiet
from loombench.circuit.ready import Ready
from loombench.circuit.switching import Overload
from loombench.circuit.working import Working

Ring = tuple[tuple[Working, Rest, float], ...]
_MOST_PARTS = 12


@dataclass
class Following:
    """What one settling has come across so far."""

    ready: Ready
    findings: list[Finding] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    stood: list[Stood] = field(default_factory=list)

    def note(self, rest: Rest) -> Rest:
        """Keep what was found; the same rest."""
        self.findings += [found for found in rest.findings if found not in self.findings]
        self.rests.append(rest)
        for opens, at, before in rest.tripped:
            seconds = math.sqrt(opens.t_min_s * opens.t_max_s)
            self.stood.append(Stood(opens.variable, seconds, reference_point(before, at)))
        return rest

    def over_at_rest(self, rest: Rest, phases: Iterable[Phase]) -> tuple[Overload, ...]:
        """The fuses above 1.1 times their rating where it ends, in any part of its rhythms."""
        points = {id(phase.point.currents_a) for phase in phases}
        ends = [other for other in self.rests if id(other.at.current_a) in points] or [rest]
        return tuple(over for end in ends for over in end.over)


def follow(trail: Following, w: Working, rest: Rest, key: str) -> tuple[Rest, Ring]:
    """Go with one rhythm: the ring of states it goes through, first part first, and `w` there; or, where it stops by
    itself, no ring and `w` where it stopped."""
    passed: list[tuple[Working, Rest, float]] = []
    seen: dict[tuple[object, ...], int] = {}
    for _ in range(_MOST_PARTS):
        rhythm = rest.rhythms.get(key)
        if rhythm is None:
            return rest, ()
        w.phase.setdefault(key, _part(w, key))
        first = seen.setdefault(w.key(), len(passed))
        if first < len(passed):
            break
        passed.append((w.copy(), rest, rhythm.first_s if w.phase[key] else rhythm.second_s))
        w.phase[key] = not w.phase[key]
        rest = trail.note(quiet(trail.ready, w, rest.at, rest.rhythms))
    else:
        first = max(len(passed) - 2, 0)
    ring = passed[first:]
    while not ring[0][0].phase[key] and any(state.phase[key] for state, _, _ in ring):
        ring = [*ring[1:], ring[0]]
    w.take(ring[0][0])
    return ring[0][1], tuple(ring)


def _part(w: Working, key: str) -> bool:
    """The part a rhythm is in that was never told: a cam by where it stands, others in the first."""
    return next((w.state[key] != cam.parked for cam in _cams(w) if cam.variable == key), True)


def _cams(w: Working) -> list[CamAgent]:
    return [agent for agent in w.p.netlist.agents if isinstance(agent, CamAgent)]


def reference_point(w: Working, at: Solution) -> OperatingPoint:
    """The operating point of a solution: floating nodes have no volts."""
    there = at.island == at.island[w.p.netlist.reference]
    volts = np.where(there, at.inner_v, np.nan)
    for array in (volts, at.inner_v, at.island, at.current_a):
        array.setflags(write=False)
    return OperatingPoint(volts, at.inner_v, at.island, at.current_a, w.p.index, dict(w.state), at.probe_a)
