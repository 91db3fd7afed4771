"""A netlist as a sheet for a circuit simulator (SPICE), to be solved by somebody else.

Two kinds of sheet. An *operating point* freezes every variable: what it says is what is solved. A *sequence* hands over
no state at all: supplies rise from zero with every input at rest, then the steps follow each other, and relays, fuses,
modules and converters are latches that the simulator moves itself (see `spicing.agents`).

Flashers, cams, ticking and PWM outputs are clocks. They stand still in a sequence, in their rest state or where a step
puts them: each phase of a rhythm is its own sheet.

Nodes are `n0`, `n1` ... by the netlist's numbers, the reference is `0`; a comment gives the points of each.
"""

from collections.abc import Mapping, Sequence
from math import inf

from loombench.circuit.bare.laws import JUNCTION_LEAK_S
from loombench.circuit.netlist import Battery, ModuleAgent, Netlist, Regulated
from loombench.circuit.spicing.agents import declare, moves, write_agent
from loombench.circuit.spicing.deck import HELD_UP, Deck, number
from loombench.circuit.spicing.elements import SMOOTHING_F, piece_of, write_element
from loombench.circuit.spicing.islands import islands
from loombench.circuit.spicing.modules import declare_module, write_module

SUPPLY = "supply"
"""The key under which a step gives battery volts, as in `supply 12.1V`."""
WAIT = "wait"
"""The key under which a step says how many seconds pass after it."""
RISE_S, STEP_S, LAST_S, EDGE_S, LONGEST_S = 1e-3, 1.2, 3.0, 1e-5, 2e-2
TIE_OHM = 1e11
_LEAK = f"gmin={JUNCTION_LEAK_S!r}"
_OP = f".options reltol=1e-6 vntol=1e-8 abstol=1e-8 {_LEAK} temp=27 tnom=27 itl1=500"
_TRAN = f".options reltol=1e-5 vntol=1e-7 abstol=1e-7 {_LEAK} temp=27 tnom=27 chgtol=1e-6 trtol=30 method=gear itl4=50"


def write_spice(
    netlist: Netlist,
    inputs: Mapping[str, str],
    mode: str = "op",
    near: Mapping[str, float] | None = None,
    begin_there: bool = True,
) -> str:
    """The sheet of a netlist with these values of its variables; those not given are at rest.

    Among the values `supply` may give the battery volts. `near` gives volts by node name that are not far off, from
    which an operating point starts looking unless `begin_there` is false. Regulated supplies are then written as the
    piece of their law that these volts are on (off, regulating, limit), so whoever solves the sheet has to see by
    `same_pieces` that the answer is on the same ones.

    Mode `op`: every variable is frozen. Each floating island is tied to 0 at its smallest node by 1 ohm, in which no
    current flows; `spicing.islands.floating` tells its nodes. Mode `transient`: the inputs are set after the supplies
    have risen, the rest is left to the simulator.

    Raises:
        KeyError: a name is no variable of the netlist.
        ValueError: a value is none of its variable's states, or no such mode.
    """
    if mode == "transient":
        return write_spice_sequence(netlist, [inputs])
    if mode != "op":
        raise ValueError(f"a sheet is op or transient, not {mode!r}")
    state = _state(netlist, {name: value for name, value in inputs.items() if name != SUPPLY})
    deck = Deck(netlist, state)
    if SUPPLY in inputs:
        for element in netlist.elements:
            if isinstance(element, Battery | Regulated) and element.share > 0.0:
                given = number(float(inputs[SUPPLY]) * element.share)
                deck.emf[element.id], deck.set_v[element.id] = f"dc {given}", given
    if near:
        for element in netlist.elements:
            if isinstance(element, Regulated):
                set_v = float(deck.set_v.get(element.id, element.set_v))
                deck.pieces[element.id] = piece_of(element, set_v, _across(netlist, element, near))
    _head(deck)
    for k, element in enumerate(netlist.elements):
        write_element(deck, k, element)
    for island in islands(netlist, state):
        if netlist.reference not in island:
            deck.add(f"RTIE{island[0]} {deck.node(island[0])} 0 1")
    for name, volts in (near or {}).items() if begin_there else ():
        deck.add(f".nodeset V({name})={number(volts)}")
    deck.lines += [_OP, ".op", ".end"]
    return "\n".join(deck.lines) + "\n"


