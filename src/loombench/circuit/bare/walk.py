"""A walk through a network, for which elements are the only way to what lies behind them."""

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, IntArray


def bridges_loop(
    a: IntArray, b: IntArray, closed: BoolArray, first: IntArray, last: IntArray, behind: IntArray
) -> None:
    """By `tables.spanning.bridges`: `first` and `last` [nodes], and `behind` [elements]."""
    nodes, elements = len(first), len(a)
    start = np.zeros(nodes + 1, dtype=np.intp)
    for e in range(elements):
        if closed[e] and a[e] != b[e]:
            start[a[e] + 1] += 1
            start[b[e] + 1] += 1
    for node in range(nodes):
        start[node + 1] += start[node]
    way = start[:nodes].copy()
    near = np.empty(start[nodes], dtype=np.intp)
    for e in range(elements):
        if closed[e] and a[e] != b[e]:
            near[way[a[e]]], near[way[b[e]]] = e, e
            way[a[e]] += 1
            way[b[e]] += 1
    way[:] = start[:nodes]
    first[:], last[:], behind[:] = -1, -1, -1
    low, walk, by = np.zeros(nodes, dtype=np.intp), np.empty(nodes, dtype=np.intp), np.empty(nodes, dtype=np.intp)
    count = 0
    for root in range(nodes):
        if first[root] >= 0:
            continue
        first[root], low[root], walk[0], by[0], depth = count, count, root, -1, 1
        count += 1
        while depth > 0:
            node = walk[depth - 1]
            if way[node] == start[node + 1]:
                depth -= 1
                last[node] = count - 1
                if depth > 0:
                    before = walk[depth - 1]
                    low[before] = min(low[before], low[node])
                    if low[node] > first[before]:
                        behind[by[depth]] = node
                continue
            e = near[way[node]]
            way[node] += 1
            if e == by[depth - 1]:
                continue
            to = a[e] + b[e] - node
            if first[to] < 0:
                first[to], low[to], walk[depth], by[depth] = count, count, to, e
                count += 1
                depth += 1
            else:
                low[node] = min(low[node], first[to])
