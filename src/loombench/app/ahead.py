"""What would come after each answer, worked out while the person is still measuring.

Only what costs time is kept: the forecast remembers the states it has solved. Nothing of the trial reaches the case.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from loombench.app.cards import Meaning, StepCard
from loombench.app.case import Case
from loombench.app.finding import next_step
from loombench.app.session import respond
from loombench.diagnose.forecast import BoolArray, Forecast, IntArray, Readings, Sights
from loombench.record.trial import TrialStore
from loombench.vehicle.condition import Condition, Setup


class StoppedError(Exception):
    """The person has answered."""


@dataclass(frozen=True, eq=False)
class StoppableForecast:
    """A forecast that asks before each question whether to go on, so that none is left half answered.

    Raises:
        StoppedError: `stopped` says so.
    """

    forecast: Forecast
    stopped: Callable[[], bool]

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The forecast's readings."""
        self._check()
        return self.forecast.readings(setups, needed)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The forecast's sights."""
        self._check()
        return self.forecast.sights(condition, needed)

    def dear(self, condition: Condition) -> BoolArray:
        """The forecast's dear rows."""
        return self.forecast.dear(condition)

    def _check(self) -> None:
        if self.stopped():
            raise StoppedError


def look_ahead(case: Case, card: StepCard, stopped: Callable[[], bool]) -> int:
    """How many of the card's answers were followed to the next card before `stopped` said to leave it."""
    bench = replace(case.bench, forecast=StoppableForecast(case.bench.forecast, stopped))
    trial = replace(case, bench=bench, store=TrialStore())
    time = case.events[-1].time
    followed = 0
    try:
        for typed in answers(card):
            next_step(respond(trial, card, typed, time).case)
            followed += 1
    except StoppedError:
        return followed
    return followed


def answers(card: StepCard) -> tuple[str, ...]:
    """One answer as typed for each meaning of a card, the order the card's."""
    if not card.unit:
        return tuple(one.mark for one in card.meanings)
    return tuple(_typical(one, card) for one in card.meanings)


def _typical(meaning: Meaning, card: StepCard) -> str:
    """A value well inside a band: the normal one where that is in it, else the middle, else beyond the open end."""
    low, high = meaning.low, meaning.high
    inside = card.nominal is not None and (low or 0.0) <= card.nominal <= (math.inf if high is None else high)
    if inside and card.nominal is not None:
        value = card.nominal
    elif high is None:
        value = math.inf if card.unit == "ohm" else 1.1 * (low or 0.0)
    else:
        value = ((low or 0.0) + high) / 2.0
    return "OL" if math.isinf(value) else f"{value:.6g} {card.unit}"
