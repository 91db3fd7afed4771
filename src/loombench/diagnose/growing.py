"""A forecast to which rows are added while a case goes on: what was computed for a set of faults is kept for it.

Rows come in batches, each with a forecast of its own, since a forecast is made for a fixed list of rows. Which rows are
looked at, and in which order, is up to who asks: `GrowingForecast.of` gives a forecast for any list of rows.
"""

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.forecast import Forecast, Readings, Sights, copy_rows, room_for_sights
from loombench.vehicle.condition import Condition, Setup

IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
Faults = tuple[Fault, ...]
SOUND_ROW: Faults = ()


MOST_ROWS = 40_000
"""Rows beyond the first batch that are kept; each takes some 5 kB (measured on pairs of faults)."""


class GrowingForecast:
    """`make` gives a forecast for a list of rows of which the first is the sound vehicle.

    The first batch stays. Of the others those used longest ago go where they have more than `most_rows` together; their
    rows make a new batch when they are asked for again.
    """

    def __init__(self, make: Callable[[Sequence[Faults]], Forecast], most_rows: int = MOST_ROWS) -> None:
        self._make, self._most_rows = make, most_rows
        self._batches: dict[int, tuple[Forecast, int]] = {}
        self._made = 0
        self._where: dict[Faults, tuple[int, int]] = {}

    def of(self, rows: Sequence[Faults]) -> Forecast:
        """The forecast for these rows, the first of them the sound vehicle; those not known yet make a new batch."""
        new = [row for row in dict.fromkeys(rows) if row not in self._where]
        if new:
            batch = list(dict.fromkeys((SOUND_ROW, *new)))
            self._batches[self._made] = self._make(batch), len(batch)
            for place, row in enumerate(batch):
                self._where.setdefault(row, (self._made, place))
            self._made += 1
        where = [self._where[row] for row in rows]
        used = sorted({number for number, _ in where})
        for number in used:
            self._batches[number] = self._batches.pop(number)
        batches = {number: self._batches[number][0] for number in used}
        self._drop(used)
        first, size = where[0][0], self._batches[where[0][0]][1]
        if size == len(where) and where == [(first, place) for place in range(len(where))]:
            # A batch as it is: nothing to be copied together.
            return batches[first]
        return _Chosen(batches, where)

    def taken_back(self) -> int:
        """How often something was taken back, by all that are kept."""
        return sum(forecast.taken_back() for forecast, _ in self._batches.values())

    def _drop(self, used: Sequence[int]) -> None:
        kept = sum(size for number, (_, size) in self._batches.items() if number)
        for number in [number for number in self._batches if number and number not in used]:
            if kept <= self._most_rows:
                break
            kept -= self._batches.pop(number)[1]
            self._where = {row: place for row, place in self._where.items() if place[0] != number}


class _Chosen:
    """Some rows of several forecasts. What was seen last is kept: one load after the other is asked about."""

    def __init__(self, batches: Mapping[int, Forecast], where: Sequence[tuple[int, int]]) -> None:
        self._batches = batches
        self._batch = np.array([batch for batch, _ in where], dtype=np.intp)
        self._place = np.array([place for _, place in where], dtype=np.intp)
        self._last: tuple[Condition, int, Sights, BoolArray] | None = None
        """A condition, how often something had been taken back, what is seen there, and [rows] of which that is."""

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings of the rows needed under each set-up; nan for the others."""
        low = np.full((len(self._place), len(setups)), np.nan)
        high = low.copy()
        for batch, rows in self._by_batch(self._wanted(needed)):
            places = self._place[rows]
            found = self._batches[batch].readings(setups, np.unique(places))
            low[rows], high[rows] = found.low[places], found.high[places]
        return Readings(low, high)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses of the rows needed in a condition; the others mean nothing."""
        wanted, before = self._wanted(needed), self.taken_back()
        known: Sights | None = None
        done = np.zeros(len(self._place), dtype=np.bool_)
        if self._last is not None and self._last[:2] == (condition, before):
            _, _, known, done = self._last
        for batch, rows in self._by_batch(wanted[~done[wanted]]):
            places = self._place[rows]
            found = self._batches[batch].sights(condition, np.unique(places))
            if known is None:
                known = room_for_sights(len(self._place), found.loads, found.fuses, found.batteries)
            copy_rows(known, rows, found, places)
        assert known is not None
        done[wanted] = True
        self._last = condition, before, known, done
        # What an audit takes back may have been copied before.
        return known if self.taken_back() == before else self.sights(condition, needed)

    def dear(self, condition: Condition) -> BoolArray:
        """Which rows take long in a condition."""
        found = np.zeros(len(self._place), dtype=np.bool_)
        for batch, rows in self._by_batch(self._wanted(None)):
            found[rows] = self._batches[batch].dear(condition)[self._place[rows]]
        return found

    def taken_back(self) -> int:
        """How often something was taken back, by all of them."""
        return sum(one.taken_back() for one in self._batches.values())

    def _wanted(self, needed: IntArray | None) -> IntArray:
        return np.arange(len(self._place)) if needed is None else np.asarray(needed, dtype=np.intp)

    def _by_batch(self, wanted: IntArray) -> list[tuple[int, IntArray]]:
        """The rows wanted of each batch."""
        return [(int(one), wanted[self._batch[wanted] == one]) for one in np.unique(self._batch[wanted])]
