"""The least expected cost of any plan of tests: dynamic programming over sets of states and where one stands, with
branch and bound. Nothing of the chooser is used.

Before the costs as they are, the problem is solved with each test at its least cost anywhere: what that comes to is
never more, and bounds the search. That in turn is bounded by the best code (`bounds`), and by this: on the way to a
state lies a test that parts it from each state it has to be parted from.
"""

import time
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tests.reference.diagnosis.bounds import apart_from_each_other, cheapest_words
from tests.reference.diagnosis.table import Costs, Plain, Table

EPSILON = 1e-9
ASKED = 64
"""So many sets are worked on between two looks at the clock."""


class NotClosedError(Exception):
    """The seconds given were not enough."""


@dataclass(eq=False)
class Exact:
    """The optimum of a table under some costs; `seconds` of this process's own time, infinitely many unless given."""

    table: Table
    costs: Costs
    seconds: float = float("inf")
    first: int | None = None
    """The first test of an optimal plan, once solved."""
    nodes: int = 0
    _relaxed: "Exact | None" = None
    _known: dict[tuple[int, int], tuple[float, bool]] = field(default_factory=dict)
    _bounds: dict[int, float] = field(default_factory=dict)
    _mass: dict[int, float] = field(default_factory=dict)
    _useful: dict[int, tuple[tuple[int, tuple[tuple[int, float], ...]], ...]] = field(default_factory=dict)
    _until: float = float("inf")
    _apart: npt.NDArray[np.float64] | None = None

    def solve(self) -> float:
        """The least expected cost, the weights taken to sum to one.

        Raises:
            NotClosedError: it takes longer than that.
        """
        self.more(self.seconds)
        if not isinstance(self.costs, Plain):
            self._relaxed = Exact(self.table, Plain(self.table.least))
            self._relaxed.more(self.seconds)
        return self.at(self.table.everything, 0)[0] * self._of_mass(self.table.everything)

    def more(self, seconds: float) -> None:
        """Give so many seconds from now on."""
        self._until = time.process_time() + seconds
        if self._relaxed is not None:
            self._relaxed.more(seconds)

    def at(self, states: int, standing: int) -> tuple[float, int | None]:
        """The optimum from a set and a standing on, its weights taken to sum to one, and its first test, None where no
        more is tested; after `solve`.

        Raises:
            NotClosedError: the seconds given are over.
        """
        self.first = None
        value = self._value(states, standing, float("inf"), top=True)
        return value, self.first

    def bound(self, states: int) -> float:
        """No plan costs less from a set on, wherever one stands."""
        if self._relaxed is not None:
            return self._relaxed._value(states, 0, float("inf"))
        if states not in self._bounds:
            self._bounds[states] = self._least(states)
        return self._bounds[states]

    def _value(self, states: int, standing: int, limit: float, top: bool = False) -> float:
        """The optimum where it is below `limit`, else something that is no less than `limit` and no more than it."""
        key = (states, standing)
        known = self._known.get(key)
        if known is not None and (known[1] or known[0] >= limit) and not top:
            return known[0]
        tests = self._parted(states)
        if not tests:
            value = self.costs.ending(states, standing)
            self._known[key] = (value, True)
            return value
        self._look_at_the_clock()
        options = []
        seen: dict[tuple[tuple[tuple[int, float], ...], int], float] = {}
        for test, parts in tests:
            cost, after = self.costs.cost(test, standing), self.costs.after(test, standing)
            if cost < self.table.least[test] - EPSILON:
                raise RuntimeError(f"test {test} costs {cost}, less than {self.table.least[test]}")
            if cost >= seen.get((parts, after), float("inf")):
                continue
            seen[parts, after] = cost
            ahead = sum(share * self.bound(part) for part, share in parts)
            options.append((cost + ahead, test, cost, after, parts))
        options.sort(key=lambda one: one[:2])
        best, first = float("inf"), None
        for optimistic, test, cost, after, parts in options:
            most = min(best, limit)
            if optimistic >= most - EPSILON:
                break
            total = self._through(cost, optimistic, after, parts, most)
            if total < best:
                best, first = total, test
        if top:
            self.first = first
        exact = best < limit
        least = best if exact else max(limit, known[0] if known else 0.0)
        self._known[key] = (least, exact)
        return least

    def _through(
        self, cost: float, optimistic: float, after: int, parts: tuple[tuple[int, float], ...], most: float
    ) -> float:
        """What a test comes to; infinite where that is no less than `most`."""
        total, rest = cost, optimistic - cost
        for part, share in parts:
            rest -= share * self.bound(part)
            total += share * self._value(part, after, (most - total - rest) / share)
            if total + rest >= most - EPSILON:
                return float("inf")
        return total

    def _parted(self, states: int) -> tuple[tuple[int, tuple[tuple[int, float], ...]], ...]:
        """The tests that part a set, with the parts and their shares, heaviest first."""
        if states not in self._useful:
            whole = self._of_mass(states)
            found = []
            for test in self.table.useful(states):
                parts = [(part, self._of_mass(part) / whole) for part in self.table.parts(test, states)]
                found.append((test, tuple(sorted(parts, key=lambda one: -one[1]))))
            self._useful[states] = tuple(found)
        return self._useful[states]

    def _of_mass(self, states: int) -> float:
        if states not in self._mass:
            self._mass[states] = self.table.mass(states)
        return self._mass[states]

    def _look_at_the_clock(self) -> None:
        self.nodes += 1
        if self.nodes % ASKED == 0 and time.process_time() > self._until:
            raise NotClosedError

    def _least(self, states: int) -> float:
        tests = self._parted(states)
        if not tests:
            return 0.0
        some, whole = self.table.of(states), self._of_mass(states)
        weight = np.array([self.table.weight[state] for state in some])
        apart = self._separations()[np.ix_(some, some)]
        by_pairs = float(weight @ apart.max(axis=1)) / whole
        kept = apart_from_each_other(apart, weight)
        ways = max(len(parts) for _, parts in tests)
        costs = [self.table.least[test] for test, _ in tests]
        by_code = cheapest_words([float(weight[one]) for one in kept], costs, ways) / whole
        return max(by_pairs, by_code)

    def _separations(self) -> npt.NDArray[np.float64]:
        """[states, states] the least cost of a test that parts two states which have to be parted, else nought."""
        if self._apart is None:
            count = len(self.table.weight)
            found = np.full((count, count), np.inf)
            for ends, cost in zip(self.table.ends, self.table.least, strict=True):
                one = np.array(ends)
                found = np.where(one[:, None] != one[None, :], np.minimum(found, cost), found)
            group = np.array(self.table.group)
            alike = (group[:, None] == group[None, :]) | np.isinf(found)
            self._apart = np.where(alike, 0.0, found)
        return self._apart
