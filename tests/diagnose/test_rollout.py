"""The outlook of a step against sums worked out by hand. Costs are seconds, repairs are left out."""

import random

import numpy as np
import numpy.typing as npt
import pytest

from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import SOUND, Hypotheses, Hypothesis
from loombench.diagnose.rollout import Rollout
from loombench.diagnose.rows import rows_of
from loombench.diagnose.situation import Situation
from loombench.vehicle.nets import nets
from tests.diagnose.fakes import Table, bare_vehicle
from tests.reference.diagnosis.dictionary import TableTest, optimum

FloatArray = npt.NDArray[np.float64]


def outlook(weight: list[float], tables: list[list[list[float]]], costs: list[float]) -> dict[str, float]:
    """Expected seconds by the name of the first step; each row is a suspect of its own."""
    rollout = rolled(weight, tables, costs)
    return {rollout.rows.steps[column].id: value for column, value in rollout.values(Situation())}


def rolled(weight: list[float], tables: list[list[list[float]]], costs: list[float]) -> Rollout:
    vehicle = bare_vehicle()
    none = Hypotheses((Hypothesis(SOUND, None, 0, 0, 1.0),), ((),))
    bench = Bench(vehicle, nets(vehicle), none, Table({}, {}, {}))
    steps = [TableTest(f"t{k}", (), cost) for k, cost in enumerate(costs)]
    group = np.arange(len(weight), dtype=np.intp)
    rows = rows_of(np.array(weight), group, [np.array(one) for one in tables], steps, costs)
    return Rollout(bench, rows, lambda left, share, now: 0.0)  # noqa: ARG005


def drawn(seed: int, rows: int, steps: int) -> tuple[list[float], list[TableTest]]:
    """Weights and tests of two outcomes that tell all rows apart."""
    draw = random.Random(f"outlook {seed}")
    raw = [draw.random() ** 2 + 1e-2 for _ in range(rows)]
    tests: list[TableTest] = []
    while len({tuple(test.ends[k] for test in tests) for k in range(rows)}) < rows:
        tests = [
            TableTest(f"t{k}", tuple(draw.randrange(2) for _ in range(rows)), float(draw.choice((1, 2, 5))))
            for k in range(steps)
        ]
    return [one / sum(raw) for one in raw], tests


def posed(weight: list[float], tests: list[TableTest]) -> Rollout:
    sharp = [[[float(end == way) for way in range(2)] for end in test.ends] for test in tests]
    return rolled(weight, sharp, [test.cost for test in tests])


@pytest.mark.parametrize("seed", range(12))
def test_where_nothing_is_left_to_the_roll_out_the_best_plan_is_found(seed: int) -> None:
    """Against exact dynamic programming, which shares no code with it."""
    weight, tests = drawn(seed, 9, 8)
    rollout = posed(weight, tests)
    least_s = min(value for _, value in rollout.values(Situation(), work=10**9))
    assert not rollout.cut
    assert least_s == pytest.approx(optimum(weight, tests), rel=1e-9)


@pytest.mark.parametrize("work", [0, 20_000])
def test_where_the_work_ends_it_is_said_and_a_plan_stands_that_costs_what_is_said(work: int) -> None:
    for seed in range(4):
        weight, tests = drawn(seed, 14, 10)
        rollout, whole = posed(weight, tests), posed(weight, tests)
        short_s = dict(rollout.values(Situation(), work=work))
        long_s = dict(whole.values(Situation(), work=10**9))
        assert rollout.cut
        assert min(long_s.values()) <= min(short_s.values()) + 1e-9
        # Information per cost followed to the end is what the roll-out alone says: no deeper search is above it.
        assert all(long_s[column] <= value + 1e-9 for column, value in short_s.items())


def test_the_work_of_a_search_is_bounded() -> None:
    weight, tests = drawn(1, 24, 14)
    rollout = posed(weight, tests)
    rollout.values(Situation(), work=50_000)
    # What is begun is counted before it is done: at most one more set is looked into than the work allows.
    assert -(1000 + 24 * 14) <= rollout.work <= 0


def test_a_chain_of_two_steps_costs_what_its_branches_cost() -> None:
    first = [[1.0, 0.0], [0.0, 1.0], [0.0, 1.0]]
    second = [[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]]
    # Half the time the first is enough; the other way round a quarter of the time.
    assert outlook([0.5, 0.25, 0.25], [first, second], [10.0, 20.0]) == pytest.approx({"t0": 20.0, "t1": 27.5})


def test_a_reading_that_may_fall_on_either_side_leaves_its_suspect_in_both_parts() -> None:
    soft = [[1.0, 0.0], [0.5, 0.5], [0.0, 1.0]]
    hard = [[1.0, 0.0], [0.0, 1.0], [1.0, 0.0]]
    found = outlook([1 / 3, 1 / 3, 1 / 3], [soft, hard], [10.0, 20.0])
    # After the soft one two are left either way, which the hard one parts; after the hard one alone is the middle
    # suspect, and the soft one parts the two others.
    assert found == pytest.approx({"t0": 30.0, "t1": 20.0 + 10.0 * 2 / 3})


def test_a_wrong_reading_now_and_then_is_no_part_of_the_outlook() -> None:
    blurred = [[0.98, 0.02], [0.02, 0.98]]
    assert outlook([0.5, 0.5], [blurred], [10.0]) == pytest.approx({"t0": 10.0})


def test_suspects_that_no_step_parts_are_one_row_more_only_if_they_are_put_right_otherwise() -> None:
    rows = rows_of(
        np.array([0.2, 0.3, 0.5]),
        np.array([0, 0, 1]),
        [np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]])],
        [TableTest("t0", (), 1.0)],
        [1.0],
    )
    assert rows.group.tolist() == [0, 1]
    assert rows.weight.tolist() == pytest.approx([0.5, 0.5])
