"""What is left of a network once all is eliminated that does not lead to a nonlinear element.

Newton changes the slopes of a few elements, step after step. The rest of the network, most of it chains of wires and
contacts, stays as it is meanwhile, so it is eliminated once and its own volts are asked for once, at the end. In
between stands the core: a network of its own, whose conductances are what was brought to its slots, and the elements.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from loombench.circuit.bare.arrays import CoreArrays, fixed
from loombench.circuit.compiled import loops_for
from loombench.circuit.elimination import IntArray, Plan, fitted, plan
from loombench.circuit.kernel import by_slot
from loombench.circuit.loops import FloatArray, sum_by, sum_rows_by


@dataclass(frozen=True, eq=False)
class Core:
    """The core of a plan, nodes numbered by their position there from `first` on.

    `plan` is its own; its edges are the slots `between` its nodes that the whole plan has, then the elements from `a`
    to `b` [elements]. What the rest brings to slots [pulls] and nodes [entries], `pull_to` and `entry_to`, counts from
    where the core begins; `pull_share`, `pull_mesh` and `entry_slot` are slots, `entry_column` positions, of the whole.
    """

    first: int
    plan: Plan
    a: IntArray
    b: IntArray
    first_slot: int
    between: IntArray
    """Those of the core's slots that tie two nodes."""
    leaks: IntArray
    """Those that lead to reference, in the order of the nodes."""
    pull_to: IntArray
    pull_share: IntArray
    pull_mesh: IntArray
    entry_to: IntArray
    entry_slot: IntArray
    entry_column: IntArray

    @cached_property
    def bare(self) -> CoreArrays:
        """What loops are given of it."""
        return CoreArrays(*(fixed(getattr(self, name)) for name in CoreArrays._fields))


def core_of(whole: Plan, ends: IntArray, known: Core | None = None) -> Core | None:
    """The core of a plan for elements between `ends` [elements, 2] (nodes); None where one of them is not in it.

    The elimination of a `known` core of the same plan is used again where the elements fit in.
    """
    first, count = whole.core_first, whole.nodes - whole.core_first
    found = whole.position[ends] - first
    if found.size and found.min() < 0:
        return None
    first_slot = int(whole.column_start[first])
    row, column = whole.row[first_slot:] - first, whole.column[first_slot:] - first
    between = row < count
    edges = np.concatenate((np.stack((column, row), axis=1)[between], found))
    own = None if known is None else fitted(known.plan, count, edges)
    to = np.repeat(np.arange(len(whole.row)), np.diff(whole.pull_start))
    pulls = np.flatnonzero((to >= first_slot) & (whole.pull_share < first_slot))
    entry_row = np.repeat(np.arange(whole.nodes), np.diff(whole.entry_start))
    entries = np.flatnonzero((entry_row >= first) & (whole.entry_slot < first_slot))
    return Core(
        first,
        own or plan(count, [(int(a), int(b)) for a, b in edges.tolist()]),
        found[:, 0].copy(),
        found[:, 1].copy(),
        first_slot,
        np.flatnonzero(between),
        np.flatnonzero(~between),
        to[pulls] - first_slot,
        whole.pull_share[pulls],
        whole.pull_mesh[pulls],
        entry_row[entries] - first,
        whole.entry_slot[entries],
        whole.column[whole.entry_slot[entries]],
    )


@dataclass(frozen=True, eq=False)
class Reduced:
    """A network brought down to its core: [edges of the core] conductances, 0 for the elements, [nodes of the core]
    leaks; `share` [slots] and `total_s` [rest] are those of what is eliminated."""

    whole: Plan
    core: Core
    conductance_s: FloatArray
    leak_s: FloatArray
    share: FloatArray
    total_s: FloatArray

    def passed_on(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """What currents [nodes, ...] fed into the nodes leave in the rest [rest, ...], and bring to the core's nodes
        [nodes of the core, ...]."""
        core, end = self.core, self.core.first
        current = np.ascontiguousarray(np.take(current_a, self.whole.order, axis=0), dtype=np.float64)
        loops_for(self.whole.nodes).forward(self.whole, end, self.share, current)
        wide = (slice(None), *(np.newaxis,) * (current.ndim - 1))
        brought = self.share[core.entry_slot][wide] * current[core.entry_column]
        return current[:end], current[end:] + sum_rows_by(core.entry_to, brought, self.whole.nodes - end)

    def alone_v(self, left_a: FloatArray) -> FloatArray:
        """[rest, ...] volts that currents left in the rest make there, the core being at 0 V."""
        total = self.total_s[(slice(None), *(np.newaxis,) * (left_a.ndim - 1))]
        return np.divide(left_a, total, out=np.zeros(left_a.shape), where=total > 0.0)

    def volts(self, left_a: FloatArray, core_v: FloatArray) -> FloatArray:
        """[nodes] the volts of all nodes, from currents left in the rest and the volts of the core."""
        volts = np.zeros(self.whole.nodes + 1)
        volts[self.core.first : -1] = core_v
        loops = loops_for(self.whole.nodes)
        loops.backward(self.whole, self.core.first, self.share, self.total_s, np.ascontiguousarray(left_a), volts)
        return np.take(volts, self.whole.position)


def reduced(whole: Plan, core: Core, conductance_s: FloatArray, leak_s: FloatArray) -> Reduced:
    """Eliminate what is not in the core, by the arguments and errors of `kernel.factor`."""
    conductance = by_slot(whole, conductance_s, leak_s)
    share, total = np.empty(len(whole.row)), np.empty(core.first)
    loops_for(whole.nodes).factor(whole, core.first, conductance, share, total)
    own = conductance[core.first_slot :]
    own += sum_by(core.pull_to, share[core.pull_share] * conductance[core.pull_mesh], len(own))
    edges = np.zeros(core.plan.edges)
    edges[: len(core.between)] = own[core.between]
    return Reduced(whole, core, edges, own[core.leaks], share, total)
