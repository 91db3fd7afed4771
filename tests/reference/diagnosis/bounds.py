"""What telling states apart costs at least, and optima of chains that need no search.

Huffman's code; Pattipati and Alexandridis, IEEE Trans. SMC 20(4) 872-887, 1990, for unit costs. With costs that differ:
the tests on a path are distinct, so their costs are no less than those of as many of the cheapest; Jensen's inequality
takes the mean over the paths.
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.reference.diagnosis.table import Table


@dataclass(eq=False)
class Bounds:
    """What no plan comes below, by set of states; costs as they are anywhere at the least."""

    table: Table
    _pairs: tuple[tuple[tuple[float, int], ...], ...] = ()
    _needed: tuple[int, ...] = ()
    _order: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        pairs, needed = [], []
        for state in range(len(self.table.weight)):
            sets: dict[float, int] = {}
            for other in range(len(self.table.weight)):
                cost = self._parting(state, other)
                if cost < float("inf"):
                    sets[cost] = sets.get(cost, 0) | 1 << other
            pairs.append(tuple(sorted(sets.items(), reverse=True)))
            needed.append(sum(sets.values()))
        self._pairs, self._needed = tuple(pairs), tuple(needed)
        weight = self.table.weight
        self._order = tuple(sorted(range(len(weight)), key=lambda one: -weight[one]))

    def _parting(self, one: int, other: int) -> float:
        """The least cost of a test that parts two states; infinite where they need not be parted, or cannot."""
        if self.table.group[one] == self.table.group[other]:
            return float("inf")
        both = zip(self.table.ends, self.table.least, strict=True)
        return min((cost for ends, cost in both if ends[one] != ends[other]), default=float("inf"))

    def of(self, states: int, tests: Sequence[tuple[int, int]]) -> float:
        """The bound of a set; `tests` are those that part it, each with the number of its outcomes there."""
        weight = self.table.weight
        kept, words, whole, by_pairs = 0, [], 0.0, 0.0
        for state in self._order:
            if states >> state & 1:
                whole += weight[state]
                by_pairs += weight[state] * next((cost for cost, some in self._pairs[state] if some & states), 0.0)
                # Words are for states each of which has to be parted from each other.
                if kept & self._needed[state] == kept:
                    kept |= 1 << state
                    words.append(weight[state])
        by_code = cheapest_words(words, [self.table.least[test] for test, _ in tests], max(ways for _, ways in tests))
        return max(by_pairs, by_code) / whole


def cheapest_words(weights: Sequence[float], costs: Sequence[float], ways: int) -> float:
    """The least that telling these weights (they need not sum to one) apart by tests of so many ways can cost."""
    whole = sum(weights)
    length = code_length(weights, ways) / whole
    ordered = sorted(costs)
    done = int(length)
    if done >= len(ordered):
        return whole * sum(ordered)
    return whole * (sum(ordered[:done]) + (length - done) * ordered[done])


def code_length(weights: Sequence[float], ways: int = 2) -> float:
    """The sum of weight times length of word of the best code with so many letters (Huffman)."""
    if len(weights) < 2:
        return 0.0
    heap = [*weights, *([0.0] * (-(len(weights) - 1) % (ways - 1)))]
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = sum(heapq.heappop(heap) for _ in range(ways))
        total += joined
        heapq.heappush(heap, joined)
    return total


def chain_optimum(weights: Sequence[float], costs: Sequence[float]) -> float:
    """The least expected cost of finding one open in a chain by probes between neighbours: each set that can be left is
    a stretch, so the optimum is an alphabetic tree, in cubic time. `costs[k]` is that of the probe after link k."""
    count = len(weights)
    sums = np.concatenate([[0.0], np.cumsum(weights)])
    best = np.zeros((count + 1, count + 1))
    for length in range(2, count + 1):
        for start in range(count - length + 1):
            end = start + length
            mass = sums[end] - sums[start]
            best[start, end] = min(
                costs[cut - 1] * mass + best[start, cut] + best[cut, end] for cut in range(start + 1, end)
            )
    return float(best[0, count] / sums[count])


def walked(weights: Sequence[float], costs: Sequence[float]) -> float:
    """The expected cost of probing a chain from its beginning on until a probe is dead."""
    paid = np.cumsum(costs)
    return float(np.dot(weights[:-1], paid) + weights[-1] * paid[-1])
