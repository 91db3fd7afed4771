"""The sums of star-mesh elimination over a plan's columns: level by level in numpy, or one by one, compiled.

Level-scheduled numpy is the reference. Large networks run the same sums in the same order compiled by numba where it
is installed; both give the same bits. All go through the first `end` columns, which must be where a level ends.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from loombench.circuit.elimination import IntArray, Level, Plan

FloatArray = npt.NDArray[np.float64]

_TINY = float(np.nextafter(0.0, 1.0))
# From this many nodes on, importing numba and reading its compiled code (about a second) pays within one settled state
# or two.
COMPILED_FROM_NODES = 1000


# Adds up what shares an index, first to last, as a plain loop does; numpy's own sums pair the terms up. Its type stub
# leaves out that weights make the sums floating-point.
sum_by: Callable[[IntArray, FloatArray, int], FloatArray] = np.bincount  # type: ignore[assignment]


class Loops(Protocol):
    """What is done to the first `end` columns; what is by position or slot is changed in place."""

    def factor(self, plan: Plan, end: int, conductance: FloatArray, share: FloatArray, total: FloatArray) -> None:
        """Eliminate: bring what columns pull to their slots, and fill in `share` [slots] and `total` [nodes]."""

    def forward(self, plan: Plan, end: int, share: FloatArray, current: FloatArray) -> None:
        """Pass `current` [nodes, ...] on from column to column."""

    def backward(
        self, plan: Plan, end: int, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
    ) -> None:
        """Fill in `volts` [nodes + 1, ...], those beyond `end` being known, from what `forward` left in `current`."""


def loops_for(nodes: int) -> Loops:
    """The loops for a network of so many nodes."""
    return compiled_from(nodes) or BY_LEVEL


class ByLevel:
    """The reference."""

    def factor(self, plan: Plan, end: int, conductance: FloatArray, share: FloatArray, total: FloatArray) -> None:
        """By `Loops`."""
        for level in _until(plan, end):
            column = conductance[level.slot_first : level.slot_end]
            if len(level.pull_share):
                pulled = share[level.pull_share] * conductance[level.pull_mesh]
                column += sum_by(level.local_pull_slot, pulled, len(column))
            sums = sum_by(level.local_column, column, level.end - level.first)
            total[level.first : level.end] = sums
            # A column of zeros is shared out as zeros.
            np.divide(column, np.maximum(sums, _TINY)[level.local_column], share[level.slot_first : level.slot_end])

    def forward(self, plan: Plan, end: int, share: FloatArray, current: FloatArray) -> None:
        """By `Loops`."""
        wide = (slice(None), *(np.newaxis,) * (current.ndim - 1))
        for level in _until(plan, end):
            if level.entry_first < level.entry_end:
                slots = plan.entry_slot[level.entry_first : level.entry_end]
                passed = share[slots][wide] * current[level.entry_column]
                current[level.first : level.end] += sum_rows_by(level.local_entry_row, passed, level.end - level.first)

    def backward(
        self, plan: Plan, end: int, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
    ) -> None:
        """By `Loops`."""
        wide = (slice(None), *(np.newaxis,) * (current.ndim - 1))
        spread, sums = share[wide], total[:end][wide]
        volts[:end] = 0.0
        np.divide(current[:end], sums, out=volts[:end], where=sums > 0.0)
        for level in reversed([*_until(plan, end)]):
            passed = spread[level.slot_first : level.slot_end] * volts[level.row]
            volts[level.first : level.end] += sum_rows_by(level.local_column, passed, level.end - level.first)


BY_LEVEL = ByLevel()


def _until(plan: Plan, end: int) -> Iterator[Level]:
    for level in plan.levels:
        if level.first >= end:
            return
        yield level


def sum_rows_by(index: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Add up the rows of `values` that share an index, first to last."""
    if values.ndim == 1:
        return sum_by(index, values, count)
    k = values.shape[1]
    return sum_by((index[:, np.newaxis] * k + np.arange(k)).ravel(), values.ravel(), count * k).reshape(count, k)


