"""A forecast that is asked in pieces, so that a long question can say how far it is and be left at any of them.

What was worked out before it was left is kept by the forecast behind it, and need not be worked out again.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import BoolArray, Forecast, IntArray, Readings, Sights
from loombench.diagnose.growing import Faults, GrowingForecast
from loombench.vehicle.condition import Condition, Setup

ROWS_AT_ONCE = 512
"""Pieces of 256 rows took a quarter longer in all than one question for 23,000, the longest of them a twelfth of it."""
Between = Callable[[Condition, int, int], None]
"""Called before each piece with the state it is about, the rows done and all rows; raises to leave."""


class PiecewiseForecast:
    """Keeps the forecast contract for another forecast of so many rows."""

    def __init__(self, forecast: Forecast, rows: int, between: Between) -> None:
        self.forecast, self.rows, self.between = forecast, rows, between
        self._met: set[Condition] = set()

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings of the rows needed under each set-up, one set-up at a time."""
        found = [self._one(setup, needed) for setup in setups]
        if not found:
            return self.forecast.readings(setups, needed)
        low, high = (np.concatenate([getattr(one, end) for one in found], axis=1) for end in ("low", "high"))
        return Readings(low, high)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses of the rows needed in a condition."""
        for rows in self._pieces(condition, needed):
            self.forecast.sights(condition, rows)
        return self.forecast.sights(condition, needed)

    def dear(self, condition: Condition) -> BoolArray:
        """Which rows take long in a condition."""
        return self.forecast.dear(condition)

    def _one(self, setup: Setup, needed: IntArray | None) -> Readings:
        """The first reading in a state follows all rows there; those after it are quick."""
        if setup.condition not in self._met:
            for rows in self._pieces(setup.condition, needed):
                self.forecast.readings((setup,), rows)
            self._met.add(setup.condition)
        self.between(setup.condition, self.rows, self.rows)
        return self.forecast.readings((setup,), needed)

    def _pieces(self, condition: Condition, needed: IntArray | None) -> Iterator[IntArray]:
        wanted = np.arange(self.rows, dtype=np.intp) if needed is None else np.asarray(needed, dtype=np.intp)
        for start in range(0, len(wanted), ROWS_AT_ONCE):
            self.between(condition, start, len(wanted))
            yield wanted[start : start + ROWS_AT_ONCE]


class _PiecewiseGrowing(GrowingForecast):
    """What makes forecasts for more rows, each asked in pieces too."""

    def __init__(self, grow: GrowingForecast, between: Between) -> None:
        self._grow, self._between = grow, between

    def of(self, rows: Sequence[Faults]) -> Forecast:
        """The forecast for these rows."""
        return PiecewiseForecast(self._grow.of(rows), len(rows), self._between)


def piecewise(bench: Bench, between: Between) -> Bench:
    """A bench whose forecasts are asked in pieces; as it is where they are already."""
    if isinstance(bench.forecast, PiecewiseForecast):
        return bench
    forecast = PiecewiseForecast(bench.forecast, len(bench.hypotheses.faults), between)
    grow = None if bench.grow is None else _PiecewiseGrowing(bench.grow, between)
    return replace(bench, forecast=forecast, grow=grow)