def same_pieces(
    netlist: Netlist, inputs: Mapping[str, str], near: Mapping[str, float], solved: Mapping[str, float]
) -> bool:
    """Whether the solution puts every regulated supply on the piece of its law that `near` put it on, within 1 uA."""
    for element in netlist.elements:
        if isinstance(element, Regulated):
            given = SUPPLY in inputs and element.share > 0.0
            set_v = float(inputs[SUPPLY]) * element.share if given else element.set_v
            piece = piece_of(element, set_v, _across(netlist, element, near))
            wanted_a = (set_v - _across(netlist, element, solved)) / element.resistance_ohm
            low, high = {"off": (-inf, 0.0), "regulating": (0.0, element.limit_a), "limit": (element.limit_a, inf)}[
                piece
            ]
            if not low - 1e-6 <= wanted_a <= high + 1e-6:
                return False
    return True


def _across(netlist: Netlist, element: Regulated, volts: Mapping[str, float]) -> float:
    a, b = (0.0 if n == netlist.reference else volts.get(f"n{n}", 0.0) for n in (element.a, element.b))
    return a - b


def write_spice_sequence(netlist: Netlist, steps: Sequence[Mapping[str, str]], smoothing_f: float = SMOOTHING_F) -> str:
    """The sheet that starts at rest without supply, raises the supply, and then sets what each step names.

    A step names inputs; a clock or other memory that a step names is moved by the steps alone, from rest. Its key
    `supply` sets the battery volts from then on. No time passes for timers but what a step gives under `wait`, and
    after the last one, unless that waits, all the time they want. `smoothing_f` is the capacitor across a
    regulated supply, which decides how ngspice gets along and not where it ends. Raises as `write_spice`.
    """
    driven = {name for step in steps for name in step if name not in (SUPPLY, WAIT)}
    agents = {name for agent in netlist.agents for name in moves(agent)}
    rest = _state(netlist, {})
    for step in steps:
        _state(netlist, {name: value for name, value in step.items() if name not in (SUPPLY, WAIT)})
    still = {name: value for name, value in rest.items() if name not in driven and name not in agents}
    clocks = _clocks(netlist)
    deck = Deck(netlist, {**still, **{name: rest[name] for name in clocks - driven}, **netlist.frozen})
    _head(deck)
    times = step_times(len(steps))
    _declare(deck, driven, steps, times)
    last = times[-1] if times else STEP_S
    endless = 0.0 if steps and WAIT in steps[-1] else 1.0
    deck.add(f"Vclock clock 0 PWL(0 0 {number(last)} 0 {number(last + EDGE_S)} {number(endless)})")
    deck.add(f"Vhurry hurry 0 {_waits(steps, times)}")
    _supplies(deck, steps, times)
    deck.smoothing_f = smoothing_f
    for k, element in enumerate(netlist.elements):
        write_element(deck, k, element)
    for index, agent in enumerate(netlist.agents):
        write_agent(deck, index, agent)
        if isinstance(agent, ModuleAgent):
            write_module(deck, index, agent)
    for node in range(netlist.nodes):
        if node != netlist.reference:
            deck.add(f"RTIE{node} n{node} 0 {number(TIE_OHM)}")
    for k, signal in enumerate(_watched(deck)):
        deck.add(f"Bq{k} q{k} 0 V={signal}")
    deck.lines += [_TRAN, f".tran {LONGEST_S} {number(last + LAST_S)} 0 {LONGEST_S}", ".end"]
    return "\n".join(deck.lines) + "\n"


def step_times(steps: int) -> tuple[float, ...]:
    """Seconds at which each step of a sequence is done; the first when the supplies have long settled."""
    return tuple(STEP_S * (k + 1) for k in range(steps))


def states_of(netlist: Netlist, steps: Sequence[Mapping[str, str]], volts: Mapping[str, float]) -> dict[str, str]:
    """The state of every variable at the end of a sequence, read from the node volts the simulator gives.

    Raises:
        KeyError: the volts are not those of this sequence.
    """
    driven = {name for step in steps for name in step if name not in (SUPPLY, WAIT)}
    state = _state(
        netlist, {name: value for step in steps for name, value in step.items() if name not in (SUPPLY, WAIT)}
    )
    names = [name for name in _moved(netlist) if name not in driven and name not in netlist.frozen]
    wanted = [(name, value) for name in names for value in netlist.variable_by_name[name].states]
    best: dict[str, float] = {}
    for k, (name, value) in enumerate(wanted):
        height = volts[f"q{k}"]
        if height > best.get(name, HELD_UP):
            best[name], state[name] = height, value
    return state


