"""A dictionary as numbers: states, tests that end in a known way under each, what they cost; plans followed through it.

Sets of states are numbers with a bit for each. Costs hang on where one stands (what is open, what is set), each test
leads from one standing to another. A plan ends where what is left is one group, or where no test parts it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol


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
    members: tuple[int, ...] = field(init=False)
    """For each state the set of those of its group."""

    def __post_init__(self) -> None:
        found = []
        for ends in self.ends:
            sets: dict[int, int] = {}
            for state, way in enumerate(ends):
                sets[way] = sets.get(way, 0) | 1 << state
            found.append(tuple(sets[way] for way in sorted(sets)))
        object.__setattr__(self, "ways", tuple(found))
        groups: dict[int, int] = {}
        for state, group in enumerate(self.group):
            groups[group] = groups.get(group, 0) | 1 << state
        object.__setattr__(self, "members", tuple(groups[group] for group in self.group))

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
        if not states & ~self.members[(states & -states).bit_length() - 1]:
            return []
        return [test for test, ways in enumerate(self.ways) if not any(states & way == states for way in ways)]


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
