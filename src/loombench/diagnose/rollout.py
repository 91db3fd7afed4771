"""What a step costs in the end: tried, then the rest of the plan followed until one thing to put right is left.

First each candidate is rolled out: after it information per cost is followed to the end (roll-out is known from
sequential testing: Tu and Pattipati, AUTOTESTCON 2002, doi 10.1109/AUTEST.2002.1047898). Then the search goes deeper,
one level of steps after the other, with the roll-out as what is beyond: every value is what some plan costs (but for
rare branches, which are guessed), so a lower one is better, and the search may end anywhere. It ends where nothing was
left to the roll-out, or where the work given is done; that is counted, never timed. Steps that cannot come below the
best found so far, whatever follows them, are not looked into: each row has to be told from each other that can be told
from it, by a step at its least cost.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.parting import EPSILON, Left, Parting, Told, starts
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

Ending = Callable[[IntArray, FloatArray, Situation], float]
"""Seconds from here where no more is tested, for groups and their weights; the weights sum to one."""


@dataclass(frozen=True)
class _Found:
    """Seconds to the end and the first step (-1: none), found for a set of this share, so many levels deep, looking
    for what is below the limit; `cut` says whether anything was left to the roll-out in it."""

    value_s: float
    step: int
    share: float
    depth: int
    limit_s: float
    cut: bool

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
    """Whether the values found last leave anything to the roll-out."""
    _known: dict[tuple[int | bytes, int], _Found] = field(default_factory=dict)
    _ends: dict[tuple[int | bytes, int], float] = field(default_factory=dict)

    def values(self, situation: Situation, nodes: int = NODES, work: int = WORK) -> list[tuple[int, float]]:
        """The candidates, steps by number, with the expected seconds to the end. Best information per cost first."""
        now, everything = self._standings.number(situation), self._parting.everything()
        candidates = self._by_rate(self._parting.told(everything), now)[:CANDIDATES]
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
        for share, part in self._parting.parts(column, self._parting.everything()):
            known = self._known.get((part.key, after))
            if known is not None and known.step >= 0:
                found[known.step] = found.get(known.step, 0.0) + share
        return tuple(sorted(found, key=lambda one: -found[one]))

    def _value(self, left: Left, now: int, share: float, depth: int, limit_s: float) -> float:
        """What the best plan found costs from here; infinite where the work ended."""
        key = (left.key, now)
        known = self._known.get(key)
        if known is None or not known.answers(share, depth, limit_s):
            if self.work <= 0:
                self.cut = True
                return np.inf
            before, self.cut = self.cut, False
            found = self._found(left, now, share, depth, limit_s, known)
            self.cut = self.cut or before
            if found.share < share or self.work <= 0:
                return found.value_s
            known = self._known[key] = found
        self.cut = self.cut or known.cut
        return known.value_s

    def _found(self, left: Left, now: int, share: float, depth: int, limit_s: float, known: _Found | None) -> _Found:
        told = self._parting.told(left)
        if told.to_know <= EPSILON or not told.tells.size or told.tells.max() <= EPSILON:
            return _Found(self._ended(left, now), -1, 1.0, DEEPEST, np.inf, False)
        exact = len(left.rows) <= EXACT
        if (share < MINOR and not (exact and depth > 0)) or self.left <= 0:
            self.cut = True
            guess = _guess(told, self._standings.cost_s(told.steps, now)) + self._ended(left, now)
            return _Found(guess, -1, 0.0, depth, limit_s, True)
        self.left -= 1
        self.work -= EACH + left.rows.size * told.steps.size
        steps = self._by_rate(told, now)
        if depth == 0 and not exact:
            self.cut = True
            return _Found(self._through(steps[0], left, now, share, 0, np.inf), steps[0], share, 0, np.inf, True)
        best = (known.value_s, known.step) if known is not None else (np.inf, steps[0])
        if exact:
            tried, depth, below = steps, DEEPEST, DEEPEST
        else:
            tried, below = steps[:CANDIDATES], depth - 1
        value, step = self._searched(left, now, share, tried, best, below, limit_s)
        return _Found(value, step, share, depth, limit_s, self.cut)

    def _by_rate(self, told: Told, now: int) -> list[int]:
        """The steps, by number, that tell anything, most per second first."""
        rate = told.tells / self._standings.cost_s(told.steps, now)
        return [int(told.steps[place]) for place in np.argsort(-rate, kind="stable") if told.tells[place] > EPSILON]

    def _searched(
        self,
        left: Left,
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

    def _optimistic(self, column: int, left: Left, now: int) -> float:
        """Seconds that no plan with this step first is below."""
        return self._standings.one_s(column, now) + self._parting.ahead(column, left)

    def _through(self, column: int, left: Left, now: int, share: float, depth: int, limit_s: float) -> float:
        """Seconds to the end with this step first; infinite where that is no less than the limit."""
        after, total = self._standings.after(column, now), self._standings.one_s(column, now)
        ahead = self._parting.ahead(column, left)
        for part, rest in self._parting.parts(column, left):
            if total + ahead >= limit_s - EPSILON:
                return np.inf
            ahead -= part * self._parting.least(rest)
            total += part * self._value(rest, after, part * share, depth, (limit_s - total - ahead) / part)
        return total if total < limit_s - EPSILON else np.inf

    @cached_property
    def _standings(self) -> Standings:
        return Standings(self.bench, self.rows.steps)

    @cached_property
    def _parting(self) -> Parting:
        return Parting(self.rows, self._standings.least_s(0))

    def _ended(self, left: Left, now: int) -> float:
        key = (left.key, now)
        if key not in self._ends:
            groups = self.rows.group[left.rows]
            first = starts(groups)
            weight = np.add.reduceat(left.weight, first) / left.mass
            self._ends[key] = self.ending(groups[first], weight, self._standings.situations[now])
        return self._ends[key]


def _guess(told: Told, cost_s: FloatArray) -> float:
    """Seconds to learn what is to be known at the pace of the best step, quick looks that tell little left out."""
    much = told.tells >= 0.5 * told.tells.max()
    return float(told.to_know * (cost_s[much] / told.tells[much]).min())
