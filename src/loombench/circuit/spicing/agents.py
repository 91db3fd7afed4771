"""What moves the variables, as latches that the simulator itself sets and resets while time runs.

A latch is one volt on a capacitor: its source pulls it to 1 where it is to be set, to 0 where it is to be reset, and
else leaves it alone, so that between pick-up and drop-out it stays. (One that holds itself up by its own volts has two
solutions, and an iterate on the way may fall into the wrong one.) Latches differ in how fast they are:
inputs and tripping outputs first, then modules and outputs, converters, relays, and fuses by far the last.

Time is pressed together where only its order matters: fuses of t seconds open after 50 ms (t / 20 ms)^(1/4). Timers
count seconds: as many as a step waits (`hurry` is their rate), and after the last step, while `clock` is up, without
end, a decade in 0.3 s.
"""

import math
from collections.abc import Mapping
from types import MappingProxyType

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
from loombench.circuit.spicing.deck import Deck, number
from loombench.circuit.spicing.elements import current_of
from loombench.facts.fuse import OPENS_FROM, opening_time_s

INPUT_S, OUTPUT_S, SUPPLY_S, RELAY_S, FUSE_S = 2e-4, 1e-3, 2e-3, 5e-3, 1e-4
POWERED_V = 1.0
"""A breaker that stays open while it is powered: volts of either side that count as powered."""
_MULTIPLES = (OPENS_FROM, 1.6, 2.0, 2.5, 3.5, 6.0, 12.0, 100.0, 1000.0, 100000.0)


_MOVED: Mapping[type[Agent], tuple[str, str, str]] = MappingProxyType(
    {
        RelayAgent: ("released", "pulled", "k"),
        FuseAgent: ("whole", "blown", "f"),
        BreakerAgent: ("closed", "tripped", "f"),
        SupplyAgent: ("off", "regulating", "u"),
        TimerAgent: ("open", "closed", "t"),
    }
)
"""At rest, moved, and the letter of the latch's node."""


def pressed_fuse_s(rated_a: float, current_a: float, series: str) -> float:
    """How long a fuse takes on the sheet; from the middle, on a log axis, of its least and greatest opening time."""
    least, most = opening_time_s(rated_a, current_a, series)
    return max(0.05 * math.pow(math.sqrt(least * most) / 0.02, 0.25), 0.01)


def latch(deck: Deck, name: str, sets: str, resets: str, tau_s: float) -> str:
    """Write a latch; its value as an expression. Where both hold, it is set."""
    deck.add(f"B{name} 0 {name} I=({sets}) ? (1-V({name})) : (({resets}) ? -V({name}) : 0)")
    deck.add(f"R{name} {name} 0 1e9")
    deck.add(f"C{name} {name} 0 {number(tau_s)} ic=0")
    return f"V({name})"


def follower(deck: Deck, name: str, wanted: str, tau_s: float) -> str:
    """Write a delay: up while `wanted` holds; its value as an expression."""
    deck.add(f"B{name} 0 {name} I=(({wanted}) ? 1 : 0)-V({name})")
    deck.add(f"C{name} {name} 0 {number(tau_s)} ic=0")
    return f"V({name})"


def stopwatch(deck: Deck, name: str, runs: str, rate: str) -> str:
    """Write an integrator: grows with `rate` a second while `runs` holds, else falls back; its value."""
    deck.add(f"B{name} 0 {name} I=(({runs}) ? ({rate}) : -500*V({name}))")
    deck.add(f"C{name} {name} 0 1 ic=0")
    return f"V({name})"


def seconds(deck: Deck, name: str, runs: str, enough_s: float, stated_only: bool = False) -> str:
    """Write a count of seconds while `runs` holds, up to a little more than `enough_s`; its value.

    With `stated_only` it counts what steps wait, not the endless time after the last one.
    """
    endless = "" if stated_only else f"+V(clock)*(10+V({name}))*{number(math.log(10.0) / 0.3)}"
    return stopwatch(deck, name, runs, f"V({name})>{number(1.5 * enough_s)} ? 0 : V(hurry){endless}")


def moves(agent: Agent) -> tuple[str, ...]:
    """The variables an agent moves."""
    if isinstance(agent, ModuleAgent):
        own = [agent.variable, *(f"input:{agent.part}.{reading.name}" for reading in agent.inputs)]
        driven = [variable for drive in agent.rules for variable in drive.variables]
        return tuple(dict.fromkeys([*own, *(output.variable for output in agent.outputs), *driven]))
    return (agent.variable,)


