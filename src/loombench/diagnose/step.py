"""Steps: what can be done next. Each knows its cost, its outcomes by hypothesis, and the situation after it."""

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.observation import Observation
from loombench.diagnose.situation import Situation

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
BESIDE = 0.005
"""The least likely hypotheses that together have no more than this part of the belief do not shape the outcomes a step
is judged by; they stay in the belief."""
LIKELIEST, NEXT_TO_NOTHING = 200, 1e-6
"""So many (two dozen suspects in all their ways) are always looked at, but for those of next to no share: whoever is to
prove a leader has to speak against every rival, so that an unlikely one costs as much as a likely one."""


def matters(share: FloatArray) -> BoolArray:
    """[hypotheses] which of them shape the outcomes a step is judged by: all but the least likely ones."""
    total = share.sum()
    most = BESIDE * total
    # All that are as small as this come to no more than that together, so that only the few others have to be sorted.
    result: BoolArray = share > min(most / len(share), NEXT_TO_NOTHING * total)
    some = np.flatnonzero(result)
    order = some[np.argsort(share[some], kind="stable")]
    beside = np.cumsum(share[order]) <= most - share[~result].sum()
    beside[-LIKELIEST:] = share[order[-LIKELIEST:]] <= NEXT_TO_NOTHING * total
    result[order[beside]] = False
    return result


@dataclass(frozen=True)
class Outcome:
    """One way a step may end: a word, or a reading from `low` up to `high` (minus or plus infinity at the ends)."""

    word: str = ""
    low: float = -np.inf
    high: float = np.inf


@dataclass(frozen=True, eq=False)
class Outcomes:
    """How a step may end. `values` [some, outcomes] holds probabilities that sum to one in each row: of all hypotheses,
    or of the `numbers` of `count` alone, ascending. Each of the others has the probabilities of `rest` [outcomes]: all
    alike where nothing is said."""

    outcomes: tuple[Outcome, ...]
    values: FloatArray
    numbers: IntArray | None = None
    count: int = 0
    rest: FloatArray | None = None

    @cached_property
    def table(self) -> FloatArray:
        """[hypotheses, outcomes] the probabilities of all: of a large vehicle few of them count for a question."""
        if self.numbers is None:
            return self.values
        ways = self.values.shape[1]
        whole: FloatArray = np.tile(np.full(ways, 1.0 / ways) if self.rest is None else self.rest, (self.count, 1))
        whole[self.numbers] = self.values
        return whole

    def of(self, numbers: IntArray) -> FloatArray:
        """[numbers, outcomes] the probabilities of some."""
        return self.values if numbers is self.numbers else self.table[numbers]


class Step(Protocol):
    """One action. `kind` is verify, see, wait, position, fuse, measure, ohms, grip, input or mend; `number` says
    whether a number is the answer, else one of the words of the outcomes is."""

    @property
    def id(self) -> str:
        """The step in words that stay the same: it is what a decline or an answer names."""
        ...

    @property
    def kind(self) -> str: ...

    @property
    def number(self) -> bool: ...

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        """Seconds from this situation: reaching, setting, reading."""
        ...

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        """What may come of it, under every hypothesis; `share` [hypotheses] says where it matters to tell apart."""
        ...

    def after(self, bench: Bench, situation: Situation) -> Situation:
        """The situation when it is done."""
        ...

    def observe(self, situation: Situation, value: float | str) -> Observation:
        """The observation that an answer to this step is."""
        ...
