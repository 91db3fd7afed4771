"""A forecast that grows lets go of what was used longest ago, and gives the same when that is asked for again."""

import numpy as np

from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf
from loombench.diagnose.forecast import Forecast
from loombench.diagnose.growing import GrowingForecast
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.tabled import TabledForecast
from loombench.vehicle.condition import Condition
from tests.diagnose.vehicles import RELAY, vehicle

Faults = tuple[Fault, ...]


def test_old_batches_go_and_come_back_alike() -> None:
    car = vehicle(RELAY)
    lowering, singles = LoweringOf(car), hypotheses(car, single_faults(car)).faults
    made: list[int] = []

    def make(rows: list[Faults]) -> Forecast:
        made.append(len(rows))
        return TabledForecast(car, rows, lowering)

    grow = GrowingForecast(make, most_rows=50)  # type: ignore[arg-type]
    first = grow.of(singles)
    pairs = [tuple(sorted((*singles[1], *one))) for one in singles[2:62]]
    some, others = [(), *pairs[:30]], [(), *pairs[30:]]
    before = grow.of(some)
    shares = before.sights(Condition(())).share.copy()
    grow.of(others)
    assert made == [len(singles), 31, 31]
    again = grow.of(some)
    assert made == [len(singles), 31, 31, 31], "those of the first batch of pairs had gone"
    np.testing.assert_allclose(again.sights(Condition(())).share, shares, atol=1e-9)
    np.testing.assert_allclose(before.sights(Condition(())).share, shares, atol=0)
    assert grow.of(singles) is first
    mixed = grow.of([(), singles[3], pairs[0], pairs[31]]).sights(Condition(()))
    assert mixed.share.shape[0] == 4
    np.testing.assert_allclose(mixed.share[2], shares[1], atol=1e-9)
