"""One condition by the engine and by ngspice: what moved, what every node reads, what floats.

The engine is asked through its public interface alone. ngspice gets two sheets. In the first, from rest without supply,
it moves relays, fuses, modules and converters itself; no state is handed over. In the second the states *it* came to
are frozen and the node volts are solved to the last digit. The ends of both must agree, else the judge is in doubt.

Clocks (flasher, cam, ticking contact, PWM output, cycling breaker) are forced: of a rhythm each phase is compared with
the clock where that phase has it. A flasher closes and opens once after each operation, since what goes wrong while it
is closed stays.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from loombench.circuit.netlist import BreakerAgent, CamAgent, FlasherAgent, ModuleAgent, Netlist
from loombench.circuit.operate import run
from loombench.circuit.point import OperatingPoint, Settled
from loombench.circuit.spice import (
    LAST_S,
    SUPPLY,
    WAIT,
    same_pieces,
    states_of,
    step_times,
    write_spice,
    write_spice_sequence,
)
from loombench.circuit.spicing.islands import floating, islands
from loombench.vehicle.condition import Condition
from tests.ngspice.driver import Spice, SpiceError, Transient
from tests.ngspice.held import held_by_junctions

ABSOLUTE_V, RELATIVE = 1e-5, 1e-6
JUDGE_V, JUDGE_SHARE = 0.05, 0.01
MOST_PHASES = 4
LOST_V, TIE_OHM = 1e3, 1e10
"""Above this a node's volts are none of a vehicle's, and what holds it then."""
_VERBS = {
    "unplug": ("plug", "unplugged"),
    "plug": ("plug", "plugged"),
    "pull": ("seat", "out"),
    "insert": ("seat", "in"),
    "couple": ("couple", "coupled"),
    "uncouple": ("couple", "uncoupled"),
}


@dataclass(frozen=True)
class Miss:
    """Something the two do not agree on: kind is event, volts, floating, chatter, no-answer or judge."""

    kind: str
    where: str
    engine: str
    ngspice: str


@dataclass
class Comparison:
    """Figures of one condition; added up over many."""

    absolute_v: float = ABSOLUTE_V
    states: int = 0
    phases: int = 0
    decisions: int = 0
    still: int = 0
    clocks_forced: int = 0
    nodes: int = 0
    island_nodes: int = 0
    held_nodes: int = 0
    retries: int = 0
    max_error_v: float = 0.0
    over: float = 0.0
    misses: list[Miss] = field(default_factory=list)

    def error(self, volts: float, expected: float) -> bool:
        """Take in a difference; True where it is within the tolerance."""
        error = abs(volts - expected)
        if math.isnan(error):
            self.max_error_v = self.over = math.inf
            return False
        self.max_error_v = max(self.max_error_v, error)
        self.over = max(self.over, error / (self.absolute_v + RELATIVE * abs(expected)))
        return error <= self.absolute_v + RELATIVE * abs(expected)

    def add(self, other: "Comparison") -> None:
        """Add the figures of another."""
        for name in (
            "states",
            "phases",
            "decisions",
            "still",
            "clocks_forced",
            "nodes",
            "island_nodes",
            "held_nodes",
            "retries",
        ):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.max_error_v = max(self.max_error_v, other.max_error_v)
        self.over = max(self.over, other.over)
        self.misses += other.misses


def steps_of(netlist: Netlist, condition: Condition) -> list[dict[str, str]]:
    """The operations of a condition as steps of a sequence; a wait belongs to the step before it."""
    steps: list[dict[str, str]] = []
    for operation in condition.operations:
        if operation.verb == "wait":
            if not steps or WAIT in steps[-1]:
                steps.append({})
            steps[-1][WAIT] = operation.value
        elif operation.verb == "supply":
            steps.append({SUPPLY: operation.value})
        elif operation.verb == "set":
            steps.append({netlist.aliases.get(operation.target, operation.target): operation.value})
        else:
            prefix, value = _VERBS[operation.verb]
            steps.append({f"{prefix}:{operation.target}": value})
    return steps


def clocks(netlist: Netlist) -> tuple[str, ...]:
    """The variables that a declared rhythm moves."""
    found: list[str] = []
    for agent in netlist.agents:
        match agent:
            case FlasherAgent() | CamAgent():
                found.append(agent.variable)
            case BreakerAgent(resets="cycling"):
                found.append(agent.variable)
            case ModuleAgent():
                found += [output.variable for output in agent.outputs if output.pwm_hz > 0.0]
                found += [variable for drive in agent.rules if drive.tick_s > 0.0 for variable in drive.variables]
    return tuple(dict.fromkeys(found))


def compare(spice: Spice, netlist: Netlist, condition: Condition, absolute_v: float = ABSOLUTE_V) -> Comparison:
    """Settle a condition by both and compare, volts within `absolute_v` + 1e-6 of them."""
    found = Comparison(states=1, absolute_v=absolute_v)
    steps = steps_of(netlist, condition)
    settled = run(netlist, condition)
    rest = {variable.name: variable.rest for variable in netlist.variables}
    once = {agent.variable for agent in netlist.agents if isinstance(agent, FlasherAgent)} - set(netlist.frozen)
    if once:
        # A flasher that is fed closes at least once after whatever is done; a fuse may go in that.
        shut, back = (dict.fromkeys(once, state) for state in ("closed", "open"))
        steps = [step for done in [{}, *steps] for step in ({**done, **shut}, back)]
    for point in _points(settled):
        forced = {
            name: point.state[name]
            for name in clocks(netlist)
            if name not in netlist.frozen and (settled.phases or point.state[name] != rest[name])
        }
        found.phases += 1
        found.clocks_forced += len(forced)
        try:
            _compare_point(spice, netlist, [*steps, forced] if forced else steps, settled, point, found)
        except SpiceError as error:
            found.misses.append(Miss("judge", "no answer", "", str(error)[:200]))
    return found


def _points(settled: Settled) -> Iterator[OperatingPoint]:
    if not settled.phases:
        yield settled.point
    for phase in settled.phases[:MOST_PHASES]:
        yield phase.point


def _compare_point(
    spice: Spice,
    netlist: Netlist,
    steps: list[dict[str, str]],
    settled: Settled,
    point: OperatingPoint,
    found: Comparison,
) -> None:
    end = (step_times(len(steps)) or (2.5,))[-1] + LAST_S
    moving = _moving(spice, netlist, steps, end - 1.0, found)
    restless = [name for name, swing in moving.swing.items() if name.startswith("q") and swing > 0.5]
    chatter = [finding for finding in settled.findings if "chatter" in type(finding).__name__.lower()]
    if restless or chatter:
        if bool(restless) != bool(chatter):
            found.misses.append(Miss("chatter", ",".join(restless), str(chatter), str(bool(restless))))
        return
    state = states_of(netlist, steps, moving.end)
    agree = _compare_state(netlist, steps, state, point, found)
    if not np.isfinite(point.volts[netlist.reference]):
        found.misses.append(Miss("no-answer", "", str(settled.findings)[:200], "settled"))
        return
    if not agree:
        return
    supply = {name: value for step in steps for name, value in step.items() if name == SUPPLY}
    solved = _frozen(spice, netlist, {**state, **supply}, moving, found)
    apart = floating(netlist, state)
    lost = [node for node in range(netlist.nodes) if node not in apart and abs(_volts(netlist, node, solved)) > LOST_V]
    if lost:
        solved = _frozen(spice, netlist, {**state, **supply}, moving, found, lost)
    volts = {node: _volts(netlist, node, solved) for node in range(netlist.nodes) if node not in apart}
    exact = held_by_junctions(netlist, state, volts)
    found.held_nodes += len(exact)
    for node, expected in volts.items():
        if node not in exact and abs(_volts(netlist, node, moving.end) - expected) > JUDGE_V + JUDGE_SHARE * abs(
            expected
        ):
            seen = f"{_volts(netlist, node, moving.end)} then {expected}"
            found.misses.append(Miss("judge", _name(netlist, node), "", seen))
        _grounded(netlist, node, exact.get(node, expected), point, found)
    for island in islands(netlist, state):
        if netlist.reference not in island:
            _island(netlist, island, solved, point, found)


def _moving(
    spice: Spice, netlist: Netlist, steps: list[dict[str, str]], tail_from: float, found: Comparison
) -> Transient:
    """The sequence; where ngspice does not get through, with other ways to step in time, which change no law."""
    ways = (("method=gear", 1e-3), ("method=trap", 1e-3), ("method=gear", 1e-5), ("method=trap reltol=1e-4", 1e-4))
    failed = ""
    for method, smoothing_f in ways:
        lines = write_spice_sequence(netlist, steps, smoothing_f).splitlines()
        try:
            return spice.transient_end([line.replace("method=gear", method) for line in lines], tail_from)
        except SpiceError as error:
            found.retries += 1
            failed = str(error)
    raise SpiceError(failed)


def _frozen(
    spice: Spice,
    netlist: Netlist,
    state: Mapping[str, str],
    moving: Transient,
    found: Comparison,
    lost: Sequence[int] = (),
) -> Mapping[str, float]:
    """The operating point, looked for near where the sequence ended; where that fails, from nothing.

    Each of the nodes `lost` gets a resistor to the reference: a piece that hangs on blocking junctions alone came out
    at 1e12 V, and rounding of that spoils the millivolts of all that it is joined to. Its own volts are not asked for.
    """
    ties = [f"Rlost{node} n{node} 0 {TIE_OHM:g}" for node in lost]
    near = {name: volts for name, volts in moving.end.items() if name.startswith("n") and abs(volts) < LOST_V}
    for begin_there in (True, True, False, False):
        try:
            sheet = write_spice(netlist, state, near=near, begin_there=begin_there)
            solved = spice.operating_point(_with(sheet, ties))
        except SpiceError:
            found.retries += 1
            continue
        if same_pieces(netlist, state, near, solved):
            return solved
        near = {name: volts for name, volts in solved.items() if name.startswith("n")}
    return spice.operating_point(_with(write_spice(netlist, state), ties))


def _with(sheet: str, lines: Sequence[str]) -> list[str]:
    """A sheet's lines with some more after its title."""
    title, *rest = sheet.splitlines()
    return [title, *lines, *rest]


