"""An elimination plan for a few more edges and nodes than another was made for, by that one's order.

What a new edge fills in lies on one way up the elimination tree: a column with one more row hands its rows on to the
next, and so on until one has them all. New nodes are eliminated before all others. So a fault that adds an element need
not have the whole vehicle planned anew. (Row merging along the tree: Davis and Hager, SIAM J. Matrix Anal. Appl. 20
(1999) 606-627; from memory.)
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loombench.circuit.elimination import IntArray, Plan, compiled_plan, has_slot

MOST_NEW = 8
"""More new nodes and edges than this are planned anew."""


def grown(known: Plan, nodes: int, edges: IntArray, last: int, core: Sequence[int]) -> Plan | None:
    """By `elimination.plan` for `edges` [edges, 2] between `nodes` nodes, the first of which are those of a known plan;
    `last` is one node. None where too much is new, or `known` was made for another node to be the last."""
    more = nodes - known.nodes
    if more < 0 or known.nodes == 0 or known.order[-1] != last:
        return None
    new: npt.NDArray[np.bool_] = np.array((edges >= known.nodes).any(axis=1), ndmin=1)
    new[~new] = ~has_slot(known, edges[~new])
    if more + int(new.sum()) > MOST_NEW:
        return None
    # New nodes go first, so that they are before all that they touch.
    turn = known.position.tolist() + list(range(-more, 0))
    higher = [*known.higher, *(frozenset[int]() for _ in range(more))]
    level = [*known.level_of, *([-1] * more)]
    ends = [(one, other) for one, other in edges[new].tolist() if one != other]
    changed: set[int] = set()
    for pair in ends:
        first, then = sorted(pair, key=turn.__getitem__)
        higher[first] |= {then}
        changed.add(first)
    # In the order of elimination, so that what is handed on is handed on once.
    for node in sorted(changed, key=turn.__getitem__):
        changed |= _handed_on(node, higher, turn)
    later = sorted(changed, key=turn.__getitem__)
    while later:
        node = later.pop(0)
        behind = [i for i in higher[node] if level[i] <= level[node]]
        for i in behind:
            level[i] = level[node] + 1
        if behind:
            later = sorted({*later, *behind}, key=turn.__getitem__)
    # Another island may have come up to it.
    level[last] = max(level) + (nodes > 1)
    least = min(level)
    within = {*core, last, *known.order[known.core_first :].tolist()}
    asked = [*core, *(node for node in changed if node in within)]
    while asked:
        more_within = higher[asked.pop()] - within
        within |= more_within
        asked += more_within
    return compiled_plan(
        nodes, edges, higher, [one - least for one in level], [node in within for node in range(nodes)]
    )  # fmt: skip


def _handed_on(node: int, higher: list[frozenset[int]], turn: Sequence[int]) -> set[int]:
    """Let a node's neighbours meet when it goes, and so on; those that had not all met."""
    found: set[int] = set()
    while higher[node]:
        after = min(higher[node], key=turn.__getitem__)
        more = higher[node] - higher[after] - {after}
        if not more:
            break
        higher[after] |= more
        found.add(after)
        node = after
    return found
