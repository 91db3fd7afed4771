"""What telling states apart costs at least, and optima of chains that need no search.

Huffman's code; Pattipati and Alexandridis, IEEE Trans. SMC 20(4) 872-887, 1990, for unit costs. With costs that differ:
the tests on a path are distinct, so their costs are no less than those of as many of the cheapest; Jensen's inequality
takes the mean over the paths.
"""

import heapq
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt


def apart_from_each_other(apart: npt.NDArray[np.float64], weight: npt.NDArray[np.float64]) -> list[int]:
    """States each of which has to be parted from each other, the heaviest first."""
    kept: list[int] = []
    for one in np.argsort(-weight, kind="stable"):
        if all(apart[one, other] > 0.0 for other in kept):
            kept.append(int(one))
    return kept


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
