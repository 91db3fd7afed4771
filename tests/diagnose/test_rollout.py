"""The outlook of a step against sums worked out by hand. Costs are seconds, repairs are left out."""

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
from tests.reference.diagnosis.dictionary import TableTest

FloatArray = npt.NDArray[np.float64]


def outlook(weight: list[float], tables: list[list[list[float]]], costs: list[float]) -> dict[str, float]:
    """Expected seconds by the name of the first step; each row is a suspect of its own."""
    vehicle = bare_vehicle()
    none = Hypotheses((Hypothesis(SOUND, None, 0, 0, 1.0),), ((),))
    bench = Bench(vehicle, nets(vehicle), none, Table({}, {}, {}))
    steps = [TableTest(f"t{k}", (), cost) for k, cost in enumerate(costs)]
    group = np.arange(len(weight), dtype=np.intp)
    rows = rows_of(np.array(weight), group, [np.array(one) for one in tables], steps, costs)
    found = Rollout(bench, rows, lambda left, share, now: 0.0).values(Situation())  # noqa: ARG005
    return {rows.steps[column].id: value for column, value in found}


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