@dataclass(frozen=True)
class OneByOne:
    """The loops below, compiled or as they stand."""

    factor_loop: Callable[..., None]
    forward_loop: Callable[..., None]
    forward_many_loop: Callable[..., None]
    backward_loop: Callable[..., None]
    backward_many_loop: Callable[..., None]
    islands_loop: Callable[..., None]

    def factor(self, plan: Plan, end: int, conductance: FloatArray, share: FloatArray, total: FloatArray) -> None:
        """By `Loops`."""
        self.factor_loop(
            plan.column_start, plan.pull_start, plan.pull_share, plan.pull_mesh, conductance, share, total[:end]
        )

    def forward(self, plan: Plan, end: int, share: FloatArray, current: FloatArray) -> None:
        """By `Loops`."""
        loop = self.forward_loop if current.ndim == 1 else self.forward_many_loop
        loop(plan.entry_start, plan.entry_slot, plan.column, share, current[:end])

    def backward(
        self, plan: Plan, end: int, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
    ) -> None:
        """By `Loops`."""
        loop = self.backward_loop if current.ndim == 1 else self.backward_many_loop
        loop(plan.column_start, plan.row, share, total[:end], current, volts)


def compiled_from(nodes: int) -> OneByOne | None:
    """The compiled loops where they are there and pay."""
    loaded = compiled.cache_info().currsize > 0
    return compiled() if loaded or nodes >= COMPILED_FROM_NODES else None


@cache
def compiled() -> OneByOne | None:
    """The compiled loops, None where numba is not installed."""
    try:
        import numba  # noqa: PLC0415  (half a second, and optional)
    except ImportError:
        return None
    types, keep = numba.types, not sys.dont_write_bytecode
    index, known = (types.Array(t, 1, "C", readonly=True) for t in (types.intp, types.float64))
    line, table = types.float64[::1], types.float64[:, ::1]

    def made_of(loop: Callable[..., None], *arguments: Any) -> Callable[..., None]:
        made: Callable[..., None]
        signature = types.void(*arguments)
        try:
            # The machine code goes where Python keeps its own compiled files, or nowhere if Python may not either.
            made = numba.njit(signature, error_model="numpy", cache=keep)(loop)
        except Exception:  # noqa: BLE001  (a cache folder that is missing, full or damaged must not stop the work)
            made = numba.njit(signature, error_model="numpy")(loop)
        return made

    return OneByOne(
        made_of(_factor_loop, *[index] * 4, *[line] * 3),
        made_of(_forward_loop, *[index] * 3, known, line),
        made_of(_forward_many_loop, *[index] * 3, known, table),
        made_of(_backward_loop, *[index] * 2, *[known] * 2, line, line),
        made_of(_backward_many_loop, *[index] * 2, *[known] * 2, table, table),
        made_of(
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


def _forward_loop(
    entry_start: IntArray, entry_slot: IntArray, column: IntArray, share: FloatArray, current: FloatArray
) -> None:
    for k in range(len(current)):
        passed = 0.0
        for e in range(entry_start[k], entry_start[k + 1]):
            passed += share[entry_slot[e]] * current[column[entry_slot[e]]]
        current[k] += passed


def _forward_many_loop(
    entry_start: IntArray, entry_slot: IntArray, column: IntArray, share: FloatArray, current: FloatArray
) -> None:
    width = current.shape[1]
    passed = np.empty(width)
    for k in range(len(current)):
        passed[:] = 0.0
        for e in range(entry_start[k], entry_start[k + 1]):
            slot = entry_slot[e]
            for j in range(width):
                passed[j] += share[slot] * current[column[slot], j]
        for j in range(width):
            current[k, j] += passed[j]


def _backward_loop(
    column_start: IntArray, row: IntArray, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
) -> None:
    for k in range(len(total) - 1, -1, -1):
        passed = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            passed += share[slot] * volts[row[slot]]
        volts[k] = (current[k] / total[k] if total[k] > 0.0 else 0.0) + passed


def _backward_many_loop(
    column_start: IntArray, row: IntArray, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
) -> None:
    width = current.shape[1]
    passed = np.empty(width)
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