def declare(deck: Deck, index: int, agent: Agent) -> None:
    """Name the signals of what an agent moves, before anything is written that looks at them.

    Flashers and cams are clocks: they stand still unless a step moves them. Modules name their own.
    """
    if isinstance(agent, FlasherAgent | CamAgent | ModuleAgent):
        return
    rest, moved, node = _MOVED[type(agent)]
    deck.signals[agent.variable, moved] = f"V({node}{index})"
    deck.signals[agent.variable, rest] = f"(1-V({node}{index}))"


def write_agent(deck: Deck, index: int, agent: Agent) -> None:
    """Write what moves a variable, unless the variable is fixed or moved by a step."""
    if isinstance(agent, FlasherAgent | CamAgent | ModuleAgent) or agent.variable in deck.fixed:
        return
    if deck.signals[agent.variable, _MOVED[type(agent)][1]] != f"V({_MOVED[type(agent)][2]}{index})":
        return
    match agent:
        case RelayAgent():
            _relay(deck, index, agent)
        case SupplyAgent():
            _supply(deck, index, agent)
        case TimerAgent():
            _timer(deck, index, agent)
        case _:
            _fuse(deck, index, agent)


def _relay(deck: Deck, index: int, agent: RelayAgent) -> None:
    volts = deck.across(agent.a, agent.b)
    if agent.coil:
        coil = deck.netlist.element_by_id.get(agent.coil)
        volts = "0" if coil is None else f"{number(agent.coil_ohm)}*({current_of(deck, coil)})"
    pull = f"abs({volts})>={number(agent.pick_up_v)}"
    latch(deck, f"k{index}", pull, f"abs({volts})<{number(agent.drop_out_v)}", RELAY_S)


def _fuse(deck: Deck, index: int, agent: FuseAgent | BreakerAgent) -> None:
    series = agent.series if isinstance(agent, FuseAgent) else "breaker"
    element = deck.netlist.element_by_id.get(agent.element)
    current = "0" if element is None else current_of(deck, element)
    deck.add(f"Bi{index} i{index} 0 V=abs({current})/{number(agent.rated_a)}")
    points = [
        (math.log(multiple), -math.log(pressed_fuse_s(agent.rated_a, multiple * agent.rated_a, series)))
        for multiple in _MULTIPLES
    ]
    table = ", ".join(f"{number(x)},{number(y)}" for x, y in points)
    rate = f"exp(pwl(ln(max(V(i{index}),{number(OPENS_FROM)})), {table}))"
    # Once it has begun to open it goes on till it is open, however little current is left.
    opening = f"V(f{index})>0.02 && V(f{index})<0.98"
    hot = f"V(i{index})>={number(OPENS_FROM)}"
    heat = stopwatch(deck, f"h{index}", f"{hot} || ({opening})", f"{hot} ? {rate} : 100")
    resets = "0"
    if isinstance(agent, BreakerAgent) and agent.resets == "stays-open" and element is not None:
        ground = deck.netlist.reference
        sides = [f"abs({deck.across(node, ground)})" for node in (element.a, element.b)]
        cool = seconds(deck, f"c{index}", f"max({sides[0]},{sides[1]})<{POWERED_V}", agent.closes_s)
        resets = f"{cool}>={number(agent.closes_s)}"
    latch(deck, f"f{index}", f"{heat}>1", resets, FUSE_S)


def _supply(deck: Deck, index: int, agent: SupplyAgent) -> None:
    volts = deck.across(agent.a, agent.b)
    latch(deck, f"u{index}", f"{volts}>={number(agent.starts_v)}", f"{volts}<{number(agent.stops_v)}", SUPPLY_S)


def _timer(deck: Deck, index: int, agent: TimerAgent) -> None:
    up = f"{deck.across(agent.control, agent.ground)}>={number(agent.starts_v)}"
    fed = f"{deck.across(agent.supply, agent.ground)}>={number(agent.starts_v)}"
    done = number(agent.time_s)
    if agent.mode == "off-delay":
        clock = seconds(deck, f"w{index}", f"!({up})", agent.time_s)
        latch(deck, f"t{index}", f"({up}) && ({fed})", f"{clock}>={done} || !({fed})", OUTPUT_S)
        return
    clock = seconds(deck, f"w{index}", f"({up}) && ({fed})", agent.time_s)
    late = ">=" if agent.mode == "on-delay" else "<"
    follower(deck, f"t{index}", f"({up}) && ({fed}) && {clock}{late}{done}", OUTPUT_S)
