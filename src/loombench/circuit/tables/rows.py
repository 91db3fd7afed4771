"""The networks that faults make of one solution of the sound network: what is drawn from it, and islands of each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.kernel import islands
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Battery, Conductor, Element, Regulated
from loombench.circuit.network import BoolArray, Prepared
from loombench.circuit.tables.anew import Whole, refactored
from loombench.circuit.tables.base import NOTHING, Base, Forced
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.port import Drawn, Port
from loombench.circuit.tables.respond import respond


@dataclass(frozen=True, eq=False, slots=True)
class Entry:
    """One row's network. `sure` is False where a table has no answer. `drawn` is what its ports draw beyond the sound
    network, None for nothing. `cut` is the bridge whose opening parts an island in two, -1 for none; `island` where
    more than that differs from the sound islands. The nodes `lifted` have `lift_v` more than in the sound network."""

    sure: bool
    drawn: Drawn | None = None
    cut: int = -1
    island: IntArray | None = None
    lifted: BoolArray | None = None
    lift_v: float = 0.0
    whole: Whole | None = None
    """All of it, where the network had to be factored anew."""

    def lift(self, a: IntArray, b: IntArray) -> FloatArray:
        """[pairs] what lifting adds to the volts from `a` to `b`."""
        if self.lifted is None:
            return np.zeros(len(a))
        result: FloatArray = self.lift_v * (self.lifted[a].astype(float) - self.lifted[b].astype(float))
        return result


NONE, SAME = Entry(False), Entry(True)
HOLD_OHM = 1.0


def entries(
    base: Base,
    asked: Sequence[tuple[Change, Forced]],
    watching: bool = False,
    more: Sequence[Port] = (),
) -> tuple[list[Entry], FloatArray]:
    """The networks of some rows at a base, and the volts [rows, pairs] that the base
    watches, if they are wanted. `more` are elements beside, such as a meter, whose ends every row ties anyway."""
    found: list[Entry] = [NONE] * len(asked)
    watched = base.watched if watching else NOTHING
    sound_v = base.at.inner_v[watched.a] - base.at.inner_v[watched.b]
    volts = np.repeat(sound_v[np.newaxis, :], len(asked), axis=0)
    systems: list[list[Port]] = []
    waiting: list[tuple[int, Entry, Port | None]] = []
    for k, (change, forced) in enumerate(asked):
        plain, island, ports, tie = _plain(base, _ports(base, change, forced))
        start = plain or (Entry(True, island=island) if tie is None else _joined(base, tie))
        if plain is not None and not more:
            found[k] = plain
            volts[k] += plain.lift(watched.a, watched.b)
        elif start.sure and all(_moves_as_one(base, start, port) for port in more):
            # What carried nothing may carry what the meter takes; but for the only way between two pieces.
            own = ports if plain is None else [port for port in ports if not _is_idle(base, port)]
            systems.append([*own, *more])
            waiting.append((k, start, tie))
    drawn, moved_v = respond(base, systems, watching)
    volts[[k for k, _, _ in waiting]] = moved_v
    for line, (k, plain, tie) in enumerate(waiting):
        one = drawn[line]
        if one is not None:
            found[k] = _tied(base, replace(plain, drawn=one), tie)
            volts[k] += found[k].lift(watched.a, watched.b)
        elif plain.lifted is None and (at := refactored(base, systems[line])) is not None:
            found[k] = Entry(True, cut=plain.cut, island=at.island, whole=at)
            volts[k] = at.across_v(base, watched.a, watched.b)
    return found, volts


def moved(p: Prepared, values: IntArray, forced: Forced) -> IntArray:
    """[variables] the values with some forced; -1 for a state that the sound vehicle does not have."""
    result = values.copy()
    for name, state in forced:
        place = p.variable[name]
        result[place] = p.states[place].get(state, -1)
    return result


def _conducting(p: Prepared, values: IntArray) -> BoolArray:
    """[elements] which conduct; no gate is closed in a state that there is not."""
    closed = p.closed(np.maximum(values, 0))
    if (values < 0).any():
        closed[p.gate_element[values[p.gate_variable] < 0]] = False
    return closed


def _ports(base: Base, change: Change, forced: Forced) -> list[Port]:
    p = base.p
    values = base.values
    places: list[int] = []
    if forced:
        if forced not in base.switched:
            now = moved(p, base.values, forced)
            base.switched[forced] = now, np.flatnonzero(_conducting(p, now) != base.closed)
        values, switched = base.switched[forced]
        places = switched.tolist()
    changed = {one.place for one in change.elements}
    found = []
    for place in places:
        if place not in changed:
            element = None if base.closed[place] else p.netlist.elements[place]
            found.append(Port(place, int(p.a[place]), int(p.b[place]), element))
    for one in change.elements:
        is_closed = _closed(p, one.element, values)
        if is_closed or (one.place >= 0 and base.closed[one.place]):
            found.append(Port(one.place, one.a, one.b, one.element if is_closed else None, one.series_ohm))
    return found


def _closed(p: Prepared, element: Element, values: IntArray) -> bool:
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
    island, now = base.at.island, base.at.island if entry.island is None else entry.island
    tied = island[port.a] == island[port.b] and now[port.a] == now[port.b]
    return bool(tied and entry.lifted[port.a] == entry.lifted[port.b])


def _is_idle(base: Base, port: Port) -> bool:
    """Whether a port opens the only way to what lies behind it, which no current can take."""
    return port.element is None and base.piece(port.place) is not None


def _conducts(base: Base, port: Port) -> bool:
    return port.place >= 0 and bool(base.closed[port.place])


def _is_source(element: Element | None) -> bool:
    """Whether an element makes volts of its own even where no current flows."""
    return isinstance(element, Battery | Regulated)


Plan = tuple[Entry | None, IntArray | None, list[Port], Port | None]
"""The entry where nothing has to be solved, or nothing can be; else None, the islands where they change, what has to be
solved, and what ties two islands beside that."""


def _plain(base: Base, ports: list[Port]) -> Plan:
    island = base.at.island
    if not ports:
        return SAME, None, [], None
    ties = [port for port in ports if island[port.a] != island[port.b]]
    if ties:
        rest = [port for port in ports if port is not ties[0]]
        return _tying(base, ties[0], rest) if len(ties) == 1 else (NONE, None, [], None)
    if len(ports) == 1 and _conducts(base, ports[0]) and base.piece(ports[0].place) is not None:
        if _is_source(ports[0].element):
            return NONE, None, [], None
        return (Entry(True, cut=ports[0].place) if ports[0].element is None else SAME), None, ports, None
    opened = [port for port in ports if port.element is None]
    if len(opened) == 0 or (len(opened) == 1 and not _is_idle(base, opened[0])):
        return None, None, ports, None
    return *_parted(base, ports, opened), None


def _tying(base: Base, tie: Port, rest: list[Port]) -> Plan:
    """One element that ties two islands, beside others that tie none: it carries nothing, they do what they would."""
    plain, island, ports, _ = _plain(base, rest)
    joined = _joined(base, tie)
    if not joined.sure or island is not None or (plain is not None and not plain.sure):
        return NONE, None, [], None
    if plain is None:
        return None, None, ports, tie
    if plain.cut >= 0:
        return _cut_and_tied(base, plain.cut, tie), None, [], None
    return (joined if plain is SAME else NONE), None, ports, None


def _cut_and_tied(base: Base, cut: int, tie: Port) -> Entry:
    """A bridge opened and another island tied to one of the pieces."""
    island, volts, nodes = base.at.island.copy(), base.at.inner_v, np.arange(base.p.netlist.nodes)
    piece = base.piece(cut)
    if piece is None:
        return NONE
    for part in (piece, ~piece & (base.at.island == base.at.island[base.p.a[cut]])):
        island[part] = nodes[part][0]
    if any(island[draw.a] != island[draw.b] for draw in base.draws):
        return NONE
    stays, moves = _ends(base, island, tie)
    there = island == island[moves]
    both = np.where(there | (island == island[stays]), min(island[moves], island[stays]), island)
    return Entry(True, island=both, lifted=there, lift_v=float(volts[stays] - volts[moves]))


def _ends(base: Base, island: IntArray, tie: Port) -> tuple[int, int]:
    """The end of a tie whose island stays where it is, and the one whose island is moved."""
    return (tie.b, tie.a) if island[tie.b] == island[base.p.netlist.reference] else (tie.a, tie.b)


def _tied(base: Base, entry: Entry, tie: Port | None) -> Entry:
    """With what is drawn the ends of a tie have moved, and with them how much the island it holds is lifted."""
    if tie is None or entry.drawn is None:
        return entry
    stays, moves = _ends(base, base.at.island, tie)
    volts = base.at.inner_v - base.drawn_v(entry.drawn.a, entry.drawn.b, entry.drawn.extra_a)
    return replace(entry, lift_v=float(volts[stays] - volts[moves]))


def _joined(base: Base, port: Port) -> Entry:
    """Two islands tied by one element: it carries nothing, and one island takes the other's volts."""
    island, volts = base.at.island, base.at.inner_v
    stays, moves = _ends(base, island, port)
    if _is_source(port.element):
        return NONE
    both, there = base.joined(int(island[moves]), int(island[stays]))
    return Entry(True, island=both, lifted=there, lift_v=float(volts[stays] - volts[moves]))


