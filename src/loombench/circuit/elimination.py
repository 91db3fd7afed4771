"""Symbolic elimination: in which order a network's nodes are eliminated, and which numbers meet on the way.

Star-mesh elimination of node k replaces the star around k by a mesh between k's neighbours. Which neighbours those
are depends on the topology alone, so it is worked out once per netlist; open switches stay in it as conductance 0.

Reference (node index `nodes`, one past the last) is an extra neighbour of every node and is never eliminated: a
node's leak is simply its slot to reference. The order is multiple minimum degree: each round takes an independent set
of nodes of low degree, so a series chain of n nodes needs about log2(n) rounds instead of n. Nodes of one level touch
each other nowhere and can be processed at once.
"""

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from loombench.circuit.bare.arrays import PlanArrays, fixed

IntArray = npt.NDArray[np.intp]

# Eliminating a node of degree 3 or less replaces d edges by d(d-1)/2 <= d edges: it never adds any.
_FREE_DEGREE = 3
# Taking nodes one degree above the least as well costs no extra fill on networks like a vehicle's and saves a tenth of
# the rounds.
_SLACK = 1


@dataclass(frozen=True, eq=False, slots=True)
class Level:
    """Nodes that are eliminated together: ranges and index arrays of the plan, cut out for one level.

    Positions `first:end`, slots `slot_first:slot_end`, entries `entry_first:entry_end`. Arrays whose name starts with
    `local` count from the level's own first slot or position.
    """

    first: int
    end: int
    slot_first: int
    slot_end: int
    local_column: IntArray
    """[slots of the level] column of each slot, from `first`."""
    row: IntArray
    """[slots of the level] row of each slot."""
    pull_share: IntArray
    pull_mesh: IntArray
    local_pull_slot: IntArray
    """[pulls of the level] slot that receives `share[pull_share] * conductance[pull_mesh]`, from `slot_first`."""
    entry_first: int
    entry_end: int
    entry_column: IntArray
    local_entry_row: IntArray
    """[entries of the level] row of each entry, from `first`."""


@dataclass(frozen=True, eq=False)
class Plan:
    """Elimination plan of one topology. All arrays are read-only; positions count along `order`.

    Position `nodes` is reference. Slots are the edges of the filled graph, sorted by (column, row), where column is
    the end that is eliminated first; the last slot of each column leads to reference.
    """

    nodes: int
    edges: int
    order: IntArray
    """[nodes] node at each position."""
    position: IntArray
    """[nodes] position of each node."""
    column_start: IntArray
    """[nodes + 1] first slot of each column."""
    column: IntArray
    """[slots] position of the end that is eliminated first."""
    row: IntArray
    """[slots] position of the other end; `nodes` for reference."""
    given_slot: IntArray
    """[edges + nodes] slot of each given edge, then of each node's leak. An edge from a node to itself has the number
    of slots: a place nobody reads."""
    pull_start: IntArray
    """[slots + 1] first star-mesh contribution to each slot."""
    pull_share: IntArray
    """[pulls] slot whose share is the left factor."""
    pull_mesh: IntArray
    """[pulls] slot whose conductance is the right factor."""
    entry_start: IntArray
    """[nodes + 1] first entry of each row."""
    entry_slot: IntArray
    """[entries] slots between nodes (not those to reference), sorted by (row, column)."""
    levels: tuple[Level, ...]
    core_first: int = 0
    """Position of the first node of the core: what the nodes that were asked for hang on (`plan`)."""

    @cached_property
    def bare(self) -> PlanArrays:
        """What loops are given of it."""
        return PlanArrays(*(fixed(getattr(self, name)) for name in PlanArrays._fields))

    @cached_property
    def higher(self) -> tuple[frozenset[int], ...]:
        """[nodes] the nodes that each touches when it is eliminated."""
        ends = np.append(self.order, self.nodes)[self.row].tolist()
        starts = self.column_start.tolist()
        # The last of each column leads to reference.
        return tuple(frozenset(ends[starts[k] : starts[k + 1] - 1]) for k in self.position.tolist())

    @cached_property
    def level_of(self) -> tuple[int, ...]:
        """[nodes] the level of each."""
        found = np.repeat(np.arange(len(self.levels)), [level.end - level.first for level in self.levels])
        return tuple(found[self.position].tolist())

    @property
    def edge_slot(self) -> IntArray:
        """[edges] slot of each given edge."""
        return self.given_slot[: self.edges]

    @property
    def leak_slot(self) -> IntArray:
        """[nodes] slot from each node to reference."""
        return self.given_slot[self.edges :]

    @property
    def slots(self) -> IntArray:
        """[slots, 2] node numbers (i, j) with i < j of each slot; j is `nodes` for a slot to reference."""
        ends = np.concatenate((self.order, np.array([self.nodes], dtype=np.intp)))
        return np.sort(np.stack((ends[self.column], ends[self.row]), axis=1), axis=1)


