"""What a step costs in the end: tried, then the rest of the plan followed until one thing to put right is left.

First each candidate is rolled out: after it information per cost is followed to the end (roll-out is known from
sequential testing: Tu and Pattipati, AUTOTESTCON 2002, doi 10.1109/AUTEST.2002.1047898). Then the search goes deeper,
one level of steps after the other, with the roll-out as what is beyond: every value is what some plan costs, so a lower
one is always better, and the search may end anywhere. It ends where nothing was left to the roll-out (then the plan is
the best there is), or where the work given is done; that is counted, never timed. Steps that cannot come below the best
found so far, whatever follows them, are not looked into: each row has to be told from each other that can be told from
it, by a step at its least cost.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.rows import FloatArray, IntArray, Rows
from loombench.diagnose.situation import Situation
from loombench.diagnose.standings import Standings

CANDIDATES = 16
MINOR = 0.01
"""What comes to pass more rarely is not followed; what it takes is guessed from what there is still to know."""
NODES = 3000
"""Sets looked into by roll-out for one choice, shared evenly among the candidates; what is left is guessed."""
WORK = 500_000
"""What may be spent on going deeper: of each set looked into its rows times its steps, and as much again as `EACH`."""
EACH = 1000
DEEPEST = 12
EXACT = 4
"""So few rows are not left to information per cost: every step is tried."""
EPSILON = 1e-9
DIGITS = 12

Ending = Callable[[IntArray, FloatArray, Situation], float]
"""Seconds from here where no more is tested, for groups and their weights; the weights sum to one."""


@dataclass(frozen=True, eq=False)
class _Told:
    """The steps that may part some rows, and what each tells (nats); `to_know` is what all together could tell."""

    steps: IntArray
    tells: FloatArray
    to_know: float


@dataclass(eq=False)
class _Left:
    """Rows that are left, with their weights. `key` is a number with a bit for each row where these have the weights
    they had from the first. `steps` are those that may part them, perhaps with others."""

    key: int | bytes
    rows: IntArray
    weight: FloatArray
    mass: float
    steps: IntArray
    least_s: float = -1.0
    told: _Told | None = None
    parts: dict[int, list[tuple[float, "_Left"]]] = field(default_factory=dict)
    """By step what each outcome leaves, with the share of that outcome."""


@dataclass(frozen=True)
class _Found:
    """Seconds to the end and the first step (-1: none), found for a set of this share, so many levels deep, looking
    for what is below the limit."""

    value_s: float
    step: int
    share: float
    depth: int
    limit_s: float

    def answers(self, share: float, depth: int, limit_s: float) -> bool:
        """Whether looking again, that deep and for what is below that limit, would find nothing else."""
        settled = self.value_s < self.limit_s or self.limit_s >= limit_s
        return settled and self.depth >= depth and self.share >= share


@dataclass(eq=False)
class Rollout:
    """The expected seconds to the end, from any set of rows. What has been worked out is kept for one choice."""

    bench: Bench
    rows: Rows
    ending: Ending
    left: int = 0
    work: int = 0
    cut: bool = False
    """Whether anything was left to the roll-out since this was last set."""
    _known: dict[tuple[int | bytes, int], _Found] = field(default_factory=dict)
    _ends: dict[tuple[int | bytes, int], float] = field(default_factory=dict)
    _met: dict[int | bytes, _Left] = field(default_factory=dict)

    def values(self, situation: Situation, nodes: int = NODES, work: int = WORK) -> list[tuple[int, float]]:
        """The candidates, steps by number, with the expected seconds to the end. Best information per cost first."""
        now, everything = self._standings.number(situation), self._everything()
        candidates = self._by_rate(self._told(everything), now)[:CANDIDATES]
        found: dict[int, float] = {}
        self.work = 2**62
        for column in candidates:
            self.left = max(nodes // len(candidates), 1)
            found[column] = self._through(column, everything, now, 1.0, 0, np.inf)
        self.left, self.work = 2**62, work
        for depth in range(1, DEEPEST + 1):
            self.cut = False
            for column in sorted(found, key=lambda one: found[one]):
                value = self._through(column, everything, now, 1.0, depth, min(found.values()))
                found[column] = min(found[column], value)
            if not self.cut or self.work <= 0:
                break
        return [(column, found[column]) for column in candidates]

    def then(self, column: int, situation: Situation) -> tuple[int, ...]:
        """The steps that would follow one, by number, those after the likelier outcomes first."""
        after = self._standings.after(column, self._standings.number(situation))
        found: dict[int, float] = {}
        for share, part in self._parts(column, self._everything()):
            known = self._known.get((part.key, after))
            if known is not None and known.step >= 0:
                found[known.step] = found.get(known.step, 0.0) + share
        return tuple(sorted(found, key=lambda one: -found[one]))

    def _value(self, left: _Left, now: int, share: float, depth: int, limit_s: float) -> float:
        """What the best plan found costs from here; infinite where the work ended."""
        key = (left.key, now)
        known = self._known.get(key)
        if known is not None and known.answers(share, depth, limit_s):
            return known.value_s
        if self.work <= 0:
            return np.inf
        told = self._told(left)
        if told.to_know <= EPSILON or not told.tells.size or told.tells.max() <= EPSILON:
            value = self._ended(left, now)
            self._known[key] = _Found(value, -1, 1.0, DEEPEST, np.inf)
            return value
        exact = len(left.rows) <= EXACT
        if (share < MINOR and not (exact and depth > 0)) or self.left <= 0:
            self.cut = True
            return _guess(told, self._standings.cost_s(told.steps, now)) + self._ended(left, now)
        self.left -= 1
        self.work -= EACH + left.rows.size * told.steps.size
        steps = self._by_rate(told, now)
        if exact:
            depth = DEEPEST
            value, step = self._searched(left, now, share, steps, (np.inf, steps[0]), depth, limit_s)
        elif depth == 0:
            self.cut = True
            step, limit_s = steps[0], np.inf
            value = self._through(step, left, now, share, 0, limit_s)
        else:
            best = (known.value_s, known.step) if known is not None else (np.inf, steps[0])
            value, step = self._searched(left, now, share, steps[:CANDIDATES], best, depth - 1, limit_s)
        if self.work > 0:
            self._known[key] = _Found(value, step, share, depth, limit_s)
        return value

    def _by_rate(self, told: _Told, now: int) -> list[int]:
        """The steps, by number, that tell anything, most per second first."""
        rate = told.tells / self._standings.cost_s(told.steps, now)
        return [int(told.steps[place]) for place in np.argsort(-rate, kind="stable") if told.tells[place] > EPSILON]

    def _searched(
        self,
        left: _Left,
        now: int,
        share: float,
        steps: Sequence[int],
        best: tuple[float, int],
        depth: int,
        limit_s: float,
    ) -> tuple[float, int]:
        """The least that any of some steps is found to come to, and that step; what it was where none comes below."""
        options = [(self._optimistic(column, left, now), column) for column in steps]
        for optimistic, column in sorted(options):
            most = min(best[0], limit_s)
            if optimistic >= most - EPSILON:
                break
            value = self._through(column, left, now, share, depth, most)
            if value < best[0] - EPSILON:
                best = (value, column)
        return best

    def _optimistic(self, column: int, left: _Left, now: int) -> float:
        """Seconds that no plan with this step first is below."""
        ahead = sum(part * self._least(rest) for part, rest in self._parts(column, left))
        return self._standings.one_s(column, now) + ahead

    def _through(self, column: int, left: _Left, now: int, share: float, depth: int, limit_s: float) -> float:
        """Seconds to the end with this step first; infinite where that is no less than the limit."""
        after, total = self._standings.after(column, now), self._standings.one_s(column, now)
        parts = self._parts(column, left)
        ahead = sum(part * self._least(rest) for part, rest in parts)
        for part, rest in parts:
            if total + ahead >= limit_s - EPSILON:
                return np.inf
            ahead -= part * self._least(rest)
            total += part * self._value(rest, after, part * share, depth, (limit_s - total - ahead) / part)
        return total if total < limit_s - EPSILON else np.inf

    def _parts(self, column: int, left: _Left) -> list[tuple[float, _Left]]:
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

    def _everything(self) -> _Left:
        steps = np.arange(len(self.rows.steps), dtype=np.intp)
        return self._plain((1 << len(self.rows.weight)) - 1, steps)

    def _plain(self, key: int, steps: IntArray) -> _Left:
        """The rows of a number with a bit for each."""
        if key not in self._met:
            count = len(self.rows.weight)
            bits = np.frombuffer(key.to_bytes((count + 7) // 8, "little"), dtype=np.uint8)
            rows = np.flatnonzero(np.unpackbits(bits, bitorder="little"))
            weight = self.rows.weight[rows]
            self._met[key] = _Left(key, rows, weight, float(weight.sum()), steps)
        return self._met[key]

    def _weighed(self, left: _Left, weight: FloatArray) -> _Left:
        """What is left of some rows by new weights."""
        some = weight > 0.0
        rows, weight = left.rows[some], weight[some]
        if np.array_equal(weight, self.rows.weight[rows]):
            return self._plain(_bits(rows, len(self.rows.weight)), left.steps)
        key = rows.tobytes() + np.round(weight, DIGITS).tobytes()
        if key not in self._met:
            self._met[key] = _Left(key, rows, weight, float(weight.sum()), left.steps)
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

    def _least(self, left: _Left) -> float:
        """Seconds that no plan is below: for each row the dearest step that must tell it from another."""
        if left.least_s < 0.0:
            least_s = self._apart_s[left.rows[:, None], left.rows].max(axis=1)
            left.least_s = float(left.weight @ least_s) / left.mass
        return left.least_s

    @cached_property
    def _apart_s(self) -> FloatArray:
        """[rows, rows] least seconds until a row, if it is that, is told from another; nought where it cannot be."""
        count, cost_s = len(self.rows.weight), self._standings.least_s(0)
        found = np.full((count, count), np.inf)
        for column, seconds in enumerate(cost_s):
            table = self.rows.table[:, column]
            apart = table @ (table <= 0.0).T
            found = np.minimum(found, np.where(apart > EPSILON, seconds * apart, np.inf))
        found[self.rows.group[:, None] == self.rows.group[None, :]] = 0.0
        return np.where(np.isfinite(found), found, 0.0)

    @cached_property
    def _standings(self) -> Standings:
        return Standings(self.bench, self.rows.steps)

    @cached_property
    def _numbered(self) -> IntArray:
        """[rows] the groups, counted from nought."""
        return np.asarray(np.unique(self.rows.group, return_inverse=True)[1].ravel(), dtype=np.intp)

    @cached_property
    def _signed(self) -> IntArray:
        """[rows] a number that is the same for rows under which all steps end alike."""
        likeliest = self.rows.table.argmax(axis=2)
        return np.asarray(np.unique(likeliest, axis=0, return_inverse=True)[1].ravel(), dtype=np.intp)

    def _told(self, left: _Left) -> _Told:
        if left.told is None:
            groups, weight = self._numbered[left.rows], left.weight / left.mass
            # Rows are in the order of their groups.
            alone = groups[0] == groups[-1]
            to_know = 0.0 if alone else _shared(groups, self._signed[left.rows], weight)
            if to_know > EPSILON:
                kept, tells = self._telling(left.rows, groups, weight, left.steps)
                left.told, left.steps = _Told(kept, tells, to_know), kept
            else:
                left.told = _Told(left.steps[:0], np.empty(0), 0.0)
        return left.told

    def _telling(
        self, rows: IntArray, groups: IntArray, weight: FloatArray, steps: IntArray
    ) -> tuple[IntArray, FloatArray]:
        """The steps after each outcome of which fewer rows are left, and what they tell of the group, in nats."""
        table = self.rows.table[rows[:, None], steps]
        # A step that may leave everything as it is would never come to an end; nor would it in what is left later.
        parts = np.count_nonzero(table, axis=0).max(axis=1) < len(rows)
        kept = steps[parts]
        starts = _starts(groups)
        both = np.add.reduceat(weight[:, None, None] * table[:, parts], starts, axis=0)
        alone = np.add.reduceat(weight, starts)
        tells: FloatArray = _order(both).sum(axis=(0, 2)) - _order(both.sum(axis=0)).sum(axis=1) - _order(alone).sum()
        return kept, tells

    def _ended(self, left: _Left, now: int) -> float:
        key = (left.key, now)
        if key not in self._ends:
            groups = self.rows.group[left.rows]
            starts = _starts(groups)
            weight = np.add.reduceat(left.weight, starts) / left.mass
            self._ends[key] = self.ending(groups[starts], weight, self._standings.situations[now])
        return self._ends[key]


def _starts(groups: IntArray) -> IntArray:
    """Where each group begins."""
    return np.concatenate(([0], np.flatnonzero(groups[1:] != groups[:-1]) + 1))


def _bits(rows: IntArray, count: int) -> int:
    """A number with a bit for each of some rows."""
    some = np.zeros(count, dtype=np.uint8)
    some[rows] = 1
    return int.from_bytes(np.packbits(some, bitorder="little").tobytes(), "little")


def _guess(told: _Told, cost_s: FloatArray) -> float:
    """Seconds to learn what is to be known at the pace of the best step, quick looks that tell little left out."""
    much = told.tells >= 0.5 * told.tells.max()
    return float(told.to_know * (cost_s[much] / told.tells[much]).min())


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
