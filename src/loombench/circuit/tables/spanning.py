"""Which elements are the only way between two parts of a network, and which nodes lie behind each."""

from dataclasses import dataclass

import numpy as np

from loombench.circuit.compiled import compiled_from
from loombench.circuit.elimination import IntArray
from loombench.circuit.network import BoolArray


@dataclass(frozen=True, eq=False)
class Bridges:
    """`first` and `last` [nodes] number a walk through each island: the nodes behind node n are those whose `first` is
    from `first[n]` to `last[n]`. `behind` [elements] is the node on the far side of an element that is the only way,
    -1 for one that is not."""

    first: IntArray
    last: IntArray
    behind: IntArray

    def beyond(self, element: int, nodes: IntArray) -> BoolArray:
        """Which of some nodes are cut off from the rest of their island by opening a bridge."""
        node = self.behind[element]
        here = self.first[nodes]
        result: BoolArray = (here >= self.first[node]) & (here <= self.last[node])
        return result

    def all_beyond(self, elements: IntArray, nodes: IntArray) -> BoolArray:
        """[elements, nodes] the same of several bridges."""
        behind = self.behind[elements][:, np.newaxis]
        here = self.first[nodes]
        result: BoolArray = (here >= self.first[behind]) & (here <= self.last[behind])
        return result


def bridges(nodes: int, a: IntArray, b: IntArray, closed: BoolArray) -> Bridges:
    """Walk through a network of the elements that are closed, depth first, without recursion.

    An element is a bridge where nothing behind it leads back past it: Tarjan, Inf. Proc. Letters 2 (1974) 160 (from
    memory).
    """
    if (loops := compiled_from(nodes)) is not None:
        first_at, last_at, far = (np.empty(count, dtype=np.intp) for count in (nodes, nodes, len(a)))
        loops.bridges_loop(a, b, closed, first_at, last_at, far)
        return Bridges(first_at, last_at, far)
    near: list[list[tuple[int, int]]] = [[] for _ in range(nodes)]
    for element in np.flatnonzero(closed & (a != b)).tolist():
        one, two = int(a[element]), int(b[element])
        near[one].append((two, element))
        near[two].append((one, element))
    first, last, low = [-1] * nodes, [-1] * nodes, [0] * nodes
    behind = np.full(len(a), -1, dtype=np.intp)
    count = 0
    for root in range(nodes):
        if first[root] >= 0:
            continue
        first[root] = low[root] = count
        count += 1
        walk = [(root, -1, iter(near[root]))]
        while walk:
            node, by, ways = walk[-1]
            onward = next(ways, None)
            if onward is None:
                walk.pop()
                last[node] = count - 1
                if walk:
                    before = walk[-1][0]
                    low[before] = min(low[before], low[node])
                    if low[node] > first[before]:
                        behind[by] = node
            elif onward[1] != by:
                to, element = onward
                if first[to] < 0:
                    first[to] = low[to] = count
                    count += 1
                    walk.append((to, element, iter(near[to])))
                else:
                    low[node] = min(low[node], first[to])
    return Bridges(np.array(first, dtype=np.intp), np.array(last, dtype=np.intp), behind)
