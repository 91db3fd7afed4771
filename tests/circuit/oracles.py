"""Slow judges for the linear kernel: exact rationals, dense LU, union-find. They share no code and no method with it.

Both solvers set up the nodal matrix A (diagonal: sum of a node's conductances and its leak; off the diagonal: minus
the conductance between two nodes) and solve A v = i by Gaussian elimination, which the kernel never does.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

Edge = tuple[int, int]


@dataclass(frozen=True)
class Network:
    """A resistor network with currents fed into its nodes, in siemens and amperes."""

    nodes: int
    edges: tuple[Edge, ...]
    conductance_s: tuple[float, ...]
    leak_s: tuple[float, ...]
    current_a: tuple[float, ...]


def exact_solve(
    nodes: int, edges: Sequence[Edge], conductance: Sequence[float], leak: Sequence[float], current: Sequence[float]
) -> list[Fraction]:
    """Return the node voltages without any rounding. Every island needs a leak (else ZeroDivisionError)."""
    rows: list[dict[int, Fraction]] = [{k: Fraction(leak[k])} for k in range(nodes)]
    for (a, b), given in zip(edges, conductance, strict=True):
        g = Fraction(given)
        if a != b and g:
            for i, j in ((a, b), (b, a)):
                rows[i][i] += g
                rows[i][j] = rows[i].get(j, Fraction(0)) - g
    right = [Fraction(i) for i in current]
    done: list[int] = []
    left = set(range(nodes))
    while left:
        k = min(left, key=lambda n: (len(rows[n]), n))
        left.remove(k)
        done.append(k)
        for i in rows[k].keys() & left:
            factor = rows[i].pop(k) / rows[k][k]
            for j, value in rows[k].items():
                if j in left:
                    rows[i][j] = rows[i].get(j, Fraction(0)) - factor * value
            right[i] -= factor * right[k]
    volts = [Fraction(0)] * nodes
    for k in reversed(done):
        rest = sum((value * volts[j] for j, value in rows[k].items() if j != k), Fraction(0))
        volts[k] = (right[k] - rest) / rows[k][k]
    return volts


def dense_solve(
    nodes: int, edges: Sequence[Edge], conductance: Sequence[float], leak: Sequence[float], current: Sequence[float]
) -> npt.NDArray[np.float64]:
    """Return the node voltages by pivoted dense LU in floating point: right on benign networks, poor on stiff ones."""
    matrix = np.diag(np.asarray(leak, dtype=np.float64))
    for (a, b), g in zip(edges, conductance, strict=True):
        if a != b:
            matrix[[a, b], [a, b]] += g
            matrix[[a, b], [b, a]] -= g
    assert matrix.shape == (nodes, nodes)
    volts: npt.NDArray[np.float64] = np.linalg.solve(matrix, np.asarray(current, dtype=np.float64)).astype(np.float64)
    return volts


def union_find(nodes: int, edges: Sequence[Edge], closed: Sequence[bool]) -> list[int]:
    """Return for each node the smallest node number it is connected to."""
    parent = list(range(nodes))

    def top(k: int) -> int:
        while parent[k] != k:
            k = parent[k]
        return k

    for (a, b), shut in zip(edges, closed, strict=True):
        if shut:
            low, high = sorted((top(a), top(b)))
            parent[high] = low
    return [top(k) for k in range(nodes)]


def contributions(network: Network) -> tuple[list[Fraction], list[Fraction]]:
    """Return exact node voltages, and for each node the sum over all sources of what each contributes in magnitude.

    The inverse of a nodal matrix has no negative entry, so the second is the response to the magnitudes.
    """
    n = network
    parts = [
        exact_solve(n.nodes, n.edges, n.conductance_s, n.leak_s, [max(sign * i, 0.0) for i in n.current_a])
        for sign in (1.0, -1.0)
    ]
    pairs = list(zip(*parts, strict=True))
    return [plus - minus for plus, minus in pairs], [plus + minus for plus, minus in pairs]


def error_of(volts: npt.NDArray[np.float64], exact: Sequence[Fraction], scale: Sequence[Fraction]) -> float:
    """Return the largest error relative to the sum of contributions (a node nothing reaches must be exactly right)."""
    worst = Fraction(0)
    for v, e, s in zip(volts.tolist(), exact, scale, strict=True):
        deviation = abs(Fraction(v) - e)
        worst = max(worst, deviation / s if s else deviation)
    return float(worst)


def stiff_network(draw: random.Random) -> Network:
    """Return 10 to 60 nodes in chains and trees with a quarter of cross links, 1e-6 to 1e11 ohm, some open, some loose.

    Every island gets a leak, a third of the other nodes have one too, and a third of the nodes take a current of
    either sign.
    """
    nodes = draw.randint(10, 60)
    tree = [
        (draw.randrange(max(0, k - 3), k) if draw.random() < 0.7 else draw.randrange(k), k) for k in range(1, nodes)
    ]
    cross = [tuple(draw.sample(range(nodes), 2)) for _ in range(nodes // 4)]
    names = draw.sample(range(nodes), nodes)
    edges = tuple((names[a], names[b]) for a, b in (*tree, *cross))

    def conductance() -> float:
        return float(10.0 ** draw.uniform(-11.0, 6.0))

    def current() -> float:
        return draw.choice((1.0, -1.0)) * float(10.0 ** draw.uniform(-6.0, 3.0))

    given = tuple(0.0 if draw.random() < 0.05 else conductance() for _ in edges)
    held = set(union_find(nodes, edges, [g > 0.0 for g in given]))
    leak = tuple(conductance() if k in held or draw.random() < 1 / 3 else 0.0 for k in range(nodes))
    fed = tuple(current() if draw.random() < 1 / 3 else 0.0 for _ in range(nodes))
    return Network(nodes, edges, given, leak, fed)
