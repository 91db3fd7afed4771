"""What agents would see in a solution, as yes or no.

All that relays, fuses, breakers, converters, modules, timers, flashers and cams decide, they decide by volts and
amperes being above or below their limits. Two solutions that answer all of these questions alike make every agent do
the same, whatever its rules, memory and clocks are; only which of several overloaded fuses goes first, and when,
depends on more than that.
"""

from dataclasses import dataclass, field

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import (
    Agent,
    BreakerAgent,
    CamAgent,
    FlasherAgent,
    FuseAgent,
    ModuleAgent,
    RelayAgent,
    SupplyAgent,
    TimerAgent,
)
from loombench.circuit.network import BoolArray, Prepared
from loombench.circuit.switching import UNPOWERED_SHARE
from loombench.circuit.timed import ASKED_A, WORKS_SHARE
from loombench.facts.fuse import HOLDS_TO

_MARGIN = 1e-5
"""Nearer to a limit than this share of it an answer is not trusted to be on one side."""


@dataclass(frozen=True, eq=False)
class Questions:
    """Volts between pairs of nodes and currents of elements (times `factor`), each against a limit. `owner` is the
    variable that alone is moved by the answer, `""` for several."""

    a: IntArray
    b: IntArray
    volts_limit: FloatArray
    either_way: BoolArray
    volts_owner: tuple[str, ...]
    place: IntArray
    factor: FloatArray
    current_limit: FloatArray
    current_owner: tuple[str, ...]
    overload: BoolArray
    """[currents] whether the limit is what a fuse or breaker holds."""


@dataclass
class _Asking:
    p: Prepared
    volts: list[tuple[int, int, float, bool, str]] = field(default_factory=list)
    currents: list[tuple[int, float, float, str, bool]] = field(default_factory=list)

    def between(self, a: int, b: int, *limits: float, owner: str = "", either_way: bool = False) -> None:
        self.volts += [(a, b, limit, either_way, owner) for limit in limits]

    def through(self, element: str, *limits: float, owner: str = "", factor: float = 1.0, over: bool = False) -> None:
        place = self.p.index.get(element)
        if place is not None:
            self.currents += [(place, factor, limit, owner, over) for limit in limits]

    def ask(self, agent: Agent) -> None:
        match agent:
            case RelayAgent(variable=name, a=a, b=b, pick_up_v=up, drop_out_v=down):
                if agent.coil:
                    self.through(agent.coil, up, down, owner=name, factor=agent.coil_ohm)
                else:
                    self.between(a, b, up, down, owner=name, either_way=True)
            case FuseAgent(variable=name) | BreakerAgent(variable=name):
                self.through(agent.element, HOLDS_TO * agent.rated_a, owner=name, over=True)
                place = self.p.index.get(agent.element)
                if isinstance(agent, BreakerAgent) and place is not None:
                    a, b = int(self.p.a[place]), int(self.p.b[place])
                    self.between(a, b, UNPOWERED_SHARE * self.p.netlist.nominal_v, owner=name, either_way=True)
            case SupplyAgent():
                self.between(agent.a, agent.b, agent.starts_v, agent.stops_v, owner=agent.variable)
            case ModuleAgent():
                for supply in agent.supplies:
                    self.between(supply, agent.ground, agent.starts_v, agent.resets_v)
                for item, owner in zip(agent.inputs, agent.input_variables, strict=True):
                    self.between(item.node, item.reference, item.high_v, item.low_v, owner=owner)
                for output in agent.outputs:
                    if output.limit_a > 0.0:
                        self.through(output.element, output.limit_a)
            case TimerAgent(ground=ground):
                self.between(agent.supply, ground, agent.starts_v)
                self.between(agent.control, ground, agent.starts_v)
            case FlasherAgent():
                if agent.ground >= 0:
                    self.between(agent.supply, agent.ground, WORKS_SHARE * self.p.netlist.nominal_v)
                self.through(agent.element, ASKED_A, agent.quick_below_a)
            case CamAgent():
                for motor in agent.motors:
                    place = self.p.index.get(motor)
                    if place is not None:
                        a, b = int(self.p.a[place]), int(self.p.b[place])
                        self.between(a, b, agent.turns_v, either_way=True)


KNOWN = (RelayAgent, FuseAgent, BreakerAgent, ModuleAgent, FlasherAgent, TimerAgent, CamAgent, SupplyAgent)


def questions(p: Prepared) -> Questions | None:
    """All that the agents of a netlist ask; None where one of them is of a kind that is not known here."""
    asking = _Asking(p)
    for agent in p.netlist.agents:
        if not isinstance(agent, KNOWN):
            return None
        asking.ask(agent)
    pairs, currents = asking.volts, asking.currents
    return Questions(
        np.array([one[0] for one in pairs], dtype=np.intp),
        np.array([one[1] for one in pairs], dtype=np.intp),
        np.array([one[2] for one in pairs]),
        np.array([one[3] for one in pairs], dtype=np.bool_),
        tuple(one[4] for one in pairs),
        np.array([one[0] for one in currents], dtype=np.intp),
        np.array([one[1] for one in currents]),
        np.array([one[2] for one in currents]),
        tuple(one[3] for one in currents),
        np.array([one[4] for one in currents], dtype=np.bool_),
    )


@dataclass(frozen=True, eq=False)
class Seen:
    """[rows] each: `answers` all of them as bytes, whether pairs are apart included; `trusted` whether none is too near
    to its limit; `over` [rows, currents] where a fuse or breaker has more than it holds."""

    answers: tuple[bytes, ...]
    trusted: BoolArray
    over: BoolArray


def seen(q: Questions, volts: FloatArray, current_a: FloatArray, apart: BoolArray) -> Seen:
    """The answers for some solutions: [rows, pairs] volts and whether they are apart, [rows, currents] amperes."""
    there = np.where(apart, 0.0, volts)
    there = np.where(q.either_way, np.abs(there), there)
    above = there >= q.volts_limit
    size = np.abs(current_a) * q.factor
    over = size >= q.current_limit
    asks, asks_a = ~q.either_way | (q.volts_limit > 0.0), q.current_limit > 0.0
    near_v = asks & ~apart & (np.abs(there - q.volts_limit) < _MARGIN * (1.0 + np.abs(q.volts_limit)))
    near_a = asks_a & (np.abs(size - q.current_limit) < _MARGIN * (1.0 + q.current_limit))
    packed = np.packbits(np.concatenate((above, apart, over), axis=1), axis=1)
    trusted = ~np.concatenate((near_v, near_a), axis=1).any(axis=1)
    too_much: BoolArray = np.logical_and(over, q.overload)
    return Seen(tuple(line.tobytes() for line in packed), np.asarray(trusted, dtype=np.bool_), too_much)
