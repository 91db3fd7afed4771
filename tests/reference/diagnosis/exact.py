"""The least expected cost of any plan of tests: dynamic programming over sets of states and where one stands, with
branch and bound. Nothing of the chooser is used.

Before the costs as they are, the problem is solved with each test at its least cost anywhere: what that comes to is
never more, and bounds the search. That in turn is bounded by the best code (`bounds`), and by this: on the way to a
state lies a test that parts it from each state it has to be parted from.
"""

import time
from dataclasses import dataclass, field

from tests.reference.diagnosis.bounds import Bounds
from tests.reference.diagnosis.table import Costs, Plain, Table

EPSILON = 1e-9
ASKED = 64
"""So many sets are worked on between two looks at the clock."""


Parts = tuple[tuple[int, float], ...]
"""What the outcomes of a test leave, each with its share."""
Option = tuple[float, int, int, Parts, tuple[float, ...]]


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
    _useful: dict[int, tuple[tuple[int, Parts], ...]] = field(default_factory=dict)
    _until: float = float("inf")
    _least: Bounds = field(init=False)

    def __post_init__(self) -> None:
        self._least = Bounds(self.table)

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
        value = self._value(states, standing, self._greedy(states, standing) * (1.0 + EPSILON) + EPSILON, top=True)
        return value, self.first

    def bound(self, states: int) -> float:
        """No plan costs less from a set on, wherever one stands."""
        if states not in self._bounds:
            tests = [(test, len(parts)) for test, parts in self._parted(states)]
            self._bounds[states] = self._least.of(states, tests) if tests else 0.0
        return self._bounds[states]

    def _greedy(self, states: int, standing: int) -> float:
        """What it costs to take the test of the best bound each time: there is nothing to be looked for above it."""
        tests = self._parted(states)
        if not tests:
            return self.costs.ending(states, standing)

        def outlook(one: tuple[int, Parts]) -> float:
            return self.costs.cost(one[0], standing) + sum(share * self.bound(part) for part, share in one[1])

        test, parts = min(tests, key=outlook)
        after = self.costs.after(test, standing)
        return self.costs.cost(test, standing) + sum(share * self._greedy(part, after) for part, share in parts)

    def _value(self, states: int, standing: int, limit: float, top: bool = False) -> float:
        """The optimum where it is below `limit`, else something that is no less than `limit` and no more than it."""
        key = (states, standing)
        known = self._known.get(key)
        if known is not None and (known[1] or known[0] >= limit) and not top:
            return known[0]
        if not self._parted(states):
            value = self.costs.ending(states, standing)
            self._known[key] = (value, True)
            return value
        self._look_at_the_clock()
        best, first = float("inf"), None
        for optimistic, test, after, parts, bounds in self._options(states, standing, limit):
            most = min(best, limit)
            if optimistic >= most - EPSILON:
                break
            total = self.costs.cost(test, standing)
            rest = optimistic - total
            for (part, share), least in zip(parts, bounds, strict=True):
                rest -= share * least
                total += share * self._value(part, after, (most - total - rest) / share)
                if total + rest >= most - EPSILON:
                    break
            else:
                best, first = total, test
        if top:
            self.first = first
        exact = best < limit
        least = best if exact else max(limit, known[0] if known else 0.0)
        self._known[key] = (least, exact)
        return least

    def _options(self, states: int, standing: int, limit: float) -> list[Option]:
        """The tests that may come to less than `limit`: the least each can come to, the test, where it leads, its parts
        and the bound of each; best first."""
        options: list[Option] = []
        seen: dict[tuple[Parts, int], float] = {}
        for test, parts in self._parted(states):
            cost, after = self.costs.cost(test, standing), self.costs.after(test, standing)
            if cost < self.table.least[test] - EPSILON:
                raise RuntimeError(f"test {test} costs {cost}, less than {self.table.least[test]}")
            if cost >= seen.get((parts, after), float("inf")):
                continue
            seen[parts, after] = cost
            bounds = [self.bound(part) for part, _ in parts]
            total = cost + sum(share * least for (_, share), least in zip(parts, bounds, strict=True))
            if self._relaxed is not None:
                for place, (part, share) in enumerate(parts):
                    if total >= limit - EPSILON:
                        break
                    total -= share * bounds[place]
                    bounds[place] = max(bounds[place], self._relaxed._value(part, 0, (limit - total) / share))
                    total += share * bounds[place]
            if total < limit - EPSILON:
                options.append((total, test, after, parts, tuple(bounds)))
        return sorted(options, key=lambda one: one[:2])

    def _parted(self, states: int) -> tuple[tuple[int, Parts], ...]:
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
