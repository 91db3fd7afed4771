"""The states a vehicle is put in to be compared: all of each function, pairs across functions, plugs, histories.

A *function* is the controls that bear on one piece of the wiring: the wiring is cut at fuses, sources and metal, relays
and modules tie their coil or inputs to what they switch, and each piece takes along the controls between it and the
battery. Every function is enumerated in full; across functions each pair of positions occurs in at least one state.
"""

import itertools
import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from loombench.circuit.netlist import (
    Battery,
    BreakerAgent,
    CamAgent,
    Conductor,
    FlasherAgent,
    FuseAgent,
    ModuleAgent,
    Netlist,
    RelayAgent,
    TimerAgent,
    Variable,
)
from loombench.vehicle.condition import Condition, Operation

MOST_IN_FULL = 4096
_VERBS = MappingProxyType({("plug", "unplugged"): "unplug", ("seat", "out"): "pull", ("couple", "coupled"): "couple"})
_BACK = MappingProxyType({("plug", "plugged"): "plug", ("seat", "in"): "insert", ("couple", "uncoupled"): "uncouple"})


@dataclass(frozen=True)
class State:
    """How to get there from rest, and which list it is from: full, pairs, plugs or history."""

    condition: Condition
    family: str


def controls(netlist: Netlist) -> tuple[Variable, ...]:
    """What a driver, a process or a trailer sets: inputs but plugs and seats, in the netlist's order."""
    return tuple(
        variable
        for variable in netlist.variables
        if variable.is_input and len(variable.states) > 1 and not variable.name.startswith(("plug:", "seat:"))
    )


def functions(netlist: Netlist) -> tuple[tuple[str, ...], ...]:
    """The controls of each function, in the netlist's order; those that bear on nothing count as one each."""
    names = [variable.name for variable in controls(netlist) if variable.name != "engine"]
    piece = _pieces(netlist)
    own: dict[int, set[str]] = {}
    for element in netlist.elements:
        for gate in element.gates:
            if gate.variable in names:
                own.setdefault(piece[element.a] if piece[element.a] >= 0 else piece[element.b], set()).add(
                    gate.variable
                )
    above = _above(netlist, piece)
    found: dict[tuple[str, ...], None] = {}
    for one in dict.fromkeys(piece):
        if one >= 0:
            wanted: set[str] = set(own.get(one, ()))
            step = one
            while step in above:
                step = above[step]
                wanted |= own.get(step, set())
            if wanted:
                found[tuple(name for name in names if name in wanted)] = None
    for name in names:
        if not any(name in group for group in found):
            found[(name,)] = None
    kept = [group for group in found if not any(set(group) < set(other) for other in found)]
    return tuple(kept)


def _pieces(netlist: Netlist) -> list[int]:
    """The piece each node is in; -1 for metal and battery minus, where everything meets."""
    root = list(range(netlist.nodes))

    def top(node: int) -> int:
        while root[node] != node:
            node = root[node]
        return node

    studs: set[int] = set()
    metal = {netlist.reference, *netlist.bodies}
    # Studs: what a plain joint ties to a body.
    for element in netlist.elements:
        if isinstance(element, Conductor) and not element.gates and not metal.isdisjoint((element.a, element.b)):
            studs.update((element.a, element.b))
    metal |= studs
    for element in netlist.elements:
        cut = isinstance(element, Battery) or any(gate.variable.startswith(_CUTS) for gate in element.gates)
        if not cut and element.a not in metal and element.b not in metal and not _is_engine(element.gates):
            root[top(element.b)] = top(element.a)
    for agent in netlist.agents:
        tied: list[int] = []
        switched: set[str] = set()
        match agent:
            case RelayAgent():
                tied, switched = [agent.a, agent.b], {agent.variable}
            case ModuleAgent():
                tied = [reading.node for reading in agent.inputs]
                switched = {variable for drive in agent.rules for variable in drive.variables}
            case FlasherAgent() | TimerAgent():
                tied, switched = [agent.supply], {agent.variable}
            case CamAgent():
                switched = {agent.variable}
        for element in netlist.elements:
            if any(gate.variable in switched for gate in element.gates):
                tied += [element.a, element.b]
        tied = [node for node in tied if node not in metal]
        for node in tied[1:]:
            root[top(node)] = top(tied[0])
    return [-1 if node in metal else top(node) for node in range(netlist.nodes)]


_CUTS = ("fuse:", "breaker:")


def _is_engine(gates: Sequence[object]) -> bool:
    return any(getattr(gate, "variable", "") == "engine" for gate in gates)


def _above(netlist: Netlist, piece: Sequence[int]) -> Mapping[int, int]:
    """The piece that feeds each piece, by fuses from the battery outwards."""
    beside: dict[int, list[int]] = {}
    fused = {agent.element for agent in netlist.agents if isinstance(agent, FuseAgent | BreakerAgent)}
    for element in netlist.elements:
        if element.id in fused and piece[element.a] != piece[element.b]:
            beside.setdefault(piece[element.a], []).append(piece[element.b])
            beside.setdefault(piece[element.b], []).append(piece[element.a])
    reached = [piece[element.a] for element in netlist.elements if isinstance(element, Battery)]
    above: dict[int, int] = {}
    for one in reached:
        for other in beside.get(one, ()):
            if other >= 0 and other not in reached:
                above[other] = one
                reached.append(other)
    return above