def _state(netlist: Netlist, given: Mapping[str, str]) -> dict[str, str]:
    state = {variable.name: variable.rest for variable in netlist.variables}
    for name, value in given.items():
        if value not in netlist.variable_by_name[name].states:
            raise ValueError(f"{name} has no state {value!r}")
        state[name] = value
    return state | dict(netlist.frozen)


def _clocks(netlist: Netlist) -> set[str]:
    moved = set(_moved(netlist))
    return {name for agent in netlist.agents for name in moves(agent)} - moved


def _moved(netlist: Netlist) -> tuple[str, ...]:
    """What the simulator moves: all but inputs and clocks, in the order of the variables."""
    mark = Deck(netlist, {})
    for index, agent in enumerate(netlist.agents):
        declare(mark, index, agent)
        if isinstance(agent, ModuleAgent):
            declare_module(mark, index, agent)
    names = {name for name, _ in mark.signals}
    return tuple(variable.name for variable in netlist.variables if variable.name in names)


def _declare(deck: Deck, driven: set[str], steps: Sequence[Mapping[str, str]], times: Sequence[float]) -> None:
    netlist = deck.netlist
    for index, agent in enumerate(netlist.agents):
        declare(deck, index, agent)
        if isinstance(agent, ModuleAgent):
            declare_module(deck, index, agent)
    for k, variable in enumerate(netlist.variables):
        if variable.name not in driven or variable.name in deck.fixed:
            continue
        values = [variable.rest]
        for step in steps:
            values.append(step.get(variable.name, values[-1]))
        for j, state in enumerate(variable.states):
            heights = [float(value == state) for value in values]
            deck.signals[variable.name, state] = f"V(p{k}_{j})"
            deck.add(f"Vp{k}_{j} p{k}_{j} 0 {_staircase(heights, times)}")


def _staircase(heights: Sequence[float], times: Sequence[float]) -> str:
    words = [f"0 {number(heights[0])}"]
    for before, after, time in zip(heights[:-1], heights[1:], times, strict=True):
        if before != after:
            words += [f"{number(time)} {number(before)}", f"{number(time + EDGE_S)} {number(after)}"]
    return f"PWL({' '.join(words)})"


def _waits(steps: Sequence[Mapping[str, str]], times: Sequence[float]) -> str:
    """Seconds that pass for timers in each second of the sheet: those of a wait go by in the middle of its step."""
    words = ["0 0"]
    for step, time in zip(steps, times, strict=True):
        if WAIT in step:
            begin, end = time + 0.2 * STEP_S, time + 0.7 * STEP_S
            rate = float(step[WAIT]) / (end - begin)
            words += [f"{number(begin)} 0 {number(begin + EDGE_S)} {number(rate)}"]
            words += [f"{number(end)} {number(rate)} {number(end + EDGE_S)} 0"]
    return f"PWL({' '.join(words)})"


def _supplies(deck: Deck, steps: Sequence[Mapping[str, str]], times: Sequence[float]) -> None:
    for k, element in enumerate(deck.netlist.elements):
        if isinstance(element, Battery):
            deck.emf[element.id] = _rising(element.emf_v, element.share, steps, times)
        elif isinstance(element, Regulated) and element.share > 0.0:
            deck.add(f"Vset{k} set{k} 0 {_rising(element.set_v, element.share, steps, times)}")
            deck.set_v[element.id] = f"V(set{k})"


def _rising(volts: float, share: float, steps: Sequence[Mapping[str, str]], times: Sequence[float]) -> str:
    words = [f"0 0 {number(RISE_S)} {number(volts)}"]
    for step, time in zip(steps, times, strict=True):
        if SUPPLY in step:
            after = float(step[SUPPLY]) * share
            words += [f"{number(time)} {number(volts)} {number(time + EDGE_S)} {number(after)}"]
            volts = after
    return f"PWL({' '.join(words)})"


def _watched(deck: Deck) -> list[str]:
    netlist = deck.netlist
    driven = {name for name, _ in deck.signals if not _is_latch(deck, name)}
    names = [name for name in _moved(netlist) if name not in driven and name not in netlist.frozen]
    return [deck.signal(name, state) for name in names for state in netlist.variable_by_name[name].states]


def _is_latch(deck: Deck, name: str) -> bool:
    signals = (signal for (variable, _), signal in deck.signals.items() if variable == name)
    return not any(signal.startswith("V(p") for signal in signals)


def _head(deck: Deck) -> None:
    deck.add("* electrical equivalent of a vehicle, volts against battery minus")
    for node, points in enumerate(deck.netlist.names):
        deck.add(f"* {deck.node(node)}: {' '.join(str(point) for point in points) or 'inside'}")
