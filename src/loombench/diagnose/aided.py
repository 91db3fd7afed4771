"""A forecast for conditions with aids: for each set of aids its own, of the vehicle that has them on from rest."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.forecast import Forecast, Readings, Sights
from loombench.vehicle.condition import Condition, Operation, Setup

IntArray = npt.NDArray[np.intp]
Aids = tuple[Operation, ...]


class AidedForecast:
    """Keeps the forecast contract for any condition; `make` gives a forecast for the vehicle with some aids on.

    Aids with one of the verbs `idle` change nothing in any row, so they are left out.
    """

    def __init__(self, make: Callable[[Aids], Forecast], idle: tuple[str, ...] = ()) -> None:
        self._make, self._idle = make, idle
        self._made: dict[Aids, Forecast] = {(): make(())}

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings of the rows needed under each set-up."""
        by_aids: dict[Aids, list[int]] = {}
        for place, setup in enumerate(setups):
            by_aids.setdefault(setup.condition.aids, []).append(place)
        if list(by_aids) == [()]:
            return self._of(()).readings(setups, needed)
        columns: dict[int, tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]] = {}
        for aids, places in by_aids.items():
            plain = [replace(setups[place], condition=setups[place].condition.plain) for place in places]
            found = self._of(aids).readings(plain, needed)
            for column, place in enumerate(places):
                columns[place] = found.low[:, column], found.high[:, column]
        low, high = ([columns[place][end] for place in range(len(setups))] for end in (0, 1))
        return Readings(np.stack(low, axis=1), np.stack(high, axis=1))

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses of the rows needed in a condition."""
        return self._of(condition.aids).sights(condition.plain, needed)

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:
        """Which rows take long in a condition."""
        return self._of(condition.aids).dear(condition.plain)

    def taken_back(self) -> int:
        """How often something was taken back, by all that were made."""
        return sum(one.taken_back() for one in self.made())

    def made(self) -> tuple[Forecast, ...]:
        """The forecasts made so far, the one without aids first."""
        return tuple(self._made.values())

    def _of(self, every: Aids) -> Forecast:
        aids = tuple(aid for aid in every if aid.verb not in self._idle)
        if aids not in self._made:
            self._made[aids] = self._make(aids)
        return self._made[aids]
