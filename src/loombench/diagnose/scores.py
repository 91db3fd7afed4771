"""What observations say of hypotheses, and their scores while they are weighed one observation after the other."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Table:
    """Log likelihoods of an observation, `values` [..., those that are `right`]."""

    right: BoolArray
    values: FloatArray

    def of(self, some: BoolArray) -> FloatArray:
        """[..., some] those of some of them."""
        return self.values if len(some) == np.count_nonzero(some) else self.values[..., some[self.right]]


@dataclass(frozen=True, eq=False)
class Part:
    """What one observation says: `values` [used] or [supplies, used] the log likelihood of those that are `used`
    [hypotheses], `wrong` that of a wrong one, which it is for the others; `most` the highest of these, without what
    nothing explains, which takes anything alike. It is made of `source`."""

    source: Table
    used: BoolArray
    values: FloatArray
    most: float
    wrong: float

    def at(self, supply: int, number: int) -> float:
        """That of a hypothesis with a supply."""
        if not self.used[number]:
            return self.wrong
        place = np.count_nonzero(self.used[:number])
        return float(self.values[supply, place] if self.values.ndim > 1 else self.values[place])

    def over(self, supply: IntArray | None) -> FloatArray:
        """[hypotheses] those of all, each with its own supply."""
        whole = np.full(len(self.used), self.wrong)
        if self.values.ndim > 1 and supply is not None:
            whole[self.used] = self.values[supply[self.used], np.arange(self.values.shape[1])]
        else:
            whole[self.used] = self.values
        return whole


class Running:
    """The scores of the hypotheses while they are gone through. Those that are out have but wrong observations from
    there on, which are added up for all of them together: in a large vehicle they are nearly all. Until an observation
    hangs on the supply, those with any of the supplies differ by how likely that is alone."""

    def __init__(self, start: FloatArray, of_supply: FloatArray) -> None:
        """`start` [hypotheses] before anything is seen; `of_supply` [supplies] the log of how likely each is, 0 for
        the likeliest."""
        self.used = np.ones(len(start), dtype=np.bool_)
        self.count = np.zeros(len(start), dtype=np.intp)
        self._of_supply: FloatArray | None = of_supply
        self._of_used = start[np.newaxis, :]
        self._scores = self._of_used.copy()
        self._owed, self._paid = 0.0, np.zeros(len(start))
        self._best_out = -np.inf

    def narrowed(self, kept: BoolArray, margin: float) -> BoolArray:
        """[hypotheses] those that are weighed by one observation more: of the ones left those within the margin, and
        those that are `kept` [hypotheses]."""
        now = self._of_used.max(axis=0)
        stays = kept[self.used] | (now >= max(now.max(initial=-np.inf), self._best_out) - margin)
        if not stays.all():
            numbers = np.flatnonzero(self.used)
            gone = numbers[~stays]
            self._scores[:, gone] = self._of_used[:, ~stays]
            self._paid[gone] = self._owed
            self._best_out = max(self._best_out, float(now[~stays].max()))
            self._of_used = self._of_used[:, stays]
            self.used = self.used.copy()
            self.used[gone] = False
        self.count += self.used
        return self.used

    def add(self, part: Part) -> None:
        """One observation more."""
        if part.values.ndim > 1:
            self._by_supply()
        if np.array_equal(part.used, self.used):
            self._of_used = self._of_used + part.values
            self._owed += part.wrong
            self._best_out += part.wrong
            return
        scores = self.whole()
        scores[:, part.used] += part.values
        scores[:, ~part.used] += part.wrong
        self._scores, self._of_used = scores, scores[:, self.used]
        self._paid[:] = self._owed
        self._best_out = float(scores[:, ~self.used].max(initial=-np.inf))

    def whole(self) -> FloatArray:
        """[supplies, hypotheses] all scores."""
        self._by_supply()
        found = self._scores + (self._owed - self._paid)
        found[:, self.used] = self._of_used
        return found

    def _by_supply(self) -> None:
        """From here on each supply has scores of its own."""
        if self._of_supply is not None:
            more = self._of_supply[:, np.newaxis]
            self._of_used, self._scores, self._of_supply = self._of_used + more, self._scores + more, None
