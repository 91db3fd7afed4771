"""The least expected cost of any plan of tests: dynamic programming over sets of states and where one stands, with
branch and bound. Nothing of the chooser is used.

A plan ends where what is left is one group, or where no test parts it. Costs hang on where one stands (what is open,
what is set), each test leads from one standing to another. Before the costs as they are, the problem is solved with
each test at its least cost anywhere: what that comes to is never more, and bounds the search.

Bounds for a set of states (reference: Huffman's code; Pattipati and Alexandridis, IEEE Trans. SMC 20(4) 872-887, 1990,
for unit costs; sorted costs by Jensen, as tests on a path are distinct):

- states that have to be parted are told apart by at least as many tests as the words of the best code are long, and
  that many of the cheapest tests cost no more than those taken;
- on the way to a state lies a test that parts it from each state it has to be parted from.
"""

import heapq
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
import numpy.typing as npt

EPSILON = 1e-9
ASKED = 64
"""So many sets are worked on between two looks at the clock."""


class Costs(Protocol):
    """What tests cost. A standing is a number; 0 is where one starts."""

    def cost(self, test: int, standing: int) -> float: ...

    def after(self, test: int, standing: int) -> int: ...

    def ending(self, states: int, standing: int) -> float:
        """What is still to be paid where no more is tested; never below nought."""
        ...


@dataclass(frozen=True, eq=False)
class Plain:
    """Costs that are the same everywhere, nothing to be paid at the end."""

    costs: Sequence[float]

    def cost(self, test: int, standing: int) -> float:  # noqa: ARG002
        """The cost of a test."""
        return self.costs[test]

    def after(self, test: int, standing: int) -> int:  # noqa: ARG002
        """One stands where one stood."""
        return standing

    def ending(self, states: int, standing: int) -> float:  # noqa: ARG002
        """Nothing."""
        return 0.0


@dataclass(frozen=True, eq=False)
class Table:
    """`ends[test][state]` is the number of the outcome of a test under a state; `group[state]` what would be put right;
    `least[test]` is no more than a test costs anywhere. Sets of states are numbers with a bit for each."""

    weight: tuple[float, ...]
    group: tuple[int, ...]
    ends: tuple[tuple[int, ...], ...]
    least: tuple[float, ...]
    ways: tuple[tuple[int, ...], ...] = field(init=False)

    def __post_init__(self) -> None:
        found = []
        for ends in self.ends:
            sets: dict[int, int] = {}
            for state, way in enumerate(ends):
                sets[way] = sets.get(way, 0) | 1 << state
            found.append(tuple(sets[way] for way in sorted(sets)))
        object.__setattr__(self, "ways", tuple(found))

    @property
    def everything(self) -> int:
        """The set of all states."""
        return (1 << len(self.weight)) - 1

    def parts(self, test: int, states: int) -> tuple[int, ...]:
        """What the outcomes of a test leave of a set."""
        return tuple(part for way in self.ways[test] if (part := states & way))

    def of(self, states: int) -> list[int]:
        """The states of a set by number."""
        return [state for state in range(len(self.weight)) if states >> state & 1]

    def mass(self, states: int) -> float:
        """The weight of a set."""
        return sum(self.weight[state] for state in self.of(states))

    def useful(self, states: int) -> list[int]:
        """The tests that part a set; none where it is of one group."""
        if len({self.group[state] for state in self.of(states)}) == 1:
            return []
        return [test for test in range(len(self.ends)) if len(self.parts(test, states)) > 1]


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
        self._until = time.process_time() + self.seconds
        if not isinstance(self.costs, Plain):
            self._relaxed = Exact(self.table, Plain(self.table.least))
            self._relaxed._until = self._until
        total = self._of_mass(self.table.everything)
        return self._value(self.table.everything, 0, float("inf"), top=True) * total

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


def apart_from_each_other(apart: npt.NDArray[np.float64], weight: npt.NDArray[np.float64]) -> list[int]:
    """States each of which has to be parted from each other, the heaviest first."""
    kept: list[int] = []
    for one in np.argsort(-weight, kind="stable"):
        if all(apart[one, other] > 0.0 for other in kept):
            kept.append(int(one))
    return kept


def cheapest_words(weights: Sequence[float], costs: Sequence[float], ways: int) -> float:
    """The least that telling these weights (they need not sum to one) apart by tests of so many ways can cost."""
    whole = sum(weights)
    length = code_length(weights, ways) / whole
    ordered = sorted(costs)
    done = int(length)
    if done >= len(ordered):
        return whole * sum(ordered)
    return whole * (sum(ordered[:done]) + (length - done) * ordered[done])


def code_length(weights: Sequence[float], ways: int = 2) -> float:
    """The sum of weight times length of word of the best code with so many letters (Huffman)."""
    if len(weights) < 2:
        return 0.0
    heap = [*weights, *([0.0] * (-(len(weights) - 1) % (ways - 1)))]
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = sum(heapq.heappop(heap) for _ in range(ways))
        total += joined
        heapq.heappush(heap, joined)
    return total


def chain_optimum(weights: Sequence[float], costs: Sequence[float]) -> float:
    """The least expected cost of finding one open in a chain by probes between neighbours: each set that can be left is
    a stretch, so the optimum is an alphabetic tree, in cubic time. `costs[k]` is that of the probe after link k."""
    count = len(weights)
    sums = np.concatenate([[0.0], np.cumsum(weights)])
    best = np.zeros((count + 1, count + 1))
    for length in range(2, count + 1):
        for start in range(count - length + 1):
            end = start + length
            mass = sums[end] - sums[start]
            best[start, end] = min(
                costs[cut - 1] * mass + best[start, cut] + best[cut, end] for cut in range(start + 1, end)
            )
    return float(best[0, count] / sums[count])


def walked(weights: Sequence[float], costs: Sequence[float]) -> float:
    """The expected cost of probing a chain from its beginning on until a probe is dead."""
    paid = np.cumsum(costs)
    return float(np.dot(weights[:-1], paid) + weights[-1] * paid[-1])


def every_plan(table: Table, costs: Costs) -> float:
    """As `Exact`, by listing all plans without any bound or memory: for a handful of states."""

    def best(states: int, standing: int) -> float:
        tests = table.useful(states)
        if not tests:
            return costs.ending(states, standing)
        whole = table.mass(states)
        return min(
            costs.cost(test, standing)
            + sum(
                table.mass(part) / whole * best(part, costs.after(test, standing)) for part in table.parts(test, states)
            )
            for test in tests
        )

    return best(table.everything, 0) * table.mass(table.everything)


Policy = Callable[[tuple[int, ...], int], int]
"""The test that a way of choosing takes with these states left, from a standing."""


def expected(table: Table, costs: Costs, policy: Policy) -> float:
    """The expected cost of a way of choosing, from the first standing to the end; the same end as for `Exact`."""
    known: dict[tuple[int, int], float] = {}

    def ahead(states: int, standing: int) -> float:
        key = (states, standing)
        if key not in known:
            if not table.useful(states):
                known[key] = costs.ending(states, standing)
            else:
                test = policy(tuple(table.of(states)), standing)
                whole, after = table.mass(states), costs.after(test, standing)
                parts = table.parts(test, states)
                if len(parts) < 2:
                    raise RuntimeError(f"test {test} was taken and parts nothing")
                known[key] = costs.cost(test, standing) + sum(
                    table.mass(part) / whole * ahead(part, after) for part in parts
                )
        return known[key]

    return ahead(table.everything, 0) * table.mass(table.everything)
