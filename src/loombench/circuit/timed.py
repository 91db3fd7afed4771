"""Timed contacts and rhythms: timer relays, flashers, cams, breakers that cycle or have to cool.

A rhythm has two parts. Settling holds it in one of them; only when all else is at rest does it go on to the other.
"""

from collections.abc import Iterable, Mapping

from loombench.circuit.moduleview import Rhythm, Volts
from loombench.circuit.netlist import BreakerAgent, CamAgent, FlasherAgent, TimerAgent
from loombench.circuit.newton import Solution
from loombench.circuit.switching import UNPOWERED_SHARE, Overload
from loombench.circuit.working import Working

# Less than this through a flasher's contact asks for no flashing: the leak of outputs and wet plugs. Estimate.
ASKED_A = 0.01
# A flasher's electronics work from this share of the nominal volts. Estimate.
WORKS_SHARE = 0.5


def timer_wishes(agent: TimerAgent, volts: Volts, w: Working) -> dict[str, str]:
    """What a timer relay's contact does; starts and stops its clock in `w`."""
    powered = (volts.between(agent.supply, agent.ground) or 0.0) >= agent.starts_v
    asked = (volts.between(agent.control, agent.ground) or 0.0) >= agent.starts_v
    is_closed = w.state[agent.variable] == "closed"
    if agent.mode == "off-delay":
        w.run_clock(agent.variable, powered and is_closed and not asked)
        stays = is_closed and not w.reached(agent.variable, agent.time_s)
        closes = powered and (asked or stays)
    else:
        runs = powered and asked
        w.run_clock(agent.variable, runs)
        closes = runs and w.reached(agent.variable, agent.time_s) == (agent.mode == "on-delay")
    return {agent.variable: "closed" if closes else "open"}


def flasher_wishes(agent: FlasherAgent, volts: Volts, w: Working) -> dict[str, str]:
    """A flasher's contact follows its rhythm's part; without power it is open."""
    supply = volts.between(agent.supply, agent.ground)
    powered = agent.ground < 0 or (supply or 0.0) >= WORKS_SHARE * w.p.netlist.nominal_v
    return {agent.variable: "closed" if powered and w.phase.get(agent.variable, True) else "open"}


def flasher_rhythm(agent: FlasherAgent, at: Solution, w: Working, last: Mapping[str, Rhythm]) -> Rhythm | None:
    """The flashing while a current is asked for, at twice the rate below `quick_below_a`; the open part knows the rate
    from the closed one."""
    if w.state[agent.variable] != "closed":
        return last.get(agent.variable) if not w.phase.get(agent.variable, True) else None
    place = w.p.index.get(agent.element)
    current_a = 0.0 if place is None else abs(float(at.current_a[place]))
    if current_a < ASKED_A:
        return None
    half_s = agent.period_s / (4.0 if current_a < agent.quick_below_a else 2.0)
    return Rhythm(agent.variable, half_s, half_s)


def cam_wishes(agent: CamAgent, w: Working) -> dict[str, str]:
    """A cam is where its rhythm's part says."""
    away = w.phase.get(agent.variable, w.state[agent.variable] != agent.parked)
    return {agent.variable: agent.away if away else agent.parked}


def cam_rhythm(agent: CamAgent, volts: Volts, w: Working) -> Rhythm | None:
    """A cam goes on turning while one of its motors does: first part away, second parked."""
    for motor in agent.motors:
        element = w.p.netlist.element_by_id.get(motor)
        if element is not None and abs(volts.between(element.a, element.b) or 0.0) >= agent.turns_v:
            away_s = (1.0 - agent.parked_share) * agent.turn_s
            return Rhythm(agent.variable, away_s, agent.parked_share * agent.turn_s)
    return None


def cooling_wishes(tripped: Iterable[BreakerAgent], at: Solution, w: Working) -> dict[str, str]:
    """The breakers that close again: those that stay open while powered, once they have been without power for long
    enough; starts and stops their clocks in `w`. `tripped` are those that are open, but for those a fault holds so."""
    wishes = {}
    for agent in tripped:
        element = w.p.netlist.element_by_id.get(agent.element)
        if agent.resets != "stays-open" or element is None:
            continue
        across_v = abs(float(at.inner_v[element.a] - at.inner_v[element.b]))
        powered = at.island[element.a] == at.island[element.b] and across_v >= UNPOWERED_SHARE * w.p.netlist.nominal_v
        w.run_clock(agent.variable, not powered)
        if not powered and w.reached(agent.variable, agent.closes_s):
            w.run_clock(agent.variable, False)
            wishes[agent.variable] = "closed"
    return wishes


def cycling(agent: BreakerAgent) -> bool:
    """Whether a breaker closes again by itself under load."""
    return agent.resets == "cycling"


def breaker_wishes(agent: BreakerAgent, w: Working) -> dict[str, str]:
    """A cycling breaker is where its rhythm's part says."""
    return {agent.variable: "closed" if w.phase.get(agent.variable, True) else "tripped"}


def breaker_rhythm(
    agent: BreakerAgent, over: Mapping[str, Overload], w: Working, last: Mapping[str, Rhythm]
) -> Rhythm | None:
    """A cycling breaker trips in the middle (geometric) of its times, and recloses after its time."""
    if not w.phase.get(agent.variable, True):
        return last.get(agent.variable)
    overload = over.get(agent.variable)
    if overload is None or not overload.opens:
        return None
    return Rhythm(agent.variable, (overload.t_min_s * overload.t_max_s) ** 0.5, agent.closes_s)
