"""The rivals of the choice against figures computed elsewhere, and what the benchmark says of planted results."""

import json
from pathlib import Path

import pytest

from benchmarks.dictionaries import Dictionary, last_reach, offered, random_dictionary
from benchmarks.optimality import Result, figures_of, interval, losses_of, measured, missed
from benchmarks.tablerivals import RIVALS, rival
from loombench.diagnose.situation import Situation
from tests.reference.diagnosis.dictionary import TableTest, costs_of, table_of
from tests.reference.diagnosis.table import Table, expected

CASES = json.loads((Path(__file__).parent / "fixtures.json").read_text())


@pytest.fixture(scope="module")
def chain() -> Dictionary:
    case = CASES["wiring_chain"]
    weights, count = [one / 100.0 for one in case["weights"]], len(case["weights"])
    tests = tuple(
        TableTest(f"probe {k}", tuple(int(link >= k) for link in range(count)), cost)
        for k, cost in enumerate(case["probe_costs"], start=1)
    )
    order = tuple(range(len(tests)))
    table = table_of(weights, tests)
    return Dictionary("chain", "chain", table, tests, costs_of(weights, tests), order, order[::-1])


@pytest.mark.parametrize(
    ("name", "figure"),
    [
        ("information", "IG_per_cost"),
        ("cheapest", "cheapest_first"),
        ("walk_from_power", "walk_from_power"),
        ("walk_from_load", "walk_from_ground"),
    ],
)
def test_rivals_cost_on_a_wiring_chain_what_is_stated(chain: Dictionary, name: str, figure: str) -> None:
    cost = expected(chain.table, chain.costs, rival(name, chain))
    assert cost == pytest.approx(CASES["wiring_chain"][figure], abs=1e-9)


def test_half_split_takes_the_cheaper_of_two_alike(chain: Dictionary) -> None:
    """The figure stated takes the later one of two points that part alike, which costs more."""
    cost = expected(chain.table, chain.costs, rival("half_by_share", chain))
    assert CASES["wiring_chain"]["J_opt"] < cost < CASES["wiring_chain"]["half_split_prob"]


def test_information_per_cost_alone_is_caught_by_the_six_states() -> None:
    case = CASES["pattipati_1990_recalled"]
    tests = tuple(TableTest(f"t{k + 1}", tuple(row[k] for row in case["D"]), 1.0) for k in range(5))
    order = tuple(range(5))
    costs = costs_of(case["p"], tests)
    six = Dictionary("six", "six", table_of(case["p"], tests), tests, costs, order, order)
    assert expected(six.table, costs, rival("information", six)) == pytest.approx(case["greedy_IG"], abs=1e-9)
    result = measured(six, 10.0)
    assert result.closed
    assert result.ratio == pytest.approx(1.0, abs=1e-9)


def test_all_rivals_end_where_the_optimum_ends() -> None:
    for seed in range(5):
        one = random_dictionary(seed)
        result = measured(one, 10.0)
        assert set(result.rivals) == set(RIVALS)
        assert min(*result.rivals.values(), result.own) >= result.optimum - 1e-9


def test_the_dictionaries_of_a_seed_are_always_the_same_and_of_five_kinds() -> None:
    one, again = random_dictionary(7), random_dictionary(7)
    assert (one.tests, one.table.weight) == (again.tests, again.table.weight)
    assert len({random_dictionary(seed).kind for seed in range(5)}) == 5


def planted(case: str, kind: str, own: float, closed: bool = True) -> Result:
    rivals = dict.fromkeys(RIVALS, 1.02)
    return Result(case, kind, 8, 8, 10, True, closed, 1.0, own, 0, rivals if closed else {}, 1)


def test_a_target_missed_and_a_cost_below_the_optimum_are_seen() -> None:
    good = [planted(f"random {k}", "drawn", 1.0) for k in range(20)] + [planted("van, dead", "vehicle", 1.001)]
    assert not missed(figures_of(good))
    assert missed(figures_of([*good, planted("car, dead", "vehicle", 1.2)]))
    assert missed(figures_of([*good, planted("random 20", "drawn", 1.9)]))
    assert missed(figures_of([*good, planted("random 20", "drawn", 0.99)]))
    # What did not close is no target.
    figures = figures_of([*good, planted("bus, dead", "vehicle", 3.0, closed=False)])
    assert not missed(figures)
    assert (figures["vehicles"], figures["exact_closed"], figures["bounded_cases"]) == (2, 1, 1)


def test_losses_are_listed_with_who_was_better() -> None:
    results = [planted("random 0", "drawn", 1.0), planted("random 1", "drawn", 1.05)]
    (only,) = losses_of(results)
    assert only["case"] == "random 1"
    assert only["beaten_by"] == sorted(RIVALS)
    assert figures_of(results)["beaten_by_random_cases"] == 1


def test_the_interval_holds_the_mean() -> None:
    low, high = interval([1.0, 1.0, 1.1, 1.3])
    assert low < 1.1 < high
    assert interval([1.5] * 8) == (1.5, 1.5)


def test_a_vehicle_poses_as_a_dictionary_of_the_steps_it_has() -> None:
    """What is on offer after the complaint was seen, with the costs as they are."""
    (one,) = offered("examples/cases/2-wiper.circuit", 1, 1)
    assert sum(one.weights) == pytest.approx(1.0)
    assert list(one.weights) == sorted(one.weights, reverse=True)
    dictionary = one.dictionary(99)
    assert dictionary.whole
    assert not {test.kind for test in dictionary.tests} & {"verify", "mend"}
    for number, test in enumerate(dictionary.tests):
        assert dictionary.costs.cost(number, 0) == pytest.approx(test.cost_s(one.bench, one.start))
        assert dictionary.table.least[number] <= dictionary.costs.cost(number, 0)
    result = measured(dictionary, 20.0)
    assert result.closed
    assert result.ratio >= 1.0 - 1e-9
    # No repair costs less to come to than none, and what is open is not opened again.
    reach = last_reach(one.bench, dictionary.groups, one.weights)
    closed, opened = Situation(), Situation().at(*one.bench.vehicle.places)
    assert reach(dictionary.table.everything, closed) >= reach(dictionary.table.everything, opened) >= 0.0


def test_a_table_of_groups_ends_where_one_is_left() -> None:
    table = Table((0.5, 0.3, 0.2), (0, 0, 1), ((0, 1, 1), (0, 0, 1)), (1.0, 1.0))
    assert table.useful(0b011) == []
    assert table.useful(0b110) == [1]
    assert table.useful(0b111) == [0, 1]
