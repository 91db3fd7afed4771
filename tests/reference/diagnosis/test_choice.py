"""The choice of steps against published and computed cases; sources in README.md beside this file."""

import json
import random
from collections.abc import Sequence
from itertools import permutations
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loombench.diagnose.choose import choose, information, question
from loombench.diagnose.ending import in_order
from loombench.diagnose.situation import Situation
from tests.reference.diagnosis.bounds import chain_optimum, walked
from tests.reference.diagnosis.dictionary import SpreadTest, TableTest, believed, expected_cost, optimum
from tests.reference.diagnosis.polybox import PARTS, Polybox, polybox

CASES: dict[str, Any] = json.loads((Path(__file__).parent / "fixtures.json").read_text())


def of_table(table: list[list[int]], costs: list[float]) -> list[TableTest]:
    return [TableTest(f"t{k + 1}", tuple(row[k] for row in table), costs[k]) for k in range(len(costs))]


def chain(costs: list[float]) -> list[TableTest]:
    """A probe between each pair of neighbours: dead from the open on."""
    n = len(costs) + 1
    return [TableTest(f"probe {k}", tuple(int(link >= k) for link in range(n)), costs[k - 1]) for k in range(1, n)]


def test_six_states_after_pattipati_and_alexandridis() -> None:
    case = CASES["pattipati_1990_recalled"]
    tests = of_table(case["D"], case["c"])
    assert optimum(case["p"], tests) == pytest.approx(case["J_opt"], abs=1e-12)
    # Information per cost alone takes t1 and comes to 2.86.
    assert expected_cost(case["p"], tests) == pytest.approx(2.18, abs=1e-9)
    choice = choose(believed(case["p"]), Situation(), tests)
    assert choice.step is not None
    assert choice.step.id in ("t2", "t4")
    assert choice.ranking[0].ahead_s == pytest.approx(2.18, abs=1e-6)


def test_six_states_with_a_fault_known_to_be_there() -> None:
    case = CASES["pattipati_1990_recalled"]
    weights = [0.0, *case["p"][1:]]
    tests = of_table(case["D"][1:], case["c"])
    assert expected_cost([w / sum(weights) for w in weights[1:]], tests) == pytest.approx(2.20, abs=1e-9)


@pytest.mark.parametrize("case", CASES["chain_uniform"], ids=lambda one: one["n"])
def test_a_uniform_chain(case: dict[str, float]) -> None:
    n = int(case["n"])
    weights, costs = [1.0 / n] * n, [1.0] * (n - 1)
    assert chain_optimum(weights, costs) == pytest.approx(case["opt"], abs=1e-9)
    assert walked(weights, costs) == pytest.approx(case["walk"], abs=1e-9)
    assert expected_cost(weights, chain(costs)) == pytest.approx(case["opt"], abs=1e-9)


def test_a_wiring_chain_with_costs() -> None:
    case = CASES["wiring_chain"]
    weights = [w / 100.0 for w in case["weights"]]
    tests = chain(case["probe_costs"])
    assert optimum(weights, tests) == pytest.approx(case["J_opt"], abs=1e-9)
    assert chain_optimum(weights, case["probe_costs"]) == pytest.approx(case["J_opt"], abs=1e-9)
    assert walked(weights, case["probe_costs"]) == pytest.approx(case["walk_from_power"], abs=1e-9)
    cost = expected_cost(weights, tests)
    # Roll-out is stated to come to 8.00, as information per cost does; half-split to 8.65.
    assert case["J_opt"] - 1e-9 <= cost <= case["IG_per_cost"] + 1e-9
    unit = expected_cost(weights, chain([1.0] * len(case["probe_costs"])))
    assert case["unit_cost"]["J_opt"] - 1e-9 <= unit <= case["unit_cost"]["half_split"] + 1e-9


def test_repairs_one_after_the_other_go_by_probability_per_cost() -> None:
    case = CASES["p_over_c"]
    p, c = case["p"], case["C"]

    def cost(order: Sequence[int]) -> float:
        return float(sum(c[one] * (1.0 - sum(p[k] for k in order[:at])) for at, one in enumerate(order)))

    assert cost(in_order(p, c)) == pytest.approx(case["ECR"], abs=1e-9)
    assert min(cost(order) for order in permutations(range(len(p)))) == pytest.approx(case["ECR"], abs=1e-9)


