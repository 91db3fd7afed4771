"""What relays, fuses, breakers and converters want at a solution: pure functions over arrays prepared once.

Fuses: a steady one holds to 1.1 times its rating; from there to 1.35 it may hold or open; from 1.35 it opens, within
the times of its table (`facts.fuse`). Of several the one with the smallest opening time goes first, alone.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import BreakerAgent, FuseAgent, Netlist, RelayAgent, SupplyAgent
from loombench.circuit.network import BoolArray
from loombench.circuit.newton import Solution
from loombench.facts.fuse import HOLDS_TO, opening_time_s


@dataclass(frozen=True, eq=False)
class Relays:
    """All relays; `coil` is the place of the coil's element where its current counts, else -1."""

    names: tuple[str, ...]
    a: IntArray
    b: IntArray
    pick_up_v: FloatArray
    drop_out_v: FloatArray
    coil: IntArray
    coil_ohm: FloatArray
    by_current: BoolArray


@dataclass(frozen=True, eq=False)
class Overloads:
    """All fuses and breakers; `place` is that of the element, -1 where a fault took it out."""

    agents: tuple[FuseAgent | BreakerAgent, ...]
    place: IntArray
    rated_a: FloatArray


@dataclass(frozen=True)
class Overload:
    """One of them above what it holds."""

    agent: FuseAgent | BreakerAgent
    current_a: float
    t_min_s: float
    t_max_s: float

    @property
    def opens(self) -> bool:
        """Whether it opens for certain."""
        return math.isfinite(self.t_max_s)


def relays(netlist: Netlist, index: Mapping[str, int]) -> Relays:
    """Collect the relays."""
    agents = [agent for agent in netlist.agents if isinstance(agent, RelayAgent)]
    return Relays(
        tuple(agent.variable for agent in agents),
        np.array([agent.a for agent in agents], dtype=np.intp),
        np.array([agent.b for agent in agents], dtype=np.intp),
        np.array([agent.pick_up_v for agent in agents]),
        np.array([agent.drop_out_v for agent in agents]),
        np.array([index.get(agent.coil, -1) for agent in agents], dtype=np.intp),
        np.array([agent.coil_ohm for agent in agents]),
        np.array([bool(agent.coil) for agent in agents], dtype=np.bool_),
    )


def overloads(netlist: Netlist, index: Mapping[str, int]) -> Overloads:
    """Collect the fuses and breakers."""
    agents = tuple(agent for agent in netlist.agents if isinstance(agent, FuseAgent | BreakerAgent))
    return Overloads(
        agents,
        np.array([index.get(agent.element, -1) for agent in agents], dtype=np.intp),
        np.array([agent.rated_a for agent in agents]),
    )


def _through(at: Solution, places: IntArray) -> FloatArray:
    """[places] the current of the elements there; none at -1."""
    result: FloatArray = np.where(places >= 0, at.current_a[places], 0.0)
    return result


def relay_wishes(r: Relays, at: Solution, state: Mapping[str, str]) -> dict[str, str]:
    """The relays that want to move, with where to."""
    if not r.names:
        return {}
    tied = at.island[r.a] == at.island[r.b]
    volts = np.abs(np.where(tied, at.inner_v[r.a] - at.inner_v[r.b], 0.0))
    volts = np.where(r.by_current, np.abs(_through(at, r.coil)) * r.coil_ohm, volts)
    wishes = {}
    for k in np.flatnonzero(volts >= r.pick_up_v).tolist():
        if state[r.names[k]] == "released":
            wishes[r.names[k]] = "pulled"
    for k in np.flatnonzero(volts < r.drop_out_v).tolist():
        if state[r.names[k]] == "pulled":
            wishes[r.names[k]] = "released"
    return wishes


def overloaded(o: Overloads, at: Solution) -> list[Overload]:
    """The fuses and breakers above 1.1 times their rating, the quickest first."""
    if not o.agents:
        return []
    current = np.abs(_through(at, o.place))
    found = []
    for k in np.flatnonzero(current > HOLDS_TO * o.rated_a).tolist():
        agent = o.agents[k]
        series = agent.series if isinstance(agent, FuseAgent) else "breaker"
        found.append(Overload(agent, float(current[k]), *opening_time_s(agent.rated_a, float(current[k]), series)))
    return sorted(found, key=lambda item: (item.t_min_s, item.t_max_s))


# Common practice, no source: a bimetal's own heater no longer keeps it open below this share of the nominal volts.
UNPOWERED_SHARE = 0.1


def supply_wishes(agents: Iterable[SupplyAgent], at: Solution, state: Mapping[str, str]) -> dict[str, str]:
    """The converters that start or stop."""
    wishes = {}
    for agent in agents:
        tied = at.island[agent.a] == at.island[agent.b]
        volts = float(at.inner_v[agent.a] - at.inner_v[agent.b]) if tied else 0.0
        if state[agent.variable] == "off" and volts >= agent.starts_v:
            wishes[agent.variable] = "regulating"
        elif state[agent.variable] == "regulating" and volts < agent.stops_v:
            wishes[agent.variable] = "off"
    return wishes
