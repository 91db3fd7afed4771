"""Faults by what they show: those that show alike are one class, and how many looks lead to each class."""

from collections.abc import Hashable, Sequence

import numpy as np
import numpy.typing as npt

IntArray = npt.NDArray[np.intp]


def signatures(shown: Sequence[Sequence[Hashable]]) -> IntArray:
    """[faults, looks] numbers for what each fault shows at each look; equal where it is the same."""
    columns = []
    for column in zip(*shown, strict=True):
        known: dict[Hashable, int] = {}
        columns.append([known.setdefault(one, len(known)) for one in column])
    return np.array(columns, dtype=np.intp).reshape(len(columns), len(shown)).T


def classes(table: IntArray) -> IntArray:
    """[faults] a number, counted from 0 in the order of the faults, that is the same for equal rows."""
    known: dict[bytes, int] = {}
    return np.array([known.setdefault(row.tobytes(), len(known)) for row in np.ascontiguousarray(table)], dtype=np.intp)


def looks_to(table: IntArray) -> IntArray:
    """[faults] how many looks, chosen one after the other, leave nothing but the class of each.

    The next look is the one that tells most where all faults are equally likely; the first of those that tell alike.
    """
    steps = np.zeros(len(table), dtype=np.intp)
    waiting = [(np.arange(len(table), dtype=np.intp), 0)]
    while waiting:
        rows, depth = waiting.pop()
        some = table[rows]
        varies = np.flatnonzero((some != some[0]).any(axis=0))
        if not len(varies):
            steps[rows] = depth
            continue
        told = [_told(some[:, column]) for column in varies]
        best = some[:, varies[int(np.argmax(told))]]
        waiting += [(rows[best == value], depth + 1) for value in np.unique(best)]
    return steps


def _told(column: IntArray) -> float:
    """Nats that a look tells of faults that are equally likely."""
    share = np.bincount(column) / len(column)
    some = share[share > 0.0]
    return round(float(-np.sum(some * np.log(some))), 12)
