"""What a step costs in the end: tried, then information per cost followed until one thing to put right is left.

Everything is worked out on clusters: under each hypothesis a step ends in the outcome that is likeliest there, so what
is left after an outcome is a plain subset, and the same subset met again is not worked out again. Hypotheses that are
put right alike and that no step tells apart are one row. What is wrong with a reading is no part of this outlook; the
belief weighs that when the reading is there.

Roll-out is known from sequential testing: Tu and Pattipati, AUTOTESTCON 2002, doi 10.1109/AUTEST.2002.1047898.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]

MOST_ROWS = 240
ALIKE = 2
"""Of steps that part the rows in the same way so many are kept, those that are cheapest now."""
CANDIDATES = 20
NODES = 4000
"""Situations looked into for one choice, shared evenly among the candidates."""
EXACT = 4
"""So few rows are not left to information per cost: every step is tried."""
NO_LESS_S = 1e-9
EPSILON = 1e-9

Ending = Callable[[IntArray, FloatArray, Situation], float]
"""Seconds from here where no more is tested, for groups and their weights; the weights sum to one."""


@dataclass(frozen=True, eq=False)
class Rows:
    """`outcome` [rows, steps] is the number of the outcome of each step under each row; `weight` sums to one; `group`
    is what would be put right."""

    weight: FloatArray
    group: IntArray
    outcome: IntArray
    steps: tuple[Step, ...]


def rows_of(
    weight: FloatArray, group: IntArray, tables: Sequence[FloatArray], steps: Sequence[Step], cost_s: Sequence[float]
) -> Rows:
    """Merged rows from [hypotheses] weights and groups, and the [hypotheses, outcomes] tables of some steps."""
    if not steps:
        return Rows(weight / weight.sum(), group, np.zeros((len(weight), 0), dtype=np.intp), ())
    outcome = np.stack([np.argmax(table, axis=1) for table in tables], axis=1)
    kept = _different(outcome, cost_s)
    outcome = outcome[:, kept]
    keys, where = np.unique(np.column_stack([group, outcome]), axis=0, return_inverse=True)
    total = np.bincount(where.ravel(), weights=weight)
    most = np.sort(np.argsort(-total, kind="stable")[:MOST_ROWS])
    return Rows(total[most] / total[most].sum(), keys[most, 0], keys[most, 1:], tuple(steps[column] for column in kept))


def _different(outcome: IntArray, cost_s: Sequence[float]) -> list[int]:
    """The columns that part anything, without more than a few that part it alike; in the order given."""
    found: dict[bytes, list[int]] = {}
    for column in sorted(range(outcome.shape[1]), key=lambda one: cost_s[one]):
        _, first, named = np.unique(outcome[:, column], return_index=True, return_inverse=True)
        if len(first) > 1:
            # Outcomes are named in the order they are met, so that alike means the same partition.
            order = np.argsort(np.argsort(first))
            found.setdefault(order[named.ravel()].astype(np.int8).tobytes(), []).append(column)
    return sorted(column for alike in found.values() for column in alike[:ALIKE])


@dataclass(eq=False)
class Rollout:
    """The expected seconds to the end, from any set of rows. What has been worked out is kept for one choice."""

    bench: Bench
    rows: Rows
    ending: Ending
    left: int = 0
    _costs: dict[Situation, FloatArray] = field(default_factory=dict)
    _after: dict[tuple[Situation, int], Situation] = field(default_factory=dict)
    _known: dict[tuple[bytes, Situation], tuple[float, int]] = field(default_factory=dict)

    def values(self, situation: Situation, nodes: int = NODES) -> list[tuple[int, float]]:
        """The candidates, steps by number, with the expected seconds to the end; those too long to look into left
        out, but for the first. Best information per cost first."""
        now = _plain(situation)
        everything = np.arange(len(self.rows.weight), dtype=np.intp)
        tells, cost_s = self._told(everything), self._cost(now)
        useful = [column for column in np.argsort(-tells / cost_s, kind="stable") if tells[column] > EPSILON]
        candidates = useful[:CANDIDATES]
        found: list[tuple[int, float]] = []
        for column in candidates:
            self.left = max(nodes // len(candidates), 1)
            value = self._through(int(column), everything, now)
            if self.left > 0 or not found:
                found.append((int(column), value))
        return found

    def end(self, situation: Situation) -> float:
        """Seconds to the end where nothing more is tested."""
        return self._leaf(np.arange(len(self.rows.weight), dtype=np.intp), _plain(situation))

    def then(self, column: int, situation: Situation) -> tuple[int, ...]:
        """The steps that would follow one, by number, those after the likelier outcomes first."""
        now = _plain(situation)
        after = self._moved(now, column)
        found: dict[int, float] = {}
        for subset in self._parts(np.arange(len(self.rows.weight), dtype=np.intp), column):
            known = self._known.get((subset.tobytes(), after))
            if known is not None and known[1] >= 0:
                found[known[1]] = found.get(known[1], 0.0) + float(self.rows.weight[subset].sum())
        return tuple(sorted(found, key=lambda one: -found[one]))

    def _value(self, subset: IntArray, now: Situation) -> float:
        key = (subset.tobytes(), now)
        known = self._known.get(key)
        if known is None:
            if self.left <= 0:
                return self._leaf(subset, now)
            self.left -= 1
            known = self._worked_out(subset, now)
            if self.left > 0:
                self._known[key] = known
        return known[0]

    def _worked_out(self, subset: IntArray, now: Situation) -> tuple[float, int]:
        leaf = self._leaf(subset, now)
        if (self.rows.group[subset] == self.rows.group[subset[0]]).all():
            return leaf, -1
        tells, cost_s = self._told(subset), self._cost(now)
        useful = np.flatnonzero(tells > EPSILON)
        if not len(useful):
            return leaf, -1
        order = useful[np.argsort(-(tells / cost_s)[useful], kind="stable")]
        if len(subset) > EXACT:
            return self._through(int(order[0]), subset, now), int(order[0])
        best, step = np.inf, -1
        for column in order:
            if cost_s[column] < best:
                value = self._through(int(column), subset, now)
                if value < best - EPSILON:
                    best, step = value, int(column)
        return best, step

    def _through(self, column: int, subset: IntArray, now: Situation) -> float:
        after = self._moved(now, column)
        weight = self.rows.weight
        total = float(weight[subset].sum())
        ahead = sum(
            float(weight[part].sum()) / total * self._value(part, after) for part in self._parts(subset, column)
        )
        return float(self._cost(now)[column]) + ahead

    def _parts(self, subset: IntArray, column: int) -> list[IntArray]:
        outcome = self.rows.outcome[subset, column]
        return [subset[outcome == one] for one in np.unique(outcome)]

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

    def _leaf(self, subset: IntArray, now: Situation) -> float:
        groups, where = np.unique(self.rows.group[subset], return_inverse=True)
        weight = np.bincount(where.ravel(), weights=self.rows.weight[subset])
        return self.ending(groups, weight / weight.sum(), now)

    def _told(self, subset: IntArray) -> FloatArray:
        """[steps] information about the group, in nats, within a subset."""
        weight = self.rows.weight[subset] / self.rows.weight[subset].sum()
        outcome = self.rows.outcome[subset]
        count, steps = outcome.shape
        if not steps:
            return np.empty(0)
        _, group = np.unique(self.rows.group[subset], return_inverse=True)
        group = group.ravel()
        ways, groups = int(outcome.max()) + 1, int(group.max()) + 1
        column = np.arange(steps)[None, :]
        spread = np.broadcast_to(weight[:, None], (count, steps)).ravel()
        each = np.bincount((column * ways + outcome).ravel(), weights=spread, minlength=steps * ways)
        both = np.bincount(
            ((column * groups + group[:, None]) * ways + outcome).ravel(),
            weights=spread,
            minlength=steps * groups * ways,
        )
        alone = np.bincount(group, weights=weight)
        spent = _order(both).reshape(steps, -1).sum(axis=1) - _order(each).reshape(steps, -1).sum(axis=1)
        result: FloatArray = spent - _order(alone).sum()
        return result


def _order(weights: npt.NDArray[np.generic]) -> FloatArray:
    """w log w, nought where w is."""
    found = weights.astype(float)
    result: FloatArray = found * np.log(np.where(found > 0.0, found, 1.0))
    return result


def _plain(situation: Situation) -> Situation:
    """Without what has been done: a step done again tells nothing in this outlook, so it need not be remembered."""
    return replace(situation, done=frozenset())