def plan(nodes: int, edges: Sequence[tuple[int, int]], last: Sequence[int] = (), core: Sequence[int] = ()) -> Plan:
    """Return the elimination plan of a network of `nodes` nodes and the given `edges` (node pairs).

    Parallel edges share a slot; an edge from a node to itself carries no current between nodes and is ignored. Nodes
    in `last` are eliminated after all others. Those in `core`, with all that their elimination touches, come after the
    rest, which can then be eliminated once for many values of what ties the core; this costs no fill, and those in
    `last` are in the core if there is one. The same arguments always give the same plan.

    Raises ValueError if a node number is outside 0..nodes-1: that is a programming error, not user data.
    Method: multiple minimum degree (J. W. H. Liu, ACM Trans. Math. Softw. 11 (1985) 141-153; from memory), with
    independent sets of equal rank.
    """
    ends = np.asarray(edges, dtype=np.intp).reshape(-1, 2)
    tail, inner = (np.asarray(some, dtype=np.intp).reshape(-1) for some in (last, core))
    for numbers, what in ((ends, "edge"), (tail, "last"), (inner, "core")):
        if numbers.size and (numbers.min() < 0 or numbers.max() >= nodes):
            raise ValueError(f"{what}: node numbers must lie in 0..{nodes - 1}")
    higher, level_of = _eliminate(nodes, ends.tolist(), tail.tolist())
    in_core = _closed(higher, level_of, {*inner.tolist(), *tail.tolist()} if len(inner) else set())
    return compiled_plan(nodes, ends, higher, level_of, in_core)


def _closed(higher: list[set[int]], level_of: list[int], some: set[int]) -> list[bool]:
    """[nodes] whether each is in the core: some nodes, and those that are still there and touch them when they are
    eliminated, and so on."""
    found = [k in some for k in range(len(higher))]
    for k in sorted(range(len(higher)), key=lambda one: level_of[one]):
        if found[k]:
            for i in higher[k]:
                found[i] = True
    return found


def fitted(known: Plan, nodes: int, edges: IntArray) -> Plan | None:
    """The plan for other edges [edges, 2] between the same nodes; None where one of them has no slot in it."""
    if nodes != known.nodes or not has_slot(known, edges).all():
        return None
    return replace(known, edges=len(edges), given_slot=np.concatenate((_slots_of(known, edges), known.leak_slot)))


def has_slot(known: Plan, edges: IntArray) -> npt.NDArray[np.bool_]:
    """[edges] which edges [edges, 2] have a slot in a plan, or need none."""
    at = _slots_of(known, edges)
    low, high = np.sort(known.position[edges], axis=1).T
    inside = np.minimum(at, max(len(known.row) - 1, 0))
    result: npt.NDArray[np.bool_] = (low == high) | ((known.column[inside] == low) & (known.row[inside] == high))
    return result


def _slots_of(known: Plan, edges: IntArray) -> IntArray:
    """[edges] the slot of each, or of what comes after it where there is none; their number for one to itself."""
    low, high = np.sort(known.position[edges], axis=1).T
    slots, wide = known.column * (known.nodes + 1) + known.row, known.nodes + 1
    found: IntArray = np.where(low == high, len(slots), np.searchsorted(slots, low * wide + high))
    return found


def _eliminate(nodes: int, edges: Iterable[list[int]], last: Iterable[int]) -> tuple[list[set[int]], list[int]]:
    """Eliminate on sets; return each node's neighbours at the time it went, and its level."""
    near: list[set[int]] = [set() for _ in range(nodes)]
    for a, b in edges:
        if a != b:
            near[a].add(b)
            near[b].add(a)
    held = set(last)
    level_of = [0] * nodes
    base = 0
    for group in ([k for k in range(nodes) if k not in held], sorted(held)):
        left = group
        for k in group:
            level_of[k] = max(level_of[k], base)
        while left:
            gone = _independent(left, near)
            for k in gone:
                for i in near[k]:
                    near[i] |= near[k]
                    near[i] -= {i, k}
                    # The level is the depth below k in the elimination tree, which may be less than the round.
                    level_of[i] = max(level_of[i], level_of[k] + 1)
            left = [k for k in left if k not in gone]
        base = max((level_of[k] for k in group), default=-1) + 1
    return near, level_of


def _independent(left: list[int], near: list[set[int]]) -> set[int]:
    """Return nodes of `left` that are not neighbours of each other, those of low degree preferred."""
    limit = max(_FREE_DEGREE, min(len(near[k]) for k in left) + _SLACK)
    barred: set[int] = set()
    taken: set[int] = set()
    for _, k in sorted((len(near[k]), k) for k in left if len(near[k]) <= limit):
        if k not in barred:
            taken.add(k)
            barred |= near[k]
    return taken


