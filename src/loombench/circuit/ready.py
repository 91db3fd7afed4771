"""A netlist with its agents sorted by kind, ready to be settled as often as wanted."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.glances import Glances
from loombench.circuit.loops import FloatArray
from loombench.circuit.moduleview import deadlines
from loombench.circuit.netlist import (
    BreakerAgent,
    CamAgent,
    FlasherAgent,
    ModuleAgent,
    Netlist,
    SupplyAgent,
    TimerAgent,
)
from loombench.circuit.network import Prepared, prepare
from loombench.circuit.newton import NoSolution, Solution, solve_network
from loombench.circuit.probe import Probe
from loombench.circuit.switching import Overloads, Relays, overloads, relays


@dataclass(frozen=True, eq=False)
class Agents:
    """The agents of a netlist by kind, those of relays and fuses as arrays."""

    relays: Relays
    overloads: Overloads
    breakers: tuple[BreakerAgent, ...]
    modules: tuple[ModuleAgent, ...]
    supplies: tuple[SupplyAgent, ...]
    timers: tuple[TimerAgent, ...]
    flashers: tuple[FlasherAgent, ...]
    cams: tuple[CamAgent, ...]
    deadlines: Mapping[str, tuple[float, ...]]
    """Seconds at which something happens, by clock."""
    glances: Glances
    """What looks at the modules."""


def agents_of(p: Prepared) -> Agents:
    """Sort the agents of a netlist by kind."""
    n = p.netlist
    modules = tuple(agent for agent in n.agents if isinstance(agent, ModuleAgent))
    timers = tuple(agent for agent in n.agents if isinstance(agent, TimerAgent))
    breakers = tuple(agent for agent in n.agents if isinstance(agent, BreakerAgent))
    times: dict[str, tuple[float, ...]] = {agent.variable: (agent.time_s,) for agent in timers}
    times |= {agent.variable: (agent.closes_s,) for agent in breakers if agent.resets == "stays-open"}
    for module in modules:
        times |= deadlines(module)
    return Agents(
        relays(n, p.index),
        overloads(n, p.index),
        breakers,
        modules,
        tuple(agent for agent in n.agents if isinstance(agent, SupplyAgent)),
        timers,
        tuple(agent for agent in n.agents if isinstance(agent, FlasherAgent)),
        tuple(agent for agent in n.agents if isinstance(agent, CamAgent)),
        times,
        Glances(p, modules),
    )


@dataclass(frozen=True, eq=False)
class Ready:
    """A network with its agents, and the meter on it, ready to be settled. `solver` answers in place of the network's
    own solution where it is given: from the variables' values [variables] and volts across the elements as a guess."""

    p: Prepared
    agents: Agents
    probe: Probe | None = None
    solver: Callable[[IntArray, FloatArray | None], Solution | NoSolution] | None = None

    def solve(self, values: IntArray, near: Solution | FloatArray | None) -> Solution | NoSolution:
        """The network with its variables at `values`, or why there is no answer. `near` are volts across the elements
        as a guess, or its last solution, which stands as long as the same elements conduct."""
        guess = near.across_v if isinstance(near, Solution) else near
        if self.solver is not None:
            return self.solver(values, guess)
        closed = self.p.closed(values)
        if isinstance(near, Solution) and near.closed is not None and np.array_equal(near.closed, closed):
            return near
        return solve_network(self.p, closed, guess, self.probe)


def ready_for(netlist: Netlist, like: Ready | None = None) -> Ready:
    """Make a netlist ready to be settled as often as wanted; `like` is one that differs little (see `prepare`)."""
    p = prepare(netlist, like.p if like else None)
    return Ready(p, agents_of(p))
