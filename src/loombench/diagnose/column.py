"""The readings of one set-up, of the rows that were asked for: of many set-ups few rows are."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BYTES_A_ROW = 24.0
"""What a row takes: its number and two readings."""


class Column:
    """`rows` [n], ascending, are those that are known; `low` and `high` [n] what they read, nan where nothing is."""

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """Know nothing."""
        self.rows: IntArray = np.zeros(0, dtype=np.intp)
        self.low: FloatArray = np.zeros(0)
        self.high: FloatArray = np.zeros(0)

    def unknown(self, rows: IntArray) -> IntArray:
        """Those, of some rows, that are not known, each once."""
        if not len(self.rows):
            return np.unique(rows)
        there = self.rows.take(np.searchsorted(self.rows, rows), mode="clip") == rows
        return np.unique(rows[~there]) if not there.all() else rows[:0]

    def put(self, rows: Sequence[int] | IntArray, low: FloatArray, high: FloatArray) -> None:
        """Add rows that are not known yet."""
        every = np.concatenate((self.rows, np.asarray(rows, dtype=np.intp)))
        order = np.argsort(every, kind="stable")
        self.rows = every[order]
        self.low = np.concatenate((self.low, low))[order]
        self.high = np.concatenate((self.high, high))[order]

    def of(self, row: int) -> float:
        """The low end of what a row reads; nan where it is not known."""
        place = int(np.searchsorted(self.rows, row))
        return float(self.low[place]) if place < len(self.rows) and self.rows[place] == row else float("nan")
