"""The linear kernel: star-mesh elimination of a resistor network, with the leak to reference kept apart.

Eliminating node k with s_k = sum of its conductances to other nodes and to reference:

    g_ij += g_ik * g_jk / s_k        leak_i += g_ik * leak_k / s_k        I_i += g_ik * I_k / s_k

and, backwards, V_k = I_k / s_k + sum over i of (g_ik / s_k) * V_i. Conductances are never negative, so nothing is
subtracted and nothing cancels: every factor has a relative error of a few rounding units times the number of
operations behind it, from a micro-ohm strap to a giga-ohm leak in one network (for Markov chains: Grassmann, Taksar,
Heyman, Oper. Res. 33 (1985) 1107-1116; here measured against exact rationals, see benchmarks/stiff.py).

Level-scheduled numpy is the reference. Large networks run the same sums in the same order compiled by numba where it
is installed; both give the same bits.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from loombench.circuit.elimination import IntArray, Plan

FloatArray = npt.NDArray[np.float64]

_TINY = float(np.nextafter(0.0, 1.0))
# From this many nodes on, importing numba and reading its compiled code (about a second) pays within one settled state
# or two.
COMPILED_FROM_NODES = 1000


# Adds up what shares an index, first to last, as a plain loop does; numpy's own sums pair the terms up. Its type stub
# leaves out that weights make the sums floating-point.
_sum_by: Callable[[IntArray, FloatArray, int], FloatArray] = np.bincount  # type: ignore[assignment]


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
    if conductance_s.shape != (plan.edges,) or leak_s.shape != (plan.nodes,):
        raise ValueError(
            f"expected {plan.edges} conductances and {plan.nodes} leaks, "
            f"got shapes {conductance_s.shape} and {leak_s.shape}"
        )
    given = np.concatenate((conductance_s, leak_s))
    # A nan fails both comparisons.
    if given.size and not (given.min() >= 0.0 and given.max() < np.inf):
        raise ValueError("conductances and leaks must be finite and not negative")
    # An edge from a node to itself lands one past the last slot.
    slots = len(plan.row)
    # Without any node numpy counts in whole numbers, which the compiled loops do not take.
    conductance = _sum_by(plan.given_slot, given, slots + 1)[:slots].astype(np.float64, copy=False)
    share, total = np.empty(slots), np.empty(plan.nodes)
    compiled = _compiled_from(plan.nodes)
    (compiled.factor if compiled else _factor_by_level)(plan, conductance, share, total)
    return Factors(conductance, share, total)


def solve(plan: Plan, factors: Factors, current_a: FloatArray) -> FloatArray:
    """Return the node voltages for the currents fed into the nodes, one column per right-hand side.

    `current_a` is [nodes] or [nodes, k], in amperes, positive into the node and out at reference; the result has the
    same shape, in volts. An island without any leak is held at 0 V at the node `Factors.loose` names (currents into
    it must then add up to zero; what does not is dropped); so a node connected to nothing reads 0 V.

    Raises ValueError on a wrong shape.
    """
    if current_a.shape[:1] != (plan.nodes,) or current_a.ndim > 2:
        raise ValueError(f"expected currents for {plan.nodes} nodes, got shape {current_a.shape}")
    current = np.ascontiguousarray(current_a[plan.order], dtype=np.float64)
    compiled = _compiled_from(plan.nodes)
    return (compiled.solve if compiled else _solve_by_level)(plan, factors, current)[plan.position]


def islands(nodes: int, edges: IntArray, closed: npt.NDArray[np.bool_]) -> IntArray:
    """Return [nodes] the smallest node number of the island each node belongs to.

    `edges` is [m, 2] node pairs, `closed` [m] says which of them conduct.
    """
    label = np.arange(nodes)
    if (compiled := _compiled_from(nodes)) is not None:
        compiled.islands_loop(np.ascontiguousarray(edges), closed, label)
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

    Takes about a second and pays when many small networks are to be solved. Results do not change by a bit.
    """
    return _compiled() is not None


def _factor_by_level(plan: Plan, conductance: FloatArray, share: FloatArray, total: FloatArray) -> None:
    for level in plan.levels:
        column = conductance[level.slot_first : level.slot_end]
        if len(level.pull_share):
            pulled = share[level.pull_share] * conductance[level.pull_mesh]
            column += _sum_by(level.local_pull_slot, pulled, len(column))
        sums = _sum_by(level.local_column, column, level.end - level.first)
        total[level.first : level.end] = sums
        # A column of zeros is shared out as zeros.
        np.divide(column, np.maximum(sums, _TINY)[level.local_column], share[level.slot_first : level.slot_end])


def _solve_by_level(plan: Plan, factors: Factors, current: FloatArray) -> FloatArray:
    """Return [nodes + 1, ...] voltages by position, reference last; `current` by position is used up."""
    wide = (slice(None), *(np.newaxis,) * (current.ndim - 1))
    share, total = factors.share[wide], factors.total_s[wide]
    entry_share = share[plan.entry_slot]
    for level in plan.levels:
        if level.entry_first < level.entry_end:
            passed = entry_share[level.entry_first : level.entry_end] * current[level.entry_column]
            current[level.first : level.end] += _sum_rows_by(level.local_entry_row, passed, level.end - level.first)
    volts = np.zeros((plan.nodes + 1, *current.shape[1:]))
    np.divide(current, total, out=volts[:-1], where=total > 0.0)
    for level in reversed(plan.levels):
        passed = share[level.slot_first : level.slot_end] * volts[level.row]
        volts[level.first : level.end] += _sum_rows_by(level.local_column, passed, level.end - level.first)
    return volts