def _compare_state(
    netlist: Netlist, steps: list[dict[str, str]], state: Mapping[str, str], point: OperatingPoint, found: Comparison
) -> bool:
    driven = {name for step in steps for name in step if name not in (SUPPLY, WAIT)}
    agree = True
    for variable in netlist.variables:
        name = variable.name
        ours, theirs = point.state[name], state[name]
        if name not in driven and name not in netlist.frozen and not variable.is_input:
            if variable.rest in (ours, theirs) and ours == theirs:
                found.still += 1
            else:
                found.decisions += 1
        if ours != theirs:
            agree = False
            found.misses.append(Miss("event", name, ours, theirs))
    return agree


def _name(netlist: Netlist, node: int) -> str:
    return str(netlist.names[node][0]) if netlist.names[node] else f"node {node}"


def _volts(netlist: Netlist, node: int, values: Mapping[str, float]) -> float:
    return 0.0 if node == netlist.reference else values.get(f"n{node}", math.nan)


def _grounded(netlist: Netlist, node: int, expected: float, point: OperatingPoint, found: Comparison) -> None:
    volts, where = float(point.volts[node]), _name(netlist, node)
    if math.isnan(volts):
        found.misses.append(Miss("floating", where, "floating", f"{expected}"))
        return
    found.nodes += 1
    if not found.error(volts, expected):
        found.misses.append(Miss("volts", where, f"{volts:.9g}", f"{expected:.9g}"))


def _island(
    netlist: Netlist, island: tuple[int, ...], solved: Mapping[str, float], point: OperatingPoint, found: Comparison
) -> None:
    base = island[0]
    for node in island:
        where = _name(netlist, node)
        found.island_nodes += 1
        if not math.isnan(float(point.volts[node])):
            found.misses.append(Miss("floating", where, f"{point.volts[node]:.9g}", "floating"))
            continue
        within = point.across_v(node, base)
        expected = _volts(netlist, node, solved) - _volts(netlist, base, solved)
        if within is None or not found.error(within, expected):
            found.misses.append(Miss("volts", f"{where} within its island", f"{within}", f"{expected:.9g}"))
