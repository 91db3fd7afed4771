"""What a solve gives: volts and currents of a netlist in one state, phases of declared timing, and what was found."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.finding import Finding
from loombench.circuit.loops import FloatArray


@dataclass(frozen=True, eq=False)
class OperatingPoint:
    """One solution. Arrays are read-only.

    `currents_a` follows the netlist's elements, positive from `a` to `b`; `index` is the place of an element id in it.
    """

    volts: FloatArray
    """[nodes] against the reference node; nan where the node's island has no path to it ("floating")."""
    inner_v: FloatArray
    """[nodes] against the reference of the own island, so that differences inside a floating island are right."""
    island: IntArray
    """[nodes] the smallest node of the node's island."""
    currents_a: FloatArray
    index: Mapping[str, int]
    state: Mapping[str, str]
    """The value of every variable."""
    probe_a: float = 0.0
    """Current into the red lead of an attached meter."""

    def current_a(self, element: str) -> float:
        """Current of an element from its `a` to its `b`; 0 for one the netlist does not have (a fault took it out)."""
        place = self.index.get(element)
        return 0.0 if place is None else float(self.currents_a[place])

    def across_v(self, a: int, b: int) -> float | None:
        """Volts from `a` to `b`; None where no path joins them, so that nothing defines it."""
        if self.island[a] != self.island[b]:
            return None
        return float(self.inner_v[a] - self.inner_v[b])

    def node_v(self, node: int) -> float | None:
        """Volts of a node against the reference; None where it floats."""
        value = float(self.volts[node])
        return None if np.isnan(value) else value


@dataclass(frozen=True, eq=False)
class Phase:
    """A part of a declared rhythm: its share of the time, how long it lasts at a stretch, what holds in it."""

    share: float
    seconds: float
    point: OperatingPoint


@dataclass(frozen=True, eq=False)
class Stood:
    """What stood for `seconds` (the middle of its range) until the breaker of that variable tripped."""

    variable: str
    seconds: float
    point: OperatingPoint


@dataclass(frozen=True, eq=False)
class Settled:
    """Where a state comes to rest.

    `phases` is empty unless declared timing (flasher, ticking, PWM, cycling breaker, turning cam) goes on; their shares
    add up to 1 and `point` is the first. `memory` is what the next `settle` needs: every variable that is no input and
    the clocks of running timers. `alternatives` are other ends the same history may have (a fuse between 1.1 and 1.35
    times its rating). `stood` is what held before each breaker that tripped did, in order: what works a while, then
    stops.
    """

    point: OperatingPoint
    phases: tuple[Phase, ...]
    memory: Mapping[str, str]
    findings: tuple[Finding, ...]
    alternatives: tuple["Settled", ...] = ()
    stood: tuple[Stood, ...] = ()

    @property
    def all_phases(self) -> tuple[Phase, ...]:
        """The phases; one that lasts for ever where there is no rhythm."""
        return self.phases or (Phase(1.0, float("inf"), self.point),)
