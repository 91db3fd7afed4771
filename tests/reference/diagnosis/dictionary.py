"""Testing by a table: states, tests that end in a known way under each, costs; through the product's own `choose`."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import choose
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.observation import Observation
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import FloatArray, Outcome, Outcomes, Step
from loombench.vehicle.nets import nets
from tests.diagnose.fakes import Table as NoForecast
from tests.diagnose.fakes import bare_vehicle
from tests.reference.diagnosis.exact import Exact
from tests.reference.diagnosis.table import Costs, Plain, Table, expected

NEXT_TO_NOTHING = 1e-15


@dataclass(frozen=True)
class TableTest:
    """A test of a table: `ends[state]` is the number of its outcome; `cost` in seconds, and `reach` more where `place`
    is not open yet."""

    id: str
    ends: tuple[int, ...]
    cost: float
    kind: str = "table"
    number: bool = False
    place: str = ""
    reach: float = 0.0

    def cost_s(self, bench: Bench, situation: Situation) -> float:  # noqa: ARG002
        return self.cost + (self.reach if self.place not in situation.reached else 0.0)

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:  # noqa: ARG002
        return sharp(self.ends, len(bench.hypotheses.members))

    def after(self, bench: Bench, situation: Situation) -> Situation:  # noqa: ARG002
        return replace(situation.at(self.place), done=situation.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        raise NotImplementedError("a table is walked through without a belief that learns")


@dataclass(frozen=True)
class SpreadTest:
    """A test of a table whose outcomes are not sure: `rows[state][outcome]` is how often it ends so."""

    id: str
    rows: tuple[tuple[float, ...], ...]
    cost: float
    kind: str = "table"
    number: bool = False

    def cost_s(self, bench: Bench, situation: Situation) -> float:  # noqa: ARG002
        return self.cost

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:  # noqa: ARG002
        ways = len(self.rows[0])
        table = np.full((len(bench.hypotheses.members), ways), 1.0 / ways)
        table[: len(self.rows)] = self.rows
        return Outcomes(tuple(Outcome(str(way)) for way in range(ways)), table)

    def after(self, bench: Bench, situation: Situation) -> Situation:  # noqa: ARG002
        return replace(situation, done=situation.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        raise NotImplementedError("a table is walked through without a belief that learns")


@dataclass(frozen=True)
class PosedStep:
    """A step as it is, in all but that each state makes it end in one way."""

    step: Step
    ends: tuple[int, ...]

    @property
    def id(self) -> str:
        return self.step.id

    @property
    def kind(self) -> str:
        return self.step.kind

    @property
    def number(self) -> bool:
        return self.step.number

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        return self.step.cost_s(bench, situation)

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:  # noqa: ARG002
        return sharp(self.ends, len(bench.hypotheses.members))

    def after(self, bench: Bench, situation: Situation) -> Situation:
        return self.step.after(bench, situation)

    def observe(self, situation: Situation, value: float | str) -> Observation:
        raise NotImplementedError("a table is walked through without a belief that learns")


DictionaryTest = TableTest | PosedStep


def sharp(ends: Sequence[int], members: int) -> Outcomes:
    """The outcomes by number; those hypotheses that are no states of the table have each alike."""
    ways = max(ends) + 1
    table = np.full((members, ways), 1.0 / ways)
    table[: len(ends)] = np.eye(ways)[list(ends)]
    return Outcomes(tuple(Outcome(str(way)) for way in range(ways)), table)


def members_of(
    weights: Sequence[float], groups: Sequence[str] = (), bench: Bench | None = None
) -> tuple[Hypothesis, ...]:
    """Hypotheses for the states of a table, each a group of its own unless said; none is out for good. On a vehicle
    they have the fault of their group, so that it is known what would be put right, and where."""
    names = groups or [f"state {k}" for k in range(len(weights))]
    faults = {name: bench.hypotheses.faults_of(name)[0] for name in names} if bench is not None else {}
    pairs = zip(names, weights, strict=True)
    members = [Hypothesis(name, faults.get(name), 0, 0, max(weight, NEXT_TO_NOTHING)) for name, weight in pairs]
    return (*members, *(Hypothesis(name, None, 0, 0, NEXT_TO_NOTHING) for name in (SOUND, UNEXPLAINED)))


def bench_of(members: tuple[Hypothesis, ...], bench: Bench | None = None) -> Bench:
    """A bench whose hypotheses are these; of a vehicle without anything in it unless one is given."""
    known = Hypotheses(members, ((),))
    if bench is not None:
        return replace(bench, hypotheses=known, supply=None, grow=None)
    vehicle = bare_vehicle()
    return Bench(vehicle, nets(vehicle), known, NoForecast({}, {}, {}))


def believed(weights: Sequence[float], groups: Sequence[str] = (), bench: Bench | None = None) -> Belief:
    """A belief in the states of a table."""
    return Belief(bench_of(members_of(weights, groups, bench), bench))


def table_of(weights: Sequence[float], tests: Sequence[TableTest]) -> Table:
    """The same for dynamic programming, each state to be told from each other."""
    costs = tuple(test.cost for test in tests)
    return Table(tuple(weights), tuple(range(len(weights))), tuple(test.ends for test in tests), costs)


@dataclass(eq=False)
class Standings:
    """The costs of steps by the situation one is in, each situation met by a number. `ends` says what is still to be
    paid where no more is tested: of the states left and a situation, in seconds."""

    bench: Bench
    tests: Sequence[DictionaryTest]
    start: Situation
    ends: Callable[[int, Situation], float] | None = None
    situations: list[Situation] = field(default_factory=list)
    _number: dict[Situation, int] = field(default_factory=dict)
    _cost: dict[tuple[int, int], float] = field(default_factory=dict)
    _after: dict[tuple[int, int], int] = field(default_factory=dict)
    _ending: dict[tuple[int, int], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._meet(self.start)

    def cost(self, test: int, standing: int) -> float:
        """Seconds from a situation."""
        key = (test, standing)
        if key not in self._cost:
            self._cost[key] = self.tests[test].cost_s(self.bench, self.situations[standing])
        return self._cost[key]

    def after(self, test: int, standing: int) -> int:
        """The situation when it is done; what has been done is forgotten, as it tells nothing a second time."""
        key = (test, standing)
        if key not in self._after:
            self._after[key] = self._meet(self.tests[test].after(self.bench, self.situations[standing]))
        return self._after[key]

    def ending(self, states: int, standing: int) -> float:
        """What is still to be paid."""
        if self.ends is None:
            return 0.0
        key = (states, standing)
        if key not in self._ending:
            self._ending[key] = self.ends(states, self.situations[standing])
        return self._ending[key]

    def _meet(self, situation: Situation) -> int:
        plain = replace(situation, done=frozenset())
        if plain not in self._number:
            self._number[plain] = len(self.situations)
            self.situations.append(plain)
        return self._number[plain]


@dataclass(eq=False)
class Own:
    """The way of choosing that vehicles are served by. `short` counts where it says that nothing is left to be told
    though a test parts what is left; the cheapest that does is then taken."""

    table: Table
    tests: Sequence[DictionaryTest]
    costs: Costs
    groups: Sequence[str] = ()
    bench: Bench | None = None
    short: int = 0

    def __call__(self, alive: tuple[int, ...], standing: int) -> int:
        """The test by number."""
        total = sum(self.table.weight[k] for k in alive)
        some = set(alive)
        now = [self.table.weight[k] / total if k in some else 0.0 for k in range(len(self.table.weight))]
        situation = self.costs.situations[standing] if isinstance(self.costs, Standings) else Situation()
        useful = self.table.useful(sum(1 << k for k in alive))
        step = choose(believed(now, self.groups, self.bench), situation, self.tests).step
        names = [test.id for test in self.tests]
        test = names.index(step.id) if step is not None else -1
        if test in useful:
            return test
        self.short += 1
        return min(useful, key=lambda one: self.costs.cost(one, standing))


def costs_of(weights: Sequence[float], tests: Sequence[TableTest]) -> Costs:
    """What the tests of a table cost: the same everywhere where none has a place."""
    if not any(test.place for test in tests):
        return Plain([test.cost for test in tests])
    return Standings(bench_of(members_of(weights)), tests, Situation())


def expected_cost(weights: Sequence[float], tests: Sequence[TableTest]) -> float:
    """Expected cost until one state is left, each test taken being the one that `choose` says."""
    table, costs = table_of(weights, tests), costs_of(weights, tests)
    own = Own(table, tests, costs)
    cost = expected(table, costs, own)
    assert not own.short
    return cost


def optimum(weights: Sequence[float], tests: Sequence[TableTest]) -> float:
    """The least expected cost of any plan."""
    return Exact(table_of(weights, tests), costs_of(weights, tests)).solve()