def pairwise(values: Mapping[str, Sequence[str]]) -> tuple[dict[str, str], ...]:
    """Rows in which every pair of values of two names occurs together; greedy, the same rows every time."""
    names = list(values)
    left = {((a, x), (b, y)): None for a, b in itertools.combinations(names, 2) for x in values[a] for y in values[b]}
    rows: list[dict[str, str]] = []
    while left:
        row = dict(next(iter(left)))
        for name in names:
            if name not in row:
                gains = [
                    sum(_pair(names, name, value, *other) in left for other in row.items()) for value in values[name]
                ]
                row[name] = values[name][gains.index(max(gains))]
        for a, b in itertools.combinations(names, 2):
            left.pop(((a, row[a]), (b, row[b])), None)
        rows.append({name: row[name] for name in names})
    if len(names) == 1:
        rows = [{names[0]: value} for value in values[names[0]]]
    return tuple(rows)


def _pair(names: Sequence[str], a: str, x: str, b: str, y: str) -> tuple[tuple[str, str], tuple[str, str]]:
    return ((a, x), (b, y)) if names.index(a) < names.index(b) else ((b, y), (a, x))


def enumerated(netlist: Netlist) -> tuple[Condition, ...]:
    """All positions of each function, the other controls at rest; a function with more than 4,096 gives its pairs."""
    by_name = {variable.name: variable for variable in controls(netlist)}
    found: dict[Condition, None] = {}
    for group in functions(netlist):
        values = {name: by_name[name].states for name in group}
        if math.prod(len(states) for states in values.values()) <= MOST_IN_FULL:
            rows = [dict(zip(group, row, strict=True)) for row in itertools.product(*values.values())]
        else:
            rows = list(pairwise(values))
        for row in rows:
            found[condition_of(netlist, row)] = None
    return tuple(found)


def paired(netlist: Netlist) -> tuple[Condition, ...]:
    """A pairwise covering set over all controls and the engine."""
    values = {variable.name: variable.states for variable in controls(netlist)}
    return tuple(dict.fromkeys(condition_of(netlist, row) for row in pairwise(values))) if values else ()


def unplugged(netlist: Netlist) -> tuple[Condition, ...]:
    """Each plug off and each seat empty, one at a time, everything switched to its last position beforehand."""
    on = condition_of(netlist, {variable.name: variable.states[-1] for variable in controls(netlist)})
    found = []
    for variable in netlist.variables:
        if variable.is_input and variable.name.startswith(("plug:", "seat:")):
            moved = next(state for state in variable.states if state != variable.rest)
            found.append(on.then(operation(variable, moved)))
    return tuple(found)


def histories(netlist: Netlist, seed: int, count: int, steps: int = 5) -> tuple[Condition, ...]:
    """Random walks: a control at a time to another position, there and back again."""
    draw = random.Random(seed)
    choices = [variable for variable in netlist.variables if variable.is_input and len(variable.states) > 1]
    weights = [1 if variable.name.startswith(("plug:", "seat:")) else 8 for variable in choices]
    found = []
    for _ in range(count if choices else 0):
        now = {variable.name: variable.rest for variable in choices}
        operations = []
        for variable in draw.choices(choices, weights, k=steps):
            value = draw.choice([state for state in variable.states if state != now[variable.name]])
            now[variable.name] = value
            operations.append(operation(variable, value))
        found.append(Condition(tuple(operations)))
    return tuple(found)


def condition_of(netlist: Netlist, values: Mapping[str, str]) -> Condition:
    """From rest to these values, one control after the other in the netlist's order."""
    return Condition(
        tuple(
            operation(variable, values[variable.name])
            for variable in netlist.variables
            if values.get(variable.name, variable.rest) != variable.rest
        )
    )


def operation(variable: Variable, value: str) -> Operation:
    """The operation that gives an input a value."""
    prefix, _, target = variable.name.partition(":")
    verb = _VERBS.get((prefix, value)) or _BACK.get((prefix, value))
    return Operation(verb, target) if verb else Operation("set", variable.name, value)


def states(netlist: Netlist, seed: int, walks: int) -> tuple[State, ...]:
    """All lists of a netlist in order; a condition that is in two counts in the first."""
    found: dict[Condition, str] = {}
    lists = (
        ("full", enumerated(netlist)),
        ("pairs", paired(netlist)),
        ("plugs", unplugged(netlist)),
        ("history", histories(netlist, seed, walks)),
    )
    for family, conditions in lists:
        for condition in conditions:
            found.setdefault(condition, family)
    return tuple(State(condition, family) for condition, family in found.items())