def _sum_rows_by(index: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Add up the rows of `values` that share an index, first to last."""
    if values.ndim == 1:
        return _sum_by(index, values, count)
    k = values.shape[1]
    return _sum_by((index[:, np.newaxis] * k + np.arange(k)).ravel(), values.ravel(), count * k).reshape(count, k)


@dataclass(frozen=True)
class _Compiled:
    factor_loop: Callable[..., None]
    solve_loop: Callable[..., None]
    solve_many_loop: Callable[..., None]
    islands_loop: Callable[..., None]

    def factor(self, plan: Plan, conductance: FloatArray, share: FloatArray, total: FloatArray) -> None:
        self.factor_loop(plan.column_start, plan.pull_start, plan.pull_share, plan.pull_mesh, conductance, share, total)

    def solve(self, plan: Plan, factors: Factors, current: FloatArray) -> FloatArray:
        volts = np.zeros((plan.nodes + 1, *current.shape[1:]))
        loop = self.solve_loop if current.ndim == 1 else self.solve_many_loop
        loop(
            plan.column_start,
            plan.column,
            plan.row,
            plan.entry_start,
            plan.entry_slot,
            factors.share,
            factors.total_s,
            current,
            volts,
        )
        return volts


def _compiled_from(nodes: int) -> _Compiled | None:
    loaded = _compiled.cache_info().currsize > 0
    return _compiled() if loaded or nodes >= COMPILED_FROM_NODES else None


@cache
def _compiled() -> _Compiled | None:
    try:
        import numba  # noqa: PLC0415  (half a second, and optional)
    except ImportError:
        return None
    types, keep = numba.types, not sys.dont_write_bytecode
    index, known = (types.Array(t, 1, "C", readonly=True) for t in (types.intp, types.float64))
    line, table = types.float64[::1], types.float64[:, ::1]

    def compiled(loop: Callable[..., None], *arguments: Any) -> Callable[..., None]:
        made: Callable[..., None]
        signature = types.void(*arguments)
        try:
            # The machine code goes where Python keeps its own compiled files, or nowhere if Python may not either.
            made = numba.njit(signature, error_model="numpy", cache=keep)(loop)
        except Exception:  # noqa: BLE001  (a cache folder that is missing, full or damaged must not stop the work)
            made = numba.njit(signature, error_model="numpy")(loop)
        return made

    return _Compiled(
        compiled(_factor_loop, *[index] * 4, *[line] * 3),
        compiled(_solve_loop, *[index] * 5, *[known] * 2, line, line),
        compiled(_solve_many_loop, *[index] * 5, *[known] * 2, table, table),
        compiled(
            _islands_loop,
            types.Array(types.intp, 2, "C", readonly=True),
            types.Array(types.boolean, 1, "C", readonly=True),
            types.intp[::1],
        ),
    )


def _factor_loop(
    column_start: IntArray,
    pull_start: IntArray,
    pull_share: IntArray,
    pull_mesh: IntArray,
    conductance: FloatArray,
    share: FloatArray,
    total: FloatArray,
) -> None:
    for k in range(len(total)):
        total_k = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            pulled = 0.0
            for p in range(pull_start[slot], pull_start[slot + 1]):
                pulled += share[pull_share[p]] * conductance[pull_mesh[p]]
            conductance[slot] += pulled
            total_k += conductance[slot]
        total[k] = total_k
        for slot in range(column_start[k], column_start[k + 1]):
            share[slot] = conductance[slot] / total_k if total_k > 0.0 else 0.0


def _solve_loop(
    column_start: IntArray,
    column: IntArray,
    row: IntArray,
    entry_start: IntArray,
    entry_slot: IntArray,
    share: FloatArray,
    total: FloatArray,
    current: FloatArray,
    volts: FloatArray,
) -> None:
    for k in range(len(total)):
        passed = 0.0
        for e in range(entry_start[k], entry_start[k + 1]):
            passed += share[entry_slot[e]] * current[column[entry_slot[e]]]
        current[k] += passed
    for k in range(len(total) - 1, -1, -1):
        passed = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            passed += share[slot] * volts[row[slot]]
        volts[k] = (current[k] / total[k] if total[k] > 0.0 else 0.0) + passed


def _solve_many_loop(
    column_start: IntArray,
    column: IntArray,
    row: IntArray,
    entry_start: IntArray,
    entry_slot: IntArray,
    share: FloatArray,
    total: FloatArray,
    current: FloatArray,
    volts: FloatArray,
) -> None:
    width = current.shape[1]
    passed = np.empty(width)
    for k in range(len(total)):
        passed[:] = 0.0
        for e in range(entry_start[k], entry_start[k + 1]):
            slot = entry_slot[e]
            for j in range(width):
                passed[j] += share[slot] * current[column[slot], j]
        for j in range(width):
            current[k, j] += passed[j]
    for k in range(len(total) - 1, -1, -1):
        passed[:] = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            for j in range(width):
                passed[j] += share[slot] * volts[row[slot], j]
        for j in range(width):
            volts[k, j] = (current[k, j] / total[k] if total[k] > 0.0 else 0.0) + passed[j]


def _islands_loop(edges: IntArray, closed: npt.NDArray[np.bool_], label: IntArray) -> None:
    """Hook each root below a smaller one; in the end each node has the smallest of its island."""
    for k in range(len(closed)):
        if not closed[k]:
            continue
        a, b = edges[k, 0], edges[k, 1]
        while label[a] != a:
            label[a] = label[label[a]]
            a = label[a]
        while label[b] != b:
            label[b] = label[label[b]]
            b = label[b]
        if a < b:
            label[b] = a
        elif b < a:
            label[a] = b
    for n in range(len(label)):
        label[n] = label[label[n]]
