"""A bench with some of its hypotheses alone: of a large vehicle few of them matter for any one question.

Whoever asks about a step or an observation takes out the hypotheses that count, works on these, and lays what comes out
back over all.
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.step import Outcome, Outcomes, matters

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Excerpt:
    """`bench` has the hypotheses of `numbers` [some] alone: those asked for, marked in `used` [some], and what is no
    fault, which many a look is held against. `count` is how many there are in all."""

    bench: Bench
    numbers: IntArray
    used: BoolArray
    count: int

    def over(self, table: FloatArray, rest: float) -> FloatArray:
        """[hypotheses, ...] a table [some, ...] laid back over all; `rest` stands for those left out."""
        if len(self.numbers) == self.count:
            return table
        result: FloatArray = np.full((self.count, *table.shape[1:]), rest)
        result[self.numbers] = table
        return result

    def outcomes(self, outcomes: tuple[Outcome, ...], table: FloatArray, rest: FloatArray | None = None) -> Outcomes:
        """Outcomes of a step with the probabilities [some, outcomes]; those left out have the `rest` [outcomes] each,
        any alike where nothing is said."""
        whole = len(self.numbers) == self.count
        return Outcomes(outcomes, table) if whole else Outcomes(outcomes, table, self.numbers, self.count, rest)


def mattering(bench: Bench, share: FloatArray) -> Excerpt:
    """The hypotheses that shape the outcomes of steps judged by a share [hypotheses] of belief."""
    known = bench.excerpts.of(bench, share)
    if not known:
        known[""] = excerpt(bench, matters(share))
    found: Excerpt = known[""]
    return found


def excerpt(bench: Bench, used: BoolArray | None = None) -> Excerpt:
    """The hypotheses `used` [hypotheses] of a bench (None: all)."""
    known = bench.hypotheses
    count = len(known.members)
    mask = np.ones(count, dtype=np.bool_) if used is None else used
    numbers = np.flatnonzero(mask | known.no_fault)
    if len(numbers) == count:
        return Excerpt(bench, numbers, mask, count)
    supply = None if bench.supply is None else bench.supply[numbers]
    return Excerpt(
        replace(bench, hypotheses=known.some(numbers), supply=supply, first=None), numbers, mask[numbers], count
    )
