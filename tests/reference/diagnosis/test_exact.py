"""The judge of the choice is itself held against listing all plans, an interval scheme, and figures worked by hand."""

import random

import pytest

from loombench.diagnose.situation import Situation
from tests.reference.diagnosis.bounds import chain_optimum, cheapest_words, code_length
from tests.reference.diagnosis.dictionary import Standings, TableTest, bench_of, costs_of, members_of, optimum, table_of
from tests.reference.diagnosis.exact import Exact, NotClosedError
from tests.reference.diagnosis.table import Plain, Table, every_plan, expected


def drawn(seed: int, states: int, tests: int, ways: int, places: int) -> tuple[list[float], list[TableTest]]:
    draw = random.Random(seed)
    raw = [draw.random() ** 2 + 1e-3 for _ in range(states)]
    made = [
        TableTest(
            f"t{k}",
            (0, 1, *(draw.randrange(ways) for _ in range(states - 2))),
            float(draw.choice((1, 2, 5))),
            place=f"place {draw.randrange(places)}" if places else "",
            reach=float(draw.choice((2, 6))),
        )
        for k in range(tests)
    ]
    return [one / sum(raw) for one in raw], [
        TableTest(one.id, one.ends, one.cost, place=one.place, reach=one.reach if one.place else 0.0) for one in made
    ]


@pytest.mark.parametrize("seed", range(12))
def test_branch_and_bound_is_the_best_of_all_plans(seed: int) -> None:
    weights, tests = drawn(seed, 5, 5, ways=2 + seed % 2, places=(0, 2)[seed % 4 // 2])
    table, costs = table_of(weights, tests), costs_of(weights, tests)
    assert Exact(table, costs).solve() == pytest.approx(every_plan(table, costs), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_states_put_right_alike_are_not_parted_and_an_end_is_paid_for(seed: int) -> None:
    weights, tests = drawn(seed, 5, 4, ways=3, places=2)
    table = Table(
        tuple(weights), (0, 0, 1, 1, 2), tuple(test.ends for test in tests), tuple(test.cost for test in tests)
    )

    def ends(states: int, situation: Situation) -> float:
        return 3.0 * states.bit_count() if "place 0" not in situation.reached else 0.0

    costs = Standings(bench_of(members_of(weights)), tests, Situation(), ends)
    assert Exact(table, costs).solve() == pytest.approx(every_plan(table, costs), abs=1e-9)


def test_the_bound_is_below_the_optimum_and_something() -> None:
    for seed in range(10):
        weights, tests = drawn(seed, 8, 10, ways=2 + seed % 2, places=0)
        table = table_of(weights, tests)
        solver = Exact(table, Plain(table.least))
        assert 0.0 < solver.bound(table.everything) <= solver.solve() + 1e-9


def test_the_way_back_to_the_optimum_costs_the_optimum() -> None:
    """The first tests that the judge names, followed to the end, cost what it says."""
    weights, tests = drawn(3, 7, 8, ways=2, places=0)
    table = table_of(weights, tests)

    def best(alive: tuple[int, ...], standing: int) -> int:  # noqa: ARG001
        total = sum(weights[k] for k in alive)
        left = tuple(weights[k] / total for k in alive)
        some = Table(left, alive, tuple(tuple(ends[k] for k in alive) for ends in table.ends), table.least)
        solver = Exact(some, Plain(some.least))
        solver.solve()
        assert solver.first is not None
        return solver.first

    assert expected(table, Plain(table.least), best) == pytest.approx(optimum(weights, tests), abs=1e-9)


def test_no_more_seconds_are_taken_than_given() -> None:
    weights, tests = drawn(1, 24, 24, ways=2, places=4)
    with pytest.raises(NotClosedError):
        Exact(table_of(weights, tests), costs_of(weights, tests), seconds=0.0).solve()


def test_a_code_by_hand() -> None:
    # 0.4, 0.3, 0.2, 0.1: words of 1, 2, 3, 3 letters; of three letters one state less is joined first.
    assert code_length([0.4, 0.3, 0.2, 0.1]) == pytest.approx(1.9)
    assert code_length([0.4, 0.3, 0.2, 0.1], ways=3) == pytest.approx(1.3)
    # 1.9 tests of 1, 4, 9: the first, and 0.9 of the second.
    assert cheapest_words([0.4, 0.3, 0.2, 0.1], [9.0, 1.0, 4.0], 2) == pytest.approx(1.0 + 0.9 * 4.0)


def test_an_interval_scheme_agrees_on_chains() -> None:
    draw = random.Random(5)
    for count in (2, 5, 9):
        raw = [draw.random() + 0.01 for _ in range(count)]
        weights = [one / sum(raw) for one in raw]
        costs = [draw.choice((1.0, 3.0, 7.0)) for _ in range(count - 1)]
        tests = [
            TableTest(f"probe {k}", tuple(int(link >= k) for link in range(count)), costs[k - 1])
            for k in range(1, count)
        ]
        assert optimum(weights, tests) == pytest.approx(chain_optimum(weights, costs), abs=1e-9)
