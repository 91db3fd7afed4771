"""Nodes that only junctions hold: where no current flows, the exact answer, which no simulator's tolerance gives.

A piece of wiring that hangs on diodes alone (behind a blocking diode, say, with its switch off) carries no current.
Its volts are defined, since currents of saturation have to add up to nothing, but these are 1e-8 to 1e-27 A: far below
what ngspice resolves beside joints of 1e4 siemens, and far below its own tolerance. So its volts are computed here: a
piece with one junction stands at the volts of that junction's other side; one with several where their currents cancel.
"""

import math
from collections.abc import Mapping

from loombench.circuit.netlist import Junction, Netlist

Side = int | float
"""One side of a junction: a piece by its number, or volts that are given."""
NO_CURRENT_A = 1e-7
"""Below this the joints of a piece drop less than a nanovolt, so that it has one voltage."""


def held_by_junctions(netlist: Netlist, state: Mapping[str, str], volts: Mapping[int, float]) -> dict[int, float]:
    """The exact volts of the nodes that junctions alone hold and that carry no current by `volts` (what ngspice gave).

    `volts` has all nodes that are not floating.
    """
    closed = [e for e in netlist.elements if all(state[gate.variable] in gate.closed_in for gate in e.gates)]
    piece = _pieces(netlist.nodes, [(e.a, e.b) for e in closed if not isinstance(e, Junction)])
    junctions = [e for e in closed if isinstance(e, Junction) and e.a in volts and piece[e.a] != piece[e.b]]
    carrying = {piece[node] for e in junctions if abs(_current(e, volts)) > NO_CURRENT_A for node in (e.a, e.b)}
    free = {piece[node] for node in volts} - carrying - {piece[netlist.reference]}
    ties: list[tuple[Side, Side, Junction]] = []
    for e in junctions:
        a, b = (piece[node] if piece[node] in free else volts[node] for node in (e.a, e.b))
        ties.append((a, b, e))
    solved = _solve(free, ties)
    return {node: solved[piece[node]] for node in volts if piece[node] in solved}


def _pieces(nodes: int, pairs: list[tuple[int, int]]) -> list[int]:
    root = list(range(nodes))

    def top(node: int) -> int:
        while root[node] != node:
            node = root[node]
        return node

    for a, b in pairs:
        root[top(b)] = top(a)
    return [top(node) for node in range(nodes)]


def _current(junction: Junction, volts: Mapping[int, float]) -> float:
    across = volts[junction.a] - volts[junction.b]
    bound = across / junction.series_ohm if junction.series_ohm > 0.0 else math.inf
    return min(bound, _law(junction, across)) if across > 0.0 else _law(junction, across)


def _law(junction: Junction, across_v: float) -> float:
    return junction.saturation_a * math.expm1(min(across_v / junction.slope_v, 600.0))


def _solve(free: set[int], ties: list[tuple[Side, Side, Junction]]) -> dict[int, float]:
    """The volts of each free piece: those with one neighbour are that neighbour, the rest by balance."""
    same: dict[int, Side] = {}

    def now(side: Side) -> Side:
        while isinstance(side, int) and side in same:
            side = same[side]
        return side

    changed = True
    while changed:
        changed = False
        for one in sorted(free - set(same)):
            beside = {now(other) for a, b, _ in ties for own, other in ((a, b), (b, a)) if now(own) == one}
            beside -= {one}
            if len(beside) == 1:
                same[one] = beside.pop()
                changed = True
    left = sorted(free - set(same))
    guess = dict.fromkeys(left, 0.0)
    for _ in range(100 if left else 0):
        for one in left:
            around = []
            for a, b, junction in ties:
                for sign, own, other in ((-1.0, now(a), now(b)), (1.0, now(b), now(a))):
                    if own == one and other != one:
                        around.append((sign, guess[other] if isinstance(other, int) else other, junction))
            guess[one] = _balance(around)
    resolved = {one: now(one) for one in free}
    return {one: guess[at] if isinstance(at, int) else at for one, at in resolved.items()}


def _balance(around: list[tuple[float, float, Junction]]) -> float:
    """The volts at which the currents of junctions cancel; sign 1 where they point to the piece."""
    low, high = min(volts for _, volts, _ in around), max(volts for _, volts, _ in around)
    for _ in range(100):
        middle = (low + high) / 2
        inflow = sum(sign * _law(junction, sign * (volts - middle)) for sign, volts, junction in around)
        low, high = (middle, high) if inflow > 0.0 else (low, middle)
    return (low + high) / 2
