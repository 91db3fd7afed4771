"""What changed elements do to islands: which come apart, which are tied, and what is then left to be solved."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.kernel import islands
from loombench.circuit.netlist import Battery, Conductor, Element, Regulated
from loombench.circuit.newton import LEAK_S
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.entry import NONE, SAME, Entry
from loombench.circuit.tables.port import Port

HOLD_OHM = 1.0
"""Of what holds a piece; it carries nothing, so that any would do."""
HOLD, LET_GO = "hold", "let go"
"""The elements that stand for how an island is held, and are none of the vehicle's."""


def stands_in(port: Port) -> bool:
    """Whether a port is no element, but holds an island or lets go of one."""
    return port.element is not None and port.element.id in (HOLD, LET_GO)


def is_idle(base: Base, port: Port) -> bool:
    """Whether a port opens the only way to what lies behind it, which no current can take."""
    return port.element is None and base.piece(port.place) is not None


def _conducts(base: Base, port: Port) -> bool:
    return port.place >= 0 and bool(base.closed[port.place])


def is_source(element: Element | None) -> bool:
    """Whether an element makes volts of its own even where no current flows."""
    return isinstance(element, Battery | Regulated)


Plan = tuple[Entry | None, IntArray | None, list[Port], Port | None]
"""The entry where nothing has to be solved, or nothing can be; else None, the islands where they change, what has to be
solved, and what ties two islands beside that."""


def planned(base: Base, ports: list[Port]) -> Plan:
    """What some ports come to, one tie between islands at most; `NONE` where more is tied, or a source ties."""
    island = base.island
    if not ports:
        return SAME, None, [], None
    ties = [port for port in ports if island[port.a] != island[port.b]]
    if ties:
        rest = [port for port in ports if port is not ties[0]]
        return _tying(base, ties[0], rest) if len(ties) == 1 else (NONE, None, [], None)
    if len(ports) == 1 and _conducts(base, ports[0]) and base.piece(ports[0].place) is not None:
        if is_source(ports[0].element):
            return NONE, None, [], None
        return (Entry(True, cut=ports[0].place) if ports[0].element is None else SAME), None, ports, None
    opened = [port for port in ports if port.element is None]
    if len(opened) == 0 or (len(opened) == 1 and not is_idle(base, opened[0])):
        return None, None, ports, None
    return *_parted(base, ports, opened), None


def _tying(base: Base, tie: Port, rest: list[Port]) -> Plan:
    """One element that ties two islands, beside others that tie none: it carries nothing, they do what they would."""
    plain, island, ports, _ = planned(base, rest)
    joined = joined_by(base, tie)
    if not joined.sure or island is not None or (plain is not None and not plain.sure):
        return NONE, None, [], None
    if plain is None:
        return None, None, ports, tie
    if plain.cut >= 0:
        return _cut_and_tied(base, plain.cut, tie), None, [], None
    return (joined if plain is SAME else NONE), None, ports, None


def _cut_and_tied(base: Base, cut: int, tie: Port) -> Entry:
    """A bridge opened and another island tied to one of the pieces."""
    island, volts, nodes = base.island.copy(), base.inner_v, np.arange(base.p.netlist.nodes)
    piece = base.piece(cut)
    if piece is None:
        return NONE
    for part in (piece, ~piece & (base.island == base.island[base.p.a[cut]])):
        island[part] = nodes[part][0]
    if any(island[draw.a] != island[draw.b] for draw in base.draws):
        return NONE
    stays, moves = _ends(base, island, tie.a, tie.b)
    there = island == island[moves]
    both = np.where(there | (island == island[stays]), min(island[moves], island[stays]), island)
    return Entry(True, island=both, lifted=there, lift_v=float(volts[stays] - volts[moves]))


def _ends(base: Base, island: IntArray, a: int, b: int) -> tuple[int, int]:
    """The end of a tie whose island stays where it is, and the one whose island is moved."""
    return (b, a) if island[b] == island[base.p.netlist.reference] else (a, b)


def with_tie(base: Base, entry: Entry, tie: Port | None) -> Entry:
    """With what is drawn the ends of a tie have moved, and with them how much the island it holds is lifted."""
    if tie is None or entry.drawn is None:
        return entry
    stays, moves = _ends(base, base.island, tie.a, tie.b)
    volts = base.inner_v - base.drawn_v(entry.drawn.a, entry.drawn.b, entry.drawn.extra_a)
    return replace(entry, lift_v=float(volts[stays] - volts[moves]))