def compiled_plan(
    nodes: int,
    ends: IntArray,
    higher: Sequence[AbstractSet[int]],
    level_of: Sequence[int],
    in_core: Sequence[bool],
) -> Plan:
    """Turn neighbour sets and levels into flat arrays."""
    # The levels of the core go on from those of the rest.
    level = np.array(level_of, dtype=np.intp) + np.array(in_core, dtype=np.intp) * (max(level_of, default=0) + 1)
    order = np.argsort(level, kind="stable")
    position = np.empty(nodes, dtype=np.intp)
    position[order] = np.arange(nodes)

    # Every node has one more neighbour than its set holds: reference, at position `nodes`.
    degree = np.array([len(higher[k]) + 1 for k in order.tolist()], dtype=np.intp)
    column_start = _starts(degree)
    column = np.repeat(np.arange(nodes), degree)
    place = np.append(position, nodes)
    row = place[np.array([i for k in order.tolist() for i in (*higher[k], nodes)], dtype=np.intp)]
    row = row[np.lexsort((row, column))]
    slot_key = column * (nodes + 1) + row

    low, high = np.sort(position[ends], axis=1).T
    edge_slot = np.where(low < high, np.searchsorted(slot_key, low * (nodes + 1) + high), len(slot_key))

    share, mesh = _pairs(degree, column_start)
    target = np.searchsorted(slot_key, row[share] * (nodes + 1) + row[mesh])
    by_target = np.argsort(target * len(slot_key) + share)
    share, mesh, target = share[by_target], mesh[by_target], target[by_target]

    entry_slot = np.flatnonzero(row < nodes)
    entry_slot = entry_slot[np.argsort(row[entry_slot], kind="stable")]
    arrays = {
        "order": order,
        "position": position,
        "column_start": column_start,
        "column": column,
        "row": row,
        "given_slot": np.concatenate((edge_slot, column_start[position + 1] - 1)),
        "pull_start": np.searchsorted(target, np.arange(len(slot_key) + 1)),
        "pull_share": share,
        "pull_mesh": mesh,
        "entry_start": np.searchsorted(row[entry_slot], np.arange(nodes + 1)),
        "entry_slot": entry_slot,
    }
    for array in (*arrays.values(), target):
        array.setflags(write=False)
    cuts = np.flatnonzero(np.diff(level[order], prepend=-1, append=-1)) if nodes else np.zeros(1, dtype=np.intp)
    levels = _levels(arrays, target, cuts.tolist())
    return Plan(nodes=nodes, edges=len(ends), levels=levels, core_first=nodes - sum(in_core), **arrays)


def _pairs(degree: IntArray, column_start: IntArray) -> tuple[IntArray, IntArray]:
    """Return all pairs (earlier slot, later slot) within a column, over all columns."""
    earlier, later = [np.empty(0, dtype=np.intp)], [np.empty(0, dtype=np.intp)]
    for d in np.unique(degree).tolist():
        i, j = np.triu_indices(d, 1)
        start = column_start[:-1][degree == d][:, None]
        earlier.append((start + i).ravel())
        later.append((start + j).ravel())
    return np.concatenate(earlier), np.concatenate(later)


def _starts(counts: IntArray) -> IntArray:
    return np.concatenate((np.zeros(1, dtype=np.intp), np.cumsum(counts)))


def _levels(arrays: dict[str, IntArray], pull_slot: IntArray, cuts: list[int]) -> tuple[Level, ...]:
    """Cut the flat arrays at the positions where a level begins or ends."""
    found = []
    for first, end in pairwise(cuts):
        slot_first, slot_end = (int(arrays["column_start"][p]) for p in (first, end))
        pulls = slice(*(int(arrays["pull_start"][s]) for s in (slot_first, slot_end)))
        entries = slice(*(int(arrays["entry_start"][p]) for p in (first, end)))
        entry_slot = arrays["entry_slot"][entries]
        found.append(
            Level(
                first=first,
                end=end,
                slot_first=slot_first,
                slot_end=slot_end,
                local_column=arrays["column"][slot_first:slot_end] - first,
                row=arrays["row"][slot_first:slot_end],
                pull_share=arrays["pull_share"][pulls],
                pull_mesh=arrays["pull_mesh"][pulls],
                local_pull_slot=pull_slot[pulls] - slot_first,
                entry_first=entries.start,
                entry_end=entries.stop,
                entry_column=arrays["column"][entry_slot],
                local_entry_row=arrays["row"][entry_slot] - first,
            )
        )
    return tuple(found)
