"""What a look ahead tells apart: rows of hypotheses that are put right alike and that no step tells apart.

An outcome that a row hardly ever has is taken as impossible there, so what is left after an outcome is mostly a plain
subset. A row whose reading may fall on either side of a cut (a resistance is a range) is in both parts, each with its
share: cut sharply it would seem to be told from a suspect that reads just the same. What is wrong with a reading is no
part of the outlook; the belief weighs that when the reading is there.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.diagnose.step import Step

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

MOST_ROWS = 240
ALIKE = 2
"""Of steps that part the rows in the same way so many are kept, those that are cheapest now."""
IMPOSSIBLE = 0.1
"""An outcome rarer than this under a row is left out of the outlook: mostly it stands for a wrong reading."""
SHADES = 8.0
"""Rows and steps are alike whose outcomes are alike to one part in so many."""


@dataclass(frozen=True, eq=False)
class Rows:
    """`table` [rows, steps, outcomes] holds what may come of each step under each row, in shares that sum to one;
    `weight` sums to one; `group` is what would be put right, and rows are in the order of it."""

    weight: FloatArray
    group: IntArray
    table: FloatArray
    steps: tuple[Step, ...]


def rows_of(
    weight: FloatArray, group: IntArray, tables: Sequence[FloatArray], steps: Sequence[Step], cost_s: Sequence[float]
) -> Rows:
    """Merged rows from [hypotheses] weights and groups, and the [hypotheses, outcomes] tables of some steps."""
    if not steps:
        order = np.argsort(group, kind="stable")
        return Rows(weight[order] / weight.sum(), group[order], np.zeros((len(weight), 0, 1)), ())
    table = np.zeros((len(weight), len(tables), max(one.shape[1] for one in tables)))
    for column, one in enumerate(tables):
        table[:, column, : one.shape[1]] = likely(one)
    shades = np.rint(SHADES * table).astype(np.int8)
    kept = _different(shades, cost_s)
    table, shades = table[:, kept], shades[:, kept]
    keys = np.column_stack([group, shades.reshape(len(weight), -1)])
    _, first, where = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    total = np.bincount(where.ravel(), weights=weight)
    most = np.sort(np.argsort(-total, kind="stable")[:MOST_ROWS])
    return Rows(
        total[most] / total[most].sum(), group[first[most]], table[first[most]], tuple(steps[column] for column in kept)
    )


def likely(table: FloatArray) -> FloatArray:
    """[rows, outcomes] shares that sum to one, without what hardly ever comes to pass."""
    kept = np.where(table < np.minimum(IMPOSSIBLE, table.max(axis=1))[:, None], 0.0, table)
    result: FloatArray = kept / kept.sum(axis=1, keepdims=True)
    return result


def _different(shades: npt.NDArray[np.int8], cost_s: Sequence[float]) -> list[int]:
    """The columns that part anything, without more than a few that part it alike; in the order given."""
    found: dict[bytes, list[int]] = {}
    likeliest = shades.argmax(axis=2)
    for column in sorted(range(shades.shape[1]), key=lambda one: cost_s[one]):
        names, first = np.unique(likeliest[:, column], return_index=True)
        one = shades[:, column]
        if (one != one[0]).any():
            # Outcomes in the order they are met, so that alike means the same partition.
            order = names[np.argsort(first)]
            found.setdefault(np.ascontiguousarray(one[:, order]).tobytes(), []).append(column)
    return sorted(column for alike in found.values() for column in alike[:ALIKE])
