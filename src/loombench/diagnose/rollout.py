"""What a step costs in the end: tried, then information per cost followed until one thing to put right is left.

Hypotheses that are put right alike and that no step tells apart are one row. An outcome that a row hardly ever has is
taken as impossible there, so what is left after an outcome is mostly a plain subset, and the same subset met again is
not worked out again. A row whose reading may fall on either side of a cut (a resistance is a range) is in both parts,
each with its share: cut sharply it would seem to be told from a suspect that reads just the same. What is wrong with a
reading is no part of this outlook; the belief weighs that when the reading is there.

Roll-out is known from sequential testing: Tu and Pattipati, AUTOTESTCON 2002, doi 10.1109/AUTEST.2002.1047898.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

MOST_ROWS = 240
ALIKE = 2
"""Of steps that part the rows in the same way so many are kept, those that are cheapest now."""
IMPOSSIBLE = 0.1
"""An outcome rarer than this under a row is left out of the outlook: mostly it stands for a wrong reading."""
SHADES = 8.0
"""Rows and steps are alike whose outcomes are alike to one part in so many."""
CANDIDATES = 16
MINOR = 0.01
"""What comes to pass more rarely is not followed; what it takes is guessed from what there is still to know."""
NODES = 3000
"""Situations looked into for one choice, shared evenly among the candidates; no more than guessed is what is left."""
EXACT = 4
"""So few rows are not left to information per cost: every step is tried."""
NO_LESS_S = 1e-9
EPSILON = 1e-9
DIGITS = 12

Ending = Callable[[IntArray, FloatArray, Situation], float]
"""Seconds from here where no more is tested, for groups and their weights; the weights sum to one."""


@dataclass(frozen=True, eq=False)
class Rows:
    """`table` [rows, steps, outcomes] holds what may come of each step under each row, in shares that sum to one;
    `weight` sums to one; `group` is what would be put right."""

    weight: FloatArray
    group: IntArray
    table: FloatArray
    steps: tuple[Step, ...]


def rows_of(
    weight: FloatArray, group: IntArray, tables: Sequence[FloatArray], steps: Sequence[Step], cost_s: Sequence[float]
) -> Rows:
    """Merged rows from [hypotheses] weights and groups, and the [hypotheses, outcomes] tables of some steps."""
    if not steps:
        return Rows(weight / weight.sum(), group, np.zeros((len(weight), 0, 1)), ())
    table = np.zeros((len(weight), len(tables), max(one.shape[1] for one in tables)))
    for column, one in enumerate(tables):
        table[:, column, : one.shape[1]] = likely(one)
    shades = np.rint(SHADES * table).astype(np.int8)
    kept = _different(shades, cost_s)
    table, shades = table[:, kept], shades[:, kept]
    keys = np.column_stack([group, shades.reshape(len(weight), -1)])
    _, first, where = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    total = np.bincount(where.ravel(), weights=weight)
    most = np.sort(np.argsort(-total, kind="stable")[:MOST_ROWS])
    return Rows(
        total[most] / total[most].sum(), group[first[most]], table[first[most]], tuple(steps[column] for column in kept)
    )


def likely(table: FloatArray) -> FloatArray:
    """[rows, outcomes] shares that sum to one, without what hardly ever comes to pass."""
    kept = np.where(table < np.minimum(IMPOSSIBLE, table.max(axis=1))[:, None], 0.0, table)
    result: FloatArray = kept / kept.sum(axis=1, keepdims=True)
    return result


def _different(shades: npt.NDArray[np.int8], cost_s: Sequence[float]) -> list[int]:
    """The columns that part anything, without more than a few that part it alike; in the order given."""
    found: dict[bytes, list[int]] = {}
    likeliest = shades.argmax(axis=2)
    for column in sorted(range(shades.shape[1]), key=lambda one: cost_s[one]):
        names, first = np.unique(likeliest[:, column], return_index=True)
        one = shades[:, column]
        if (one != one[0]).any():
            # Outcomes in the order they are met, so that alike means the same partition.
            order = names[np.argsort(first)]
            found.setdefault(np.ascontiguousarray(one[:, order]).tobytes(), []).append(column)
    return sorted(column for alike in found.values() for column in alike[:ALIKE])


@dataclass(frozen=True, eq=False)
class _Left:
    """Rows that are left, with their weights, and the steps that may part them with what each tells (nats)."""

    key: bytes
    rows: IntArray
    weight: FloatArray
    steps: IntArray
    tells: FloatArray
    to_know: float
    """Nats that all steps together could still tell."""


@dataclass(eq=False)
class Rollout:
    """The expected seconds to the end, from any set of rows. What has been worked out is kept for one choice."""

    bench: Bench
    rows: Rows
    ending: Ending
    left: int = 0
    _costs: dict[Situation, FloatArray] = field(default_factory=dict)
    _after: dict[tuple[Situation, int], Situation] = field(default_factory=dict)
    _known: dict[tuple[bytes, Situation], tuple[float, int, float]] = field(default_factory=dict)
    _parted: dict[tuple[bytes, int], list[tuple[float, _Left]]] = field(default_factory=dict)
    _met: dict[bytes, _Left] = field(default_factory=dict)

    def values(self, situation: Situation, nodes: int = NODES) -> list[tuple[int, float]]:
        """The candidates, steps by number, with the expected seconds to the end. Best information per cost first."""
        now = _plain(situation)
        everything, cost_s = self._everything(), self._cost(now)
        rate = everything.tells / cost_s[everything.steps]
        useful = [place for place in np.argsort(-rate, kind="stable") if everything.tells[place] > EPSILON]
        candidates = everything.steps[useful[:CANDIDATES]]
        found: list[tuple[int, float]] = []
        for column in candidates:
            self.left = max(nodes // len(candidates), 1)
            found.append((int(column), self._through(int(column), everything, now, 1.0)))
        return found

    def then(self, column: int, situation: Situation) -> tuple[int, ...]:
        """The steps that would follow one, by number, those after the likelier outcomes first."""
        after = self._moved(_plain(situation), column)
        found: dict[int, float] = {}
        for share, part in self._parts(column, self._everything()):
            known = self._known.get((part.key, after))
            if known is not None and known[1] >= 0:
                found[known[1]] = found.get(known[1], 0.0) + share
        return tuple(sorted(found, key=lambda one: -found[one]))

    def _value(self, left: _Left, now: Situation, share: float) -> float:
        if left.to_know <= EPSILON or not len(left.steps):
            return self._ended(left, now)
        cost_s = self._cost(now)[left.steps]
        rate = left.tells / cost_s
        if rate.max() * cost_s.min() <= EPSILON:
            return self._ended(left, now)
        key = (left.key, now)
        known = self._known.get(key)
        if known is not None and known[2] >= share:
            return known[0]
        if share < MINOR or self.left <= 0:
            return _guess(left, cost_s) + self._ended(left, now)
        self.left -= 1
        value, step = self._worked_out(left, now, share, np.argsort(-rate, kind="stable"))
        self._known[key] = (value, step, share)
        return value

    def _worked_out(self, left: _Left, now: Situation, share: float, order: IntArray) -> tuple[float, int]:
        first = int(left.steps[order[0]])
        if len(left.rows) > EXACT:
            return self._through(first, left, now, share), first
        best, step, cost_s = np.inf, first, self._cost(now)
        for place in order:
            column = int(left.steps[place])
            if left.tells[place] > EPSILON and cost_s[column] < best:
                value = self._through(column, left, now, share)
                if value < best - EPSILON:
                    best, step = value, column
        return best, step

    def _through(self, column: int, left: _Left, now: Situation, share: float) -> float:
        after = self._moved(now, column)
        ahead = sum(part * self._value(rest, after, part * share) for part, rest in self._parts(column, left))
        return float(self._cost(now)[column]) + ahead

    def _parts(self, column: int, left: _Left) -> list[tuple[float, _Left]]:
        """What each outcome leaves, with the share of that outcome."""
        key = (left.key, column)
        if key not in self._parted:
            joint = left.weight[:, None] * self.rows.table[left.rows, column]
            found = []
            for way in np.flatnonzero(joint.any(axis=0)):
                some = joint[:, way] > 0.0
                part = self._meet(left.rows[some], joint[some, way], left.steps)
                found.append((float(joint[:, way].sum() / left.weight.sum()), part))
            self._parted[key] = found
        return self._parted[key]

    def _everything(self) -> _Left:
        count, steps = len(self.rows.weight), len(self.rows.steps)
        return self._meet(np.arange(count, dtype=np.intp), self.rows.weight, np.arange(steps, dtype=np.intp))

    def _meet(self, rows: IntArray, weight: FloatArray, steps: IntArray) -> _Left:
        key = rows.tobytes() + np.round(weight, DIGITS).tobytes()
        if key not in self._met:
            to_know = _shared(self._numbered[rows], self._signed[rows], weight / weight.sum())
            kept, tells = self._told(rows, weight, steps) if to_know > EPSILON else (steps[:0], np.empty(0))
            self._met[key] = _Left(key, rows, weight, kept, tells, to_know)
        return self._met[key]

    @cached_property
    def _numbered(self) -> IntArray:
        """[rows] the groups, counted from nought."""
        return np.asarray(np.unique(self.rows.group, return_inverse=True)[1].ravel(), dtype=np.intp)

    @cached_property
    def _signed(self) -> IntArray:
        """[rows] a number that is the same for rows under which all steps end alike."""
        likeliest = self.rows.table.argmax(axis=2)
        return np.asarray(np.unique(likeliest, axis=0, return_inverse=True)[1].ravel(), dtype=np.intp)

    def _told(self, rows: IntArray, weight: FloatArray, steps: IntArray) -> tuple[IntArray, FloatArray]:
        """The steps after each outcome of which fewer rows are left, and what they tell of the group, in nats."""
        table = self.rows.table[np.ix_(rows, steps)]
        # A step that may leave everything as it is would never come to an end; nor would it in what is left later.
        parts = (table > 0.0).sum(axis=0).max(axis=1) < len(rows)
        kept, table = steps[parts], table[:, parts]
        _, group = np.unique(self._numbered[rows], return_inverse=True)
        joined = np.zeros((int(group.max()) + 1, len(rows)))
        joined[group.ravel(), np.arange(len(rows))] = weight / weight.sum()
        both = np.tensordot(joined, table, axes=1)
        each, alone = both.sum(axis=0), joined.sum(axis=1)
        tells: FloatArray = _order(both).sum(axis=(0, 2)) - _order(each).sum(axis=1) - _order(alone).sum()
        return kept, tells

    def _moved(self, now: Situation, column: int) -> Situation:
        key = (now, column)
        if key not in self._after:
            self._after[key] = _plain(self.rows.steps[column].after(self.bench, now))
        return self._after[key]

    def _cost(self, now: Situation) -> FloatArray:
        if now not in self._costs:
            found = [max(step.cost_s(self.bench, now), NO_LESS_S) for step in self.rows.steps]
            self._costs[now] = np.array(found, dtype=float)
        return self._costs[now]

    def _ended(self, left: _Left, now: Situation) -> float:
        groups, where = np.unique(self.rows.group[left.rows], return_inverse=True)
        weight = np.bincount(where.ravel(), weights=left.weight)
        return self.ending(groups, weight / weight.sum(), now)


def _guess(left: _Left, cost_s: FloatArray) -> float:
    """Seconds to learn what is to be known at the pace of the best step, quick looks that tell little left out."""
    much = left.tells >= 0.5 * left.tells.max()
    return float(left.to_know * (cost_s[much] / left.tells[much]).min())


def _shared(one: IntArray, other: IntArray, weight: FloatArray) -> float:
    """Nats that either of two numberings of rows says about the other."""
    both = np.bincount(one * (int(other.max()) + 1) + other, weights=weight)
    alone = (np.bincount(numbers, weights=weight) for numbers in (one, other))
    return max(float(_order(both).sum() - sum(_order(found).sum() for found in alone)), 0.0)


def _order(weights: npt.NDArray[np.generic]) -> FloatArray:
    """w log w, nought where w is."""
    found = weights.astype(float)
    result: FloatArray = found * np.log(np.where(found > 0.0, found, 1.0))
    return result


def _plain(situation: Situation) -> Situation:
    """Without what has been done: a step done again tells nothing in this outlook, so it need not be remembered."""
    return replace(situation, done=frozenset())
