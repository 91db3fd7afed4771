"""What steps cost by where one stands, each situation met by a number, so that it is worked out once for one choice."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

NO_LESS_S = 1e-9


@dataclass(eq=False)
class Standings:
    """What has been done is forgotten: a step done again tells nothing in an outlook, so it need not be remembered."""

    bench: Bench
    steps: Sequence[Step]
    situations: list[Situation] = field(default_factory=list)
    _number: dict[Situation, int] = field(default_factory=dict)
    _cost: list[FloatArray] = field(default_factory=list)
    _after: list[dict[int, int]] = field(default_factory=list)

    def number(self, situation: Situation) -> int:
        """The number of a situation."""
        plain = replace(situation, done=frozenset())
        found = self._number.setdefault(plain, len(self.situations))
        if found == len(self.situations):
            self.situations.append(plain)
            self._cost.append(np.full(len(self.steps), np.nan))
            self._after.append({})
        return found

    def after(self, column: int, standing: int) -> int:
        """Where one stands when a step is done."""
        known = self._after[standing]
        if column not in known:
            known[column] = self.number(self.steps[column].after(self.bench, self.situations[standing]))
        return known[column]

    def one_s(self, column: int, standing: int) -> float:
        """Seconds of one step."""
        seconds = float(self._cost[standing][column])
        return seconds if seconds == seconds else float(self.cost_s(np.array([column]), standing)[0])  # noqa: PLR0124

    def cost_s(self, columns: IntArray, standing: int) -> FloatArray:
        """[columns] seconds."""
        cost_s = self._cost[standing]
        found = cost_s[columns]
        if np.isnan(found).any():
            for column in columns[np.isnan(found)]:
                seconds = self.steps[column].cost_s(self.bench, self.situations[standing])
                cost_s[column] = max(seconds, NO_LESS_S)
            found = cost_s[columns]
        return found

    def least_s(self, standing: int) -> FloatArray:
        """[steps] seconds with everything open and what the step wants already set: about the least it can take."""
        opened = self.situations[standing].at(*self.bench.vehicle.places)
        found = np.empty(len(self.steps))
        for column, step in enumerate(self.steps):
            set_up = step.after(self.bench, opened)
            found[column] = min(step.cost_s(self.bench, one) for one in (set_up, opened, self.situations[standing]))
        return np.maximum(found, NO_LESS_S)
