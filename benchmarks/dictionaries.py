"""Dictionaries to hold the choice against the optimum: drawn by seed, and made of what the tool offers on a vehicle.

Of a vehicle: a fault is drawn that gives a complaint, the complaint is verified, and the steps are those that are then
on offer, with their costs and bands as they are then; no more than that is asked of the tool. A state is all hypotheses
of one suspect under which each step ends in the same, likeliest outcome; the heaviest come first. Left out are what is
put right during the search (what it leaves behind is another vehicle), and hypotheses so unlikely that the choice does
not wait for them. What is left in the end is put right by probability per cost. The work of that, and good parts put in
before the right one, are the same whatever was tested, since no plan ends before all is parted that can be; what is
still to be opened for it is not, and is paid for.
"""

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from benchmarks.findcases import drawn, load
from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import NEGLIGIBLE
from loombench.diagnose.measuring import Measure
from loombench.diagnose.repair import repair
from loombench.diagnose.situation import Situation, cost_of, helper_s, reaching_s
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition
from tests.reference.diagnosis.dictionary import (
    DictionaryTest,
    Own,
    PosedStep,
    Standings,
    TableTest,
    bench_of,
    costs_of,
    members_of,
    table_of,
)
from tests.reference.diagnosis.table import Costs, Table

COSTS = (1, 1, 2, 3, 5, 10)
SKEWS = (1, 2, 4)
"""A prior is a number from nought to one to one of these powers."""
LEAST_WEIGHT = 1e-3


@dataclass(frozen=True, eq=False)
class Dictionary:
    """A table with its costs and how `choose` is asked about it. `from_power` and `from_load` are its tests in the
    order in which they are met from either end; `whole` says that no state was left out."""

    name: str
    kind: str
    table: Table
    tests: tuple[DictionaryTest, ...]
    costs: Costs
    from_power: tuple[int, ...]
    from_load: tuple[int, ...]
    groups: tuple[str, ...] = ()
    bench: Bench | None = None
    whole: bool = True

    def own(self) -> Own:
        """The way of choosing that vehicles are served by."""
        return Own(self.table, self.tests, self.costs, self.groups, self.bench)


@dataclass(frozen=True)
class Family:
    """Random dictionaries of one kind: `ways` is the most outcomes of a test, `places` how many there are behind
    covers."""

    states: int
    tests: int
    ways: int
    unit: bool
    places: int


FAMILIES = (
    Family(8, 10, 2, True, 0),
    Family(8, 10, 2, False, 0),
    Family(11, 12, 2, False, 0),
    Family(8, 10, 4, False, 0),
    Family(9, 10, 3, False, 3),
)


def random_dictionary(seed: int) -> Dictionary:
    """The dictionary of a seed: its family, then priors, costs and outcomes until all states can be told apart."""
    family, draw = FAMILIES[seed % len(FAMILIES)], random.Random(f"dictionary {seed}")
    skew = draw.choice(SKEWS)
    raw = [draw.random() ** skew + LEAST_WEIGHT for _ in range(family.states)]
    weights = [one / sum(raw) for one in raw]
    tests: list[TableTest] = []
    while len({tuple(test.ends[k] for test in tests) for k in range(family.states)}) < family.states:
        reach = {f"place {k}": float(draw.choice(COSTS)) for k in range(family.places)}
        tests = []
        for k in range(family.tests):
            ways = draw.randint(2, family.ways)
            place = draw.choice(("", *reach))
            cost = 1.0 if family.unit else float(draw.choice(COSTS))
            ends = tuple(draw.randrange(ways) for _ in range(family.states))
            tests.append(TableTest(f"t{k + 1}", ends, cost, place=place, reach=reach.get(place, 0.0)))
    order = tuple(range(len(tests)))
    kind = f"{family.states} x {family.tests}, {family.ways} outcomes, {'unit' if family.unit else 'spread'} costs"
    kind += f", {family.places} places" if family.places else ""
    return Dictionary(
        f"random {seed}", kind, table_of(weights, tests), tuple(tests), costs_of(weights, tests), order, order[::-1]
    )


