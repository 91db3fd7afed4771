"""Testing by a table: states, tests that end in a known way under each, costs; through the product's own `choose`, and
by exact dynamic programming that shares nothing with it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import choose
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.observation import Observation
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import FloatArray, Outcome, Outcomes
from loombench.vehicle.nets import nets
from tests.diagnose.fakes import Table, bare_vehicle

NEXT_TO_NOTHING = 1e-15


@dataclass(frozen=True)
class TableTest:
    """A test of a table: `ends[state]` is the number of its outcome; `cost` in seconds."""

    id: str
    ends: tuple[int, ...]
    cost: float
    kind: str = "table"
    number: bool = False

    def cost_s(self, bench: Bench, situation: Situation) -> float:  # noqa: ARG002
        return self.cost

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:  # noqa: ARG002
        ways = max(self.ends) + 1
        table = np.full((len(bench.hypotheses.members), ways), 1.0 / ways)
        table[: len(self.ends)] = np.eye(ways)[list(self.ends)]
        return Outcomes(tuple(Outcome(str(way)) for way in range(ways)), table)

    def after(self, bench: Bench, situation: Situation) -> Situation:  # noqa: ARG002
        return replace(situation, done=situation.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        raise NotImplementedError("a table is walked through without a belief that learns")


def believed(weights: Sequence[float]) -> Belief:
    """A belief in the states of a table."""
    members = [Hypothesis(f"state {k}", None, 0, 0, max(w, NEXT_TO_NOTHING)) for k, w in enumerate(weights)]
    members += [Hypothesis(name, None, 0, 0, NEXT_TO_NOTHING) for name in (SOUND, UNEXPLAINED)]
    vehicle = bare_vehicle()
    return Belief(Bench(vehicle, nets(vehicle), Hypotheses(tuple(members), ((),)), Table({}, {}, {})))


def expected_cost(weights: Sequence[float], tests: Sequence[TableTest]) -> float:
    """Expected cost until one state is left, each test taken being the one that `choose` says."""

    def ahead(alive: tuple[int, ...], situation: Situation) -> float:
        if len(alive) == 1:
            return 0.0
        total = sum(weights[k] for k in alive)
        now = [weights[k] / total if k in alive else 0.0 for k in range(len(weights))]
        step = choose(believed(now), situation, tests).step
        assert isinstance(step, TableTest)
        cost = step.cost
        for way in sorted({step.ends[k] for k in alive}):
            left = tuple(k for k in alive if step.ends[k] == way)
            share = sum(weights[k] for k in left) / total
            cost += share * ahead(left, step.after(believed(now).bench, situation))
        return cost

    return ahead(tuple(range(len(weights))), Situation())


def optimum(weights: Sequence[float], tests: Sequence[TableTest]) -> float:
    """The least expected cost of any plan, by dynamic programming over sets of states."""

    @cache
    def best(alive: frozenset[int]) -> float:
        if len(alive) == 1:
            return 0.0
        total = sum(weights[k] for k in alive)
        least = float("inf")
        for test in tests:
            parts: dict[int, set[int]] = {}
            for k in alive:
                parts.setdefault(test.ends[k], set()).add(k)
            if len(parts) > 1:
                shares = [(sum(weights[k] for k in part) / total, frozenset(part)) for part in parts.values()]
                least = min(least, test.cost + sum(share * best(part) for share, part in shares))
        return least

    return best(frozenset(range(len(weights))))
