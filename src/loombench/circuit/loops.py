"""The sums of star-mesh elimination over a plan's columns: level by level in numpy, or one by one, compiled.

Level-scheduled numpy is the reference. Large networks run the same sums in the same order compiled by numba where it
is installed; both give the same bits. All go through the first `end` columns, which must be where a level ends.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from loombench.circuit.elimination import IntArray, Level, Plan

FloatArray = npt.NDArray[np.float64]

_TINY = float(np.nextafter(0.0, 1.0))

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
    """The loops of `bare`, compiled or as they stand."""

    factor_loop: Callable[..., None]
    forward_loop: Callable[..., None]
    forward_many_loop: Callable[..., None]
    backward_loop: Callable[..., None]
    backward_many_loop: Callable[..., None]
    columns_loop: Callable[..., None]
    islands_loop: Callable[..., None]
    bridges_loop: Callable[..., None]
    tangents_loop: Callable[..., None]
    respond_loop: Callable[..., None]
    newton_loop: Callable[..., int]
    whole_loop: Callable[..., None]

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