@dataclass(frozen=True, eq=False)
class Offered:
    """What the tool offers on a vehicle once a complaint is verified; states heaviest first, `ends[step][state]`."""

    name: str
    bench: Bench
    start: Situation
    steps: tuple[PosedStep, ...]
    weights: tuple[float, ...]
    groups: tuple[str, ...]

    def dictionary(self, states: int) -> Dictionary:
        """The dictionary of its heaviest states."""
        count = min(states, len(self.weights))
        total = sum(self.weights[:count])
        weights = tuple(weight / total for weight in self.weights[:count])
        groups = self.groups[:count]
        cut = [PosedStep(step.step, _numbered(step.ends[:count])) for step in self.steps]
        tests = tuple(test for test in cut if len(set(test.ends)) > 1)
        bench = bench_of(members_of(weights, groups), self.bench)
        everywhere = self.start.at(*self.bench.vehicle.places)
        least = tuple(
            max(test.cost_s(bench, test.after(bench, everywhere)) - _held_s(self.bench, test), 0.0) for test in tests
        )
        numbers = {name: number for number, name in enumerate(dict.fromkeys(groups))}
        table = Table(weights, tuple(numbers[name] for name in groups), tuple(test.ends for test in tests), least)
        costs = Standings(bench, tests, self.start, last_reach(self.bench, groups, weights))
        way = [k for k, test in enumerate(tests) if _on_way(test)]
        rest = [k for k in range(len(tests)) if k not in way]
        return Dictionary(
            f"{self.name}, {count} of {len(self.weights)} states",
            "vehicle",
            table,
            tests,
            costs,
            (*way, *rest),
            (*way[::-1], *rest),
            groups,
            self.bench,
            count == len(self.weights),
        )


def offered(file: str, seed: int, complaints: int) -> Iterator[Offered]:
    """For some faults drawn by seed that give a complaint: what is offered then."""
    bench = bench_for(load(file))
    for spec in drawn(file, seed, complaints):
        practice = PracticeVehicle(bench.vehicle, spec.hidden, spec.seed)
        case = open_case(bench.vehicle, "0" * 64, spec.complaint, MemoryStore(), "case", PRACTICE_TIME, bench=bench)
        while (card := next_step(case)) is not None and case.offered(card.id).kind == "verify":
            case = answer(case, card.id, practice.reply(case.offered(card.id), ()), PRACTICE_TIME)
        yield _offered(f"{file}, {spec.complaint.text}", case)


def _offered(name: str, case: Case) -> Offered:
    belief, situation = case.belief, case.course.situation
    known, share = belief.hypotheses, belief.share
    fault = np.array([member.fault is not None for member in known.members])
    used = np.flatnonzero(fault & (share > NEGLIGIBLE * share[fault].max()))
    steps = [step for step in case.plan if step.kind not in ("verify", "mend") and step.id not in situation.done]
    ends = [step.outcomes(belief.bench, share, situation).table[used].argmax(axis=1) for step in steps]
    found: dict[tuple[int, ...], float] = {}
    for row, one in enumerate(used):
        key = (int(known.group[one]), *(int(end[row]) for end in ends))
        found[key] = found.get(key, 0.0) + float(share[one])
    ordered = sorted(found, key=lambda key: (-found[key], key))
    total = sum(found.values())
    posed = [PosedStep(step, tuple(key[k + 1] for key in ordered)) for k, step in enumerate(steps)]
    return Offered(
        name,
        belief.bench,
        situation,
        tuple(posed),
        tuple(found[key] / total for key in ordered),
        tuple(known.groups[key[0]] for key in ordered),
    )


def _numbered(ends: Sequence[int]) -> tuple[int, ...]:
    """Outcomes counted from nought in the order they are met."""
    number = {way: k for k, way in enumerate(dict.fromkeys(ends))}
    return tuple(number[way] for way in ends)


def _held_s(bench: Bench, test: PosedStep) -> float:
    """Seconds for a second person, who is spared where one's own way leads to the control."""
    condition = getattr(getattr(test.step, "setup", test.step), "condition", None)
    return helper_s(bench.vehicle, condition, "anywhere else") if isinstance(condition, Condition) else 0.0


def _on_way(test: DictionaryTest) -> bool:
    step = test.step if isinstance(test, PosedStep) else None
    return isinstance(step, Measure) and step.kind == "measure" and not step.drop


def last_reach(bench: Bench, groups: Sequence[str], weights: Sequence[float]) -> Callable[[int, Situation], float]:
    """Expected seconds to open what is still closed for the repairs of what is left, one after the other by probability
    per cost until the right one is done."""
    jobs: dict[str, tuple[float, tuple[str, ...]]] = {}
    for name in dict.fromkeys(groups):
        try:
            job = repair(bench, name)
            jobs[name] = (job.work_s + cost_of("wrong-part"), job.places)
        except KeyError:
            jobs[name] = (cost_of("wrong-part"), ())

    def seconds(states: int, situation: Situation) -> float:
        mass: dict[str, float] = {}
        for state, name in enumerate(groups):
            if states >> state & 1:
                mass[name] = mass.get(name, 0.0) + weights[state]
        left = whole = sum(mass.values())
        total = 0.0
        for name in sorted(mass, key=lambda one: (-mass[one] / jobs[one][0], one)):
            total += left / whole * reaching_s(bench.vehicle, situation, *jobs[name][1])
            situation = situation.at(*jobs[name][1])
            left -= mass[name]
        return total

    return seconds
