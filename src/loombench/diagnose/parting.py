"""Sets of rows, and how steps part them: what each outcome leaves, and what a step tells of the group.

The same set met again is not worked out again. Mostly an outcome leaves a plain subset, which is a number with a bit
for each row; only where a row has an outcome in a part of the cases do its weights have to be compared.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from loombench.diagnose.rows import FloatArray, IntArray, Rows

EPSILON = 1e-9
DIGITS = 12


@dataclass(frozen=True, eq=False)
class Told:
    """The steps that may part some rows, and what each tells (nats); `to_know` is what all together could tell."""

    steps: IntArray
    tells: FloatArray
    to_know: float


@dataclass(eq=False)
class Left:
    """Rows that are left, with their weights. `key` is a number with a bit for each row where these have the weights
    they had from the first. `steps` are those that may part them, perhaps with others."""

    key: int | bytes
    rows: IntArray
    weight: FloatArray
    mass: float
    steps: IntArray
    least_s: float = -1.0
    told: Told | None = None
    parts: dict[int, list[tuple[float, "Left"]]] = field(default_factory=dict)
    """By step what each outcome leaves, with the share of that outcome."""
    ahead_s: dict[int, float] = field(default_factory=dict)
    """By step the seconds after it that no plan is below."""


@dataclass(eq=False)
class Parting:
    """The sets met in one choice. `least_s` [steps] is about the least that each step can take, in seconds."""

    rows: Rows
    least_s: FloatArray
    _met: dict[int | bytes, Left] = field(default_factory=dict)

    def parts(self, column: int, left: Left) -> list[tuple[float, Left]]:
        """What each outcome leaves, with the share of that outcome, likeliest first."""
        if column not in left.parts:
            ways = self._ways[column]
            if ways and isinstance(left.key, int):
                found = [self._plain(left.key & way, left.steps) for way in ways if left.key & way]
            else:
                joint = left.weight[:, None] * self.rows.table[left.rows, column]
                found = [self._weighed(left, joint[:, way]) for way in np.flatnonzero(joint.any(axis=0))]
            shares = [(part.mass / left.mass, part) for part in found]
            left.parts[column] = sorted(shares, key=lambda one: -one[0])
        return left.parts[column]

    def everything(self) -> Left:
        """All rows."""
        steps = np.arange(len(self.rows.steps), dtype=np.intp)
        return self._plain((1 << len(self.rows.weight)) - 1, steps)

    def _plain(self, key: int, steps: IntArray) -> Left:
        """The rows of a number with a bit for each."""
        if key not in self._met:
            count = len(self.rows.weight)
            bits = np.frombuffer(key.to_bytes((count + 7) // 8, "little"), dtype=np.uint8)
            rows = np.flatnonzero(np.unpackbits(bits, bitorder="little"))
            weight = self.rows.weight[rows]
            self._met[key] = Left(key, rows, weight, float(weight.sum()), steps)
        return self._met[key]

    def _weighed(self, left: Left, weight: FloatArray) -> Left:
        """What is left of some rows by new weights."""
        some = weight > 0.0
        rows, weight = left.rows[some], weight[some]
        if (weight == self.rows.weight[rows]).all():
            return self._plain(_bits(rows, len(self.rows.weight)), left.steps)
        key = rows.tobytes() + weight.round(DIGITS).tobytes()
        if key not in self._met:
            self._met[key] = Left(key, rows, weight, float(weight.sum()), left.steps)
        return self._met[key]

    @cached_property
    def _ways(self) -> list[tuple[int, ...]]:
        """[steps] for each outcome the rows that have it, as a number; nothing where a row may have several."""
        found = []
        for column in range(len(self.rows.steps)):
            table = self.rows.table[:, column] > 0.0
            sharp = bool((table.sum(axis=1) == 1).all())
            ways = [_bits(np.flatnonzero(way), len(table)) for way in table.T] if sharp else []
            found.append(tuple(way for way in ways if way))
        return found

    @cached_property
    def _numbered(self) -> IntArray:
        """[rows] the groups, counted from nought."""
        return np.asarray(np.unique(self.rows.group, return_inverse=True)[1].ravel(), dtype=np.intp)

    @cached_property
    def _signed(self) -> IntArray:
        """[rows] a number that is the same for rows under which all steps end alike."""
        likeliest = self.rows.table.argmax(axis=2)
        return np.asarray(np.unique(likeliest, axis=0, return_inverse=True)[1].ravel(), dtype=np.intp)

    def least(self, left: Left) -> float:
        """Seconds that no plan is below: for each row the dearest step that must tell it from another."""
        if left.least_s < 0.0:
            least_s = self._apart_s[left.rows[:, None], left.rows].max(axis=1)
            left.least_s = float(left.weight @ least_s) / left.mass
        return left.least_s

    def ahead(self, column: int, left: Left) -> float:
        """Seconds after a step that no plan is below."""
        if column not in left.ahead_s:
            left.ahead_s[column] = sum(share * self.least(rest) for share, rest in self.parts(column, left))
        return left.ahead_s[column]

    @cached_property
    def _apart_s(self) -> FloatArray:
        """[rows, rows] least seconds until a row, if it is that, is told from another; nought where it cannot be."""
        count, cost_s = len(self.rows.weight), self.least_s
        found = np.full((count, count), np.inf)
        for column, seconds in enumerate(cost_s):
            table = self.rows.table[:, column]
            apart = table @ (table <= 0.0).T
            found = np.minimum(found, np.where(apart > EPSILON, seconds * apart, np.inf))
        found[self.rows.group[:, None] == self.rows.group[None, :]] = 0.0
        return np.where(np.isfinite(found), found, 0.0)

    def told(self, left: Left) -> Told:
        """The steps that may part a set, and what they tell."""
        if left.told is None:
            groups, weight = self._numbered[left.rows], left.weight / left.mass
            # Rows are in the order of their groups.
            alone = groups[0] == groups[-1]
            to_know = 0.0 if alone else _shared(groups, self._signed[left.rows], weight)
            if to_know > EPSILON:
                kept, tells = self._telling(left.rows, groups, weight, left.steps)
                left.told, left.steps = Told(kept, tells, to_know), kept
            else:
                left.told = Told(left.steps[:0], np.empty(0), 0.0)
        return left.told

    def _telling(
        self, rows: IntArray, groups: IntArray, weight: FloatArray, steps: IntArray
    ) -> tuple[IntArray, FloatArray]:
        """The steps after each outcome of which fewer rows are left, and what they tell of the group, in nats."""
        table = self.rows.table[rows[:, None], steps]
        # A step that may leave everything as it is would never come to an end; nor would it in what is left later.
        parts = np.count_nonzero(table, axis=0).max(axis=1) < len(rows)
        kept = steps[parts]
        first = starts(groups)
        both = np.add.reduceat(weight[:, None, None] * table[:, parts], first, axis=0)
        alone = np.add.reduceat(weight, first)
        tells: FloatArray = _order(both).sum(axis=(0, 2)) - _order(both.sum(axis=0)).sum(axis=1) - _order(alone).sum()
        return kept, tells


def starts(groups: IntArray) -> IntArray:
    """Where each group begins."""
    return np.concatenate(([0], np.flatnonzero(groups[1:] != groups[:-1]) + 1))


def _bits(rows: IntArray, count: int) -> int:
    """A number with a bit for each of some rows."""
    some = np.zeros(count, dtype=np.uint8)
    some[rows] = 1
    return int.from_bytes(np.packbits(some, bitorder="little").tobytes(), "little")


def _shared(one: IntArray, other: IntArray, weight: FloatArray) -> float:
    """Nats that either of two numberings of rows says about the other."""
    both = np.bincount(one * (int(other.max()) + 1) + other, weights=weight)
    alone = [np.bincount(numbers, weights=weight) for numbers in (one, other)]
    return max(float(_order(both).sum() - sum(_order(found).sum() for found in alone)), 0.0)


def _order(weights: npt.NDArray[np.generic]) -> FloatArray:
    """w log w, nought where w is."""
    found = weights.astype(float, copy=False)
    result: FloatArray = found * np.log(np.maximum(found, 1e-300))
    return result