def _hung_over(base: Base, opened: Port, left: Port, island: IntArray) -> Entry | None:
    """The piece behind a bridge let go there and tied by one new element elsewhere: its volts all move alike. None
    where what else changes does not tie the piece to anything."""
    p, volts = base.p, base.at.inner_v
    piece = base.piece(opened.place)
    if piece is None:
        return NONE
    if piece[p.netlist.reference]:
        piece = ~piece & (base.at.island == base.at.island[opened.a])
    if piece[left.a] == piece[left.b]:
        return None
    if _is_source(left.element):
        return NONE
    inside, outside = (left.a, left.b) if piece[left.a] else (left.b, left.a)
    return Entry(True, island=island, lifted=piece, lift_v=float(volts[outside] - volts[inside]))


def _parted(
    base: Base, ports: Sequence[Port], opened: Sequence[Port]
) -> tuple[Entry | None, IntArray | None, list[Port]]:
    """Where several elements change and some of them are opened: the islands, and what is to be solved. A piece that
    comes loose is held by one more port, which carries nothing since it is the only way there."""
    p, mask = base.p, base.closed & base.p.ties
    mask[[port.place for port in opened]] = False
    mask[[port.place for port in ports if port.element is not None and port.place >= 0]] = True
    added = [(port.a, port.b) for port in ports if port.place < 0]
    edges = np.concatenate((np.stack((p.a, p.b), axis=1), np.array(added, dtype=np.intp).reshape(-1, 2)))
    island = islands(p.netlist.nodes, edges, np.append(mask, np.ones(len(added), dtype=np.bool_)))
    if np.array_equal(island, base.at.island):
        return None, None, list(ports)
    if any(island[draw.a] != island[draw.b] for draw in base.draws):
        return NONE, None, []
    left = [port for port in ports if not _is_idle(base, port)]
    if not left:
        return Entry(True, island=island), None, []
    hung = _hung_over(base, opened[0], left[0], island) if len(left) == 1 == len(opened) else None
    if hung is not None:
        return hung, None, []
    held = {int(island[node]) for node in base.held_at}
    holds = []
    for loose in sorted(set(island.tolist()) - held):
        to = int(base.held_of[loose])
        holds.append(Port(-1, loose, to, Conductor("hold", loose, to, HOLD_OHM)))
    return None, island, [*ports, *holds]


def apart(base: Base, some: Sequence[Entry], a: IntArray, b: IntArray) -> BoolArray:
    """[rows, pairs] whether each row's network does not tie the nodes of a pair."""
    usual = base.at.island[a] != base.at.island[b]
    result: BoolArray = np.repeat(usual[np.newaxis, :], len(some), axis=0)
    for line, entry in enumerate(some):
        if entry.island is not None:
            result[line] = entry.island[a] != entry.island[b]
        elif entry.cut >= 0 and (piece := base.piece(entry.cut)) is not None:
            result[line] = usual | (piece[a] != piece[b])
    return result
