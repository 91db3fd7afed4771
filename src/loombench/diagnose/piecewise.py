"""A forecast that is asked in pieces, so that a long question can say how far it is and be left at any of them.

What was worked out before it was left is kept by the forecast behind it, and need not be worked out again.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import BoolArray, Forecast, IntArray, Readings, Sights
from loombench.diagnose.growing import Faults, GrowingForecast
from loombench.diagnose.recent import Recent
from loombench.diagnose.room import Room
from loombench.vehicle.condition import Condition, Setup

ROWS_AT_ONCE = 512
"""Pieces of 256 rows took a quarter longer in all than one question for 23,000, the longest of them a twelfth of it."""
PAIRS_AT_ONCE = 4
"""Of two faults at once most are replayed, each as long as some hundred others."""
Between = Callable[[Condition, int, int], None]
"""Called before each piece with the state it is about, the rows done and all rows; raises to leave."""


class PiecewiseForecast:
    """Keeps the forecast contract for another forecast of so many rows, which keeps what it knows in a `room`."""

    def __init__(
        self, forecast: Forecast, rows: int, between: Between, at_once: int = ROWS_AT_ONCE, room: Room | None = None
    ) -> None:
        self.forecast, self.rows, self.between, self.at_once, self.room = forecast, rows, between, at_once, room
        self._met: dict[Condition, BoolArray] = {}
        self._dropped = 0

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings of the rows needed under each set-up, one set-up at a time."""
        found = [self._one(setup, needed) for setup in setups]
        if not found:
            return self.forecast.readings(setups, needed)
        low, high = (np.concatenate([getattr(one, end) for one in found], axis=1) for end in ("low", "high"))
        return Readings(low, high)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses of the rows needed in a condition."""
        for rows in self._pieces(condition, self._wanted(needed)):
            self.forecast.sights(condition, rows)
        return self.forecast.sights(condition, needed)

    def dear(self, condition: Condition) -> BoolArray:
        """Which rows take long in a condition."""
        return self.forecast.dear(condition)

    def taken_back(self) -> int:
        """How often something was taken back."""
        return self.forecast.taken_back()

    def _one(self, setup: Setup, needed: IntArray | None) -> Readings:
        """The first reading in a state follows all rows there; those after it are quick, until it is let go."""
        if self.room is not None and self.room.dropped != self._dropped:
            self._met.clear()
            self._dropped = self.room.dropped
        met = self._met.setdefault(setup.condition, np.zeros(self.rows, dtype=np.bool_))
        wanted = self._wanted(needed)
        for rows in self._pieces(setup.condition, wanted[~met[wanted]]):
            self.forecast.readings((setup,), rows)
            met[rows] = True
        self.between(setup.condition, self.rows, self.rows)
        return self.forecast.readings((setup,), needed)

    def _wanted(self, needed: IntArray | None) -> IntArray:
        return np.arange(self.rows, dtype=np.intp) if needed is None else np.asarray(needed, dtype=np.intp)

    def _pieces(self, condition: Condition, wanted: IntArray) -> Iterator[IntArray]:
        for start in range(0, len(wanted), self.at_once):
            self.between(condition, start, len(wanted))
            yield wanted[start : start + self.at_once]


class _PiecewiseGrowing(GrowingForecast):
    """What makes forecasts for more rows, each asked in pieces too."""

    def __init__(self, grow: GrowingForecast, between: Between, room: Room) -> None:
        self._grow, self._between, self._room = grow, between, room

    def of(self, rows: Sequence[Faults]) -> Forecast:
        """The forecast for these rows."""
        return PiecewiseForecast(self._grow.of(rows), len(rows), self._between, PAIRS_AT_ONCE, self._room)

    def taken_back(self) -> int:
        """How often something was taken back."""
        return self._grow.taken_back()


def piecewise(bench: Bench, between: Between) -> Bench:
    """A bench whose forecasts are asked in pieces; as it is where they are already."""
    return bench if isinstance(bench.forecast, PiecewiseForecast) else in_pieces(bench, between)


def in_pieces(bench: Bench, between: Between, at_once: int = ROWS_AT_ONCE) -> Bench:
    """A bench whose forecasts are asked in pieces of so many rows, whatever these are asked in behind it."""
    forecast = PiecewiseForecast(bench.forecast, len(bench.hypotheses.faults), between, at_once, bench.room)
    grow = None if bench.grow is None else _PiecewiseGrowing(bench.grow, between, bench.room)
    return replace(bench, forecast=forecast, grow=grow, weights=Recent(), looks=Recent())