def joined_by(base: Base, port: Port) -> Entry:
    """Two islands tied by one element: it carries nothing, and one island takes the other's volts."""
    return NONE if is_source(port.element) else tied_by(base, port.a, port.b)


def tied_by(base: Base, a: int, b: int) -> Entry:
    """The islands of two nodes tied by what makes no volts of its own."""
    island, volts = base.island, base.inner_v
    stays, moves = _ends(base, island, a, b)
    both, there = base.joined(int(island[moves]), int(island[stays]))
    return Entry(True, island=both, lifted=there, lift_v=float(volts[stays] - volts[moves]))


def _hung_over(base: Base, opened: Port, left: Port, island: IntArray) -> Entry | None:
    """The piece behind a bridge let go there and tied by one new element elsewhere: its volts all move alike. None
    where what else changes does not tie the piece to anything."""
    p, volts = base.p, base.inner_v
    piece = base.piece(opened.place)
    if piece is None:
        return NONE
    if piece[p.netlist.reference]:
        piece = ~piece & (base.island == base.island[opened.a])
    if piece[left.a] == piece[left.b]:
        return None
    if is_source(left.element):
        return NONE
    inside, outside = (left.a, left.b) if piece[left.a] else (left.b, left.a)
    return Entry(True, island=island, lifted=piece, lift_v=float(volts[outside] - volts[inside]))


def let_go(base: Base, ports: list[Port]) -> tuple[Entry | None, IntArray | None, list[Port]]:
    """Where several islands are tied, or pieces of them, however they are: what holds each of them but one is let go.

    The holds of n islands that become one are a star of conductances `LEAK_S`, whose middle nothing else flows into:
    between each two of them as good as `LEAK_S` / n, which is taken away by its negative. What none holds is held anew.
    """
    if any(is_source(port.element) for port in ports):
        return NONE, None, []
    island = _islands(base, ports)
    if any(island[draw.a] != island[draw.b] for draw in base.draws):
        return NONE, None, []
    held: dict[int, list[int]] = {}
    for node in base.held_at:
        held.setdefault(int(island[node]), []).append(node)
    less = [
        Port(-1, one, other, Conductor(LET_GO, one, other, -len(nodes) / LEAK_S))
        for nodes in held.values()
        for one, other in combinations(nodes, 2)
    ]
    return None, island, [*ports, *less, *_holds(base, island)]


def _holds(base: Base, island: IntArray) -> list[Port]:
    """One port for each island that nothing holds, which carries nothing since it is the only way there."""
    first = island == np.arange(len(island))
    first[island[list(base.held_at)]] = False
    loose = [(node, int(base.held_of[node])) for node in np.flatnonzero(first).tolist()]
    return [Port(-1, node, to, Conductor(HOLD, node, to, HOLD_OHM)) for node, to in loose]


def _islands(base: Base, ports: Sequence[Port]) -> IntArray:
    """[nodes] the islands with some elements opened, changed or added."""
    p, mask = base.p, base.closed & base.p.ties
    mask[[port.place for port in ports if port.element is None]] = False
    mask[[port.place for port in ports if port.element is not None and port.place >= 0]] = True
    added = [(port.a, port.b) for port in ports if port.place < 0]
    edges = np.concatenate((p.ends, np.array(added, dtype=np.intp).reshape(-1, 2)))
    return islands(p.netlist.nodes, edges, np.append(mask, np.ones(len(added), dtype=np.bool_)))


def _parted(
    base: Base, ports: Sequence[Port], opened: Sequence[Port]
) -> tuple[Entry | None, IntArray | None, list[Port]]:
    """Where several elements change and some of them are opened: the islands, and what is to be solved. A piece that
    comes loose is held by one more port, which carries nothing since it is the only way there."""
    island = _islands(base, ports)
    if np.array_equal(island, base.island):
        return None, None, list(ports)
    if any(island[draw.a] != island[draw.b] for draw in base.draws):
        return NONE, None, []
    left = [port for port in ports if not is_idle(base, port)]
    if not left:
        return Entry(True, island=island), None, []
    hung = _hung_over(base, opened[0], left[0], island) if len(left) == 1 == len(opened) else None
    if hung is not None:
        return hung, None, []
    return None, island, [*ports, *_holds(base, island)]