def test_a_test_of_three_outcomes_is_worth_its_cost() -> None:
    """By hand: four alike states; one test of four outcomes for 3, or two halvings of 2 each for 4."""
    weights = [0.25] * 4
    halvings = [TableTest("half", (0, 0, 1, 1), 2.0), TableTest("other", (0, 1, 0, 1), 2.0)]
    assert expected_cost(weights, halvings) == pytest.approx(4.0)
    assert expected_cost(weights, [*halvings, TableTest("all", (0, 1, 2, 3), 3.0)]) == pytest.approx(3.0)
    # 2.5 and, for the half that is not parted, 2: 3.5.
    three = TableTest("three", (0, 1, 2, 2), 2.5)
    assert expected_cost(weights, [*halvings, three]) == pytest.approx(3.5)


def test_a_cover_is_opened_once() -> None:
    """By hand: both tests behind the cover are 10 + 1 + 1; by the one outside they are 6 and 6."""
    weights = [0.25] * 4
    inside = [
        TableTest("in 1", (0, 0, 1, 1), 1.0, place="behind", reach=8.0),
        TableTest("in 2", (0, 1, 0, 1), 1.0, place="behind", reach=8.0),
    ]
    outside = [TableTest("out 1", (0, 0, 1, 1), 6.0), TableTest("out 2", (0, 1, 0, 1), 6.0)]
    assert optimum(weights, [*inside, *outside]) == pytest.approx(10.0)
    assert expected_cost(weights, [*inside, *outside]) == pytest.approx(10.0)


@pytest.fixture(scope="module")
def box() -> Polybox:
    case = CASES["polybox"]
    return polybox(case["inputs"], case["obs"], case["prior"], case["m"])


def probes(box: Polybox) -> list[SpreadTest]:
    found = []
    for name in "XYZ":
        values = sorted({value for of in box.ends[name].values() for value in of})
        rows = tuple(tuple(of.get(value, 0.0) for value in values) for of in box.ends[name].values())
        found.append(SpreadTest(name, rows, 1.0))
    return found


def test_the_polybox_is_as_computed_elsewhere(box: Polybox) -> None:
    case = CASES["polybox"]
    assert box.minimal() == {tuple(one) for one in case["minimal_diagnoses"]}
    assert {part: box.faulty(part) for part in PARTS} == pytest.approx(case["P_faulty"], abs=1e-4)
    assert box.entropy() == pytest.approx(case["entropy"], abs=2e-4)
    after = {probe: box.entropy_after(probe) for probe in "XYZ"}
    assert after == pytest.approx(case["expected_entropy_after"], abs=2e-4)


def test_the_choice_probes_the_polybox_where_most_is_told(box: Polybox) -> None:
    """What each probe tells is what the entropy falls by, and the probe that leaves the least is taken."""
    case, tests = CASES["polybox"], probes(box)
    belief = believed(list(box.weight.values()))
    for test in tests:
        told = information(belief, belief.share, test.outcomes(belief.bench, belief.share, Situation())) / np.log(2.0)
        assert box.entropy() - told == pytest.approx(case["expected_entropy_after"][test.id], abs=1e-3)
    choice = choose(belief, Situation(), tests)
    assert question(belief)[1] == "best-rate"
    assert choice.step is not None
    assert choice.step.id == case["best_probe"]


@pytest.mark.parametrize("prior", [0.0025, 0.005, 0.02, 0.04, 0.1])
def test_equal_priors_may_be_halved_or_doubled_without_another_probe(prior: float) -> None:
    """Crude probabilities: de Kleer, Artificial Intelligence 45 (1990)."""
    case = CASES["polybox"]
    other = polybox(case["inputs"], case["obs"], prior, case["m"])
    step = choose(believed(list(other.weight.values())), Situation(), probes(other)).step
    assert step is not None
    assert step.id == case["best_probe"]


def test_random_tables_come_near_the_optimum_and_never_below() -> None:
    ratios = []
    for seed in range(50):
        drawn = random.Random(seed)
        raw = [drawn.random() ** drawn.choice((1, 2, 4)) + 1e-3 for _ in range(8)]
        weights = [w / sum(raw) for w in raw]
        tests: list[TableTest] = []
        while not tests or len({tuple(test.ends[k] for test in tests) for k in range(8)}) < 8:
            costs = [float(drawn.choice((1, 1, 2, 3, 5, 10))) for _ in range(10)]
            tests = [TableTest(f"t{k}", tuple(drawn.randrange(2) for _ in range(8)), costs[k]) for k in range(10)]
            tests = [test for test in tests if max(test.ends) > 0]
        ratios.append(expected_cost(weights, tests) / optimum(weights, tests))
    assert min(ratios) >= 1.0 - 1e-9
    assert np.mean(ratios) <= 1.01
    assert np.quantile(ratios, 0.95) <= 1.05
