"""The linear kernel: star-mesh elimination of a resistor network, with the leak to reference kept apart.

Eliminating node k with s_k = sum of its conductances to other nodes and to reference:

    g_ij += g_ik * g_jk / s_k        leak_i += g_ik * leak_k / s_k        I_i += g_ik * I_k / s_k

and, backwards, V_k = I_k / s_k + sum over i of (g_ik / s_k) * V_i. Conductances are never negative, so nothing is
subtracted and nothing cancels: every factor has a relative error of a few rounding units times the number of
operations behind it, from a micro-ohm strap to a giga-ohm leak in one network (for Markov chains: Grassmann, Taksar,
Heyman, Oper. Res. 33 (1985) 1107-1116; here measured against exact rationals, see benchmarks/stiff.py).

The sums themselves are in `loops`.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.compiled import compiled, compiled_from, loops_for
from loombench.circuit.elimination import IntArray, Plan
from loombench.circuit.loops import FloatArray, sum_by


@dataclass(frozen=True, eq=False)
class Factors:
    """A factorised network. Arrays follow the plan's slots and positions."""

    conductance_s: FloatArray
    """[slots] conductance of each slot when its column is eliminated; the last slot of a column is the leak."""
    share: FloatArray
    """[slots] part of the column's total that flows this way: 0..1, summing to 1 over a column."""
    total_s: FloatArray
    """[nodes] sum of each column by position; 0 where the node's island has no leak left to hold it."""

    def loose(self, plan: Plan) -> IntArray:
        """Return, ascending, one node of each island without any leak to reference: there `solve` answers 0 V."""
        return np.sort(plan.order[np.flatnonzero(self.total_s == 0.0)])


def factor(plan: Plan, conductance_s: FloatArray, leak_s: FloatArray) -> Factors:
    """Eliminate all nodes.

    `conductance_s` [edges] in the order of the plan's edges, in siemens, 0 for an open one; `leak_s` [nodes] is each
    node's conductance to reference. Values between 1e-100 and 1e100 keep clear of under- and overflow.

    Raises ValueError on a wrong shape, and on a value that is negative, infinite or not a number.
    """
    conductance = by_slot(plan, conductance_s, leak_s)
    share, total = np.empty(len(plan.row)), np.empty(plan.nodes)
    loops_for(plan.nodes).factor(plan, plan.nodes, conductance, share, total)
    return Factors(conductance, share, total)


def by_slot(plan: Plan, conductance_s: FloatArray, leak_s: FloatArray) -> FloatArray:
    """[slots] what is given to each slot, by the arguments and errors of `factor`."""
    if conductance_s.shape != (plan.edges,) or leak_s.shape != (plan.nodes,):
        raise ValueError(
            f"expected {plan.edges} conductances and {plan.nodes} leaks, "
            f"got shapes {conductance_s.shape} and {leak_s.shape}"
        )
    given = np.concatenate((conductance_s, leak_s))
    # A nan fails both comparisons.
    if given.size and not (given.min() >= 0.0 and given.max() < np.inf):
        raise ValueError("conductances and leaks must be finite and not negative")
    # An edge from a node to itself lands one past the last slot. Without any node numpy counts in whole numbers, which
    # the compiled loops do not take.
    slots = len(plan.row)
    return sum_by(plan.given_slot, given, slots + 1)[:slots].astype(np.float64, copy=False)


def solve(plan: Plan, factors: Factors, current_a: FloatArray) -> FloatArray:
    """Return the node voltages for the currents fed into the nodes, one column per right-hand side.

    `current_a` is [nodes] or [nodes, k], in amperes, positive into the node and out at reference; the result has the
    same shape, in volts. An island without any leak is held at 0 V at the node `Factors.loose` names (currents into
    it must then add up to zero; what does not is dropped); so a node connected to nothing reads 0 V.

    Raises ValueError on a wrong shape.
    """
    if current_a.shape[:1] != (plan.nodes,) or current_a.ndim > 2:
        raise ValueError(f"expected currents for {plan.nodes} nodes, got shape {current_a.shape}")
    current = np.ascontiguousarray(np.take(current_a, plan.order, axis=0), dtype=np.float64)
    volts = np.zeros((plan.nodes + 1, *current.shape[1:]))
    loops = loops_for(plan.nodes)
    loops.forward(plan, plan.nodes, factors.share, current)
    loops.backward(plan, plan.nodes, factors.share, factors.total_s, current, volts)
    return np.take(volts, plan.position, axis=0)


def islands(nodes: int, edges: IntArray, closed: npt.NDArray[np.bool_]) -> IntArray:
    """Return [nodes] the smallest node number of the island each node belongs to.

    `edges` is [m, 2] node pairs, `closed` [m] says which of them conduct.
    """
    label = np.arange(nodes)
    if (loops := compiled_from(nodes)) is not None:
        loops.islands_loop(np.ascontiguousarray(edges), closed, label)
        return label
    a, b = edges[closed].T
    while True:
        # Each island's label is a node that labels itself, so hooking the greater of two labels below the smaller
        # one joins whole islands, and following labels to the end makes each node see its island's own again.
        low, high = np.minimum(label[a], label[b]), np.maximum(label[a], label[b])
        apart = low < high
        if not apart.any():
            return label
        np.minimum.at(label, high[apart], low[apart])
        while True:
            onward = label[label]
            if np.array_equal(onward, label):
                break
            label = onward


def load_compiled() -> bool:
    """Load the compiled loops now and use them for networks of every size; say whether they are there.

    Takes about a second, the first time on a machine half a minute to compile (which is said), and pays when many small
    networks are to be solved. What the kernel answers does not change by a bit, what nonlinear elements do by no more
    than a rounding.
    """
    return compiled() is not None
