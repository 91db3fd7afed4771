"""The networks that faults make of one solution of the sound network: what is drawn from it, and islands of each."""

from collections.abc import Collection, Sequence

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Element
from loombench.circuit.network import BoolArray, Prepared
from loombench.circuit.tables.anew import refactored
from loombench.circuit.tables.base import NOTHING, Base, Forced, States
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.entry import NONE, Entry
from loombench.circuit.tables.port import Port
from loombench.circuit.tables.respond import respond
from loombench.circuit.tables.ties import is_idle, joined_by, let_go, planned, stands_in, with_tie


def entries(
    base: Base,
    asked: Sequence[tuple[Change, Forced]],
    watching: bool = False,
    more: Sequence[Port] = (),
    unsure: Collection[int] = (),
) -> tuple[list[Entry], FloatArray]:
    """The networks of some rows at a base, and the volts [rows, pairs] that the base watches, if they are wanted.

    `more` are elements beside, such as a meter, whose ends every row ties anyway. Those at the places that are `unsure`
    are known to be nothing for the base.
    """
    found: list[Entry] = [NONE] * len(asked)
    watched = base.watched if watching else NOTHING
    sound_v = base.inner_v[watched.a] - base.inner_v[watched.b]
    volts = np.repeat(sound_v[np.newaxis, :], len(asked), axis=0)
    systems: list[list[Port]] = []
    waiting: list[tuple[int, Entry, Port | None]] = []
    for k, (change, forced) in enumerate(asked):
        changed = _ports(base, change, forced)
        plain, island, ports, tie = planned(base, changed)
        if plain is NONE:
            plain, island, ports = let_go(base, changed)
        start = plain or (Entry(True, island=island) if tie is None else joined_by(base, tie))
        if plain is not None and not more:
            found[k] = plain
            volts[k] += plain.lift(watched.a, watched.b)
        elif start.sure and all(_moves_as_one(base, start, port) for port in more):
            # What carried nothing may carry what the meter takes; but for the only way between two pieces.
            own = ports if plain is None else [port for port in ports if not is_idle(base, port)]
            systems.append([*own, *more])
            waiting.append((k, start, tie))
    known = [line for line, (k, _, _) in enumerate(waiting) if k not in unsure]
    told, moved_v = respond(base, [systems[line] for line in known], watching)
    volts[[waiting[line][0] for line in known]] = moved_v
    drawn = dict(zip(known, told, strict=True))
    for line, (k, plain, tie) in enumerate(waiting):
        one = drawn.get(line)
        if one is not None:
            found[k] = with_tie(base, plain.drawing(one), tie)
            volts[k] += found[k].lift(watched.a, watched.b)
        elif plain.lifted is None and (at := refactored(base, _real(systems[line]))) is not None:
            found[k] = Entry(True, cut=plain.cut, island=at.island, whole=at)
            volts[k] = at.across_v(base, watched.a, watched.b)
    return found, volts


def _real(ports: Sequence[Port]) -> list[Port]:
    """Without what holds islands: factored anew each is held as it then is."""
    return [port for port in ports if not stands_in(port)]


def moved(p: Prepared, values: States, forced: Forced) -> States:
    """[variables] the values with some forced; -1 for a state that the sound vehicle does not have."""
    result = values.copy()
    for name, state in forced:
        place = p.variable[name]
        result[place] = p.states[place].get(state, -1)
    return result


def _conducting(p: Prepared, values: States) -> BoolArray:
    """[elements] which conduct; no gate is closed in a state that there is not."""
    closed = p.closed(np.maximum(values, 0))
    if (values < 0).any():
        closed[p.gate_element[values[p.gate_variable] < 0]] = False
    return closed


def switched(base: Base, forced: Forced) -> list[int]:
    """The elements that forcing some variables switches."""
    return _forced(base, forced)[1].tolist() if forced else []


def _forced(base: Base, forced: Forced) -> tuple[States, IntArray]:
    if forced not in base.switched:
        now = moved(base.p, base.values, forced)
        base.switched[forced] = now, np.flatnonzero(_conducting(base.p, now) != base.closed)
    return base.switched[forced]


def _ports(base: Base, change: Change, forced: Forced) -> list[Port]:
    p = base.p
    values = _forced(base, forced)[0] if forced else base.values
    changed = {one.place for one in change.elements}
    found = []
    for place in switched(base, forced):
        if place not in changed:
            element = None if base.closed[place] else p.netlist.elements[place]
            found.append(Port(place, int(p.a[place]), int(p.b[place]), element))
    for one in change.elements:
        is_closed = _closed(p, one.element, values)
        if is_closed or (one.place >= 0 and base.closed[one.place]):
            found.append(Port(one.place, one.a, one.b, one.element if is_closed else None, one.series_ohm))
    return found


def _closed(p: Prepared, element: Element, values: States) -> bool:
    for gate in element.gates:
        if not gate.closed_in:
            return False
        known = p.states[p.variable[gate.variable]]
        if int(values[p.variable[gate.variable]]) not in {known[state] for state in gate.closed_in}:
            return False
    return True


def _moves_as_one(base: Base, entry: Entry, port: Port) -> bool:
    """Whether the ends of a port are tied as in the sound network and moved alike, where anything is moved."""
    if entry.lifted is None:
        return True
    island, now = base.island, base.island if entry.island is None else entry.island
    tied = island[port.a] == island[port.b] and now[port.a] == now[port.b]
    return bool(tied and entry.lifted[port.a] == entry.lifted[port.b])


def apart(base: Base, some: Sequence[Entry], a: IntArray, b: IntArray) -> BoolArray:
    """[rows, pairs] whether each row's network does not tie the nodes of a pair."""
    usual = base.island[a] != base.island[b]
    result: BoolArray = np.repeat(usual[np.newaxis, :], len(some), axis=0)
    for line, entry in enumerate(some):
        if entry.island is not None:
            result[line] = entry.island[a] != entry.island[b]
        elif entry.cut >= 0 and (piece := base.piece(entry.cut)) is not None:
            result[line] = usual | (piece[a] != piece[b])
    return result
