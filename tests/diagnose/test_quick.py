"""What a step is chosen without: rows dear to forecast, while few believe in them and something else is left."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pytest

from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.observation import LoadSeen
from loombench.diagnose.quick import FEW, quick
from loombench.diagnose.step import BESIDE, matters
from loombench.vehicle.condition import Condition
from tests.diagnose.fakes import ON, Table, chain


@dataclass(frozen=True, eq=False)
class _Dear(Table):
    rows: tuple[int, ...] = ()

    def taken_back(self) -> int:
        return 0

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:
        found = super().dear(condition)
        found[list(self.rows)] = True
        return found


def _bench(weights: tuple[float, ...], dear: tuple[int, ...]) -> Bench:
    bench = chain(len(weights), weights)
    table = bench.forecast
    assert isinstance(table, Table)
    return replace(bench, forecast=_Dear(table.volts, table.share, table.blown, dear))


@pytest.mark.parametrize(("weight", "left_out"), [(FEW, True), (3.0, False)])
def test_what_is_dear_is_left_out_while_it_weighs_little(weight: float, left_out: bool) -> None:
    bench = _bench((1.0, 1.0, weight), (3,))
    belief = update(Belief(bench), [LoadSeen("E1", "dead", ON, True)])
    found = quick(belief, belief.share, ())
    third = bench.hypotheses.low == 3
    assert belief.share[third].sum() > 0.0
    assert (found[third] == 0.0).all() == left_out
    assert (found[~third] == belief.share[~third]).all()


def test_without_a_complaint_nothing_is_left_out() -> None:
    belief = Belief(_bench((1.0, 1.0, 0.01), (3,)))
    assert (quick(belief, belief.share, ()) == belief.share).all()


def test_the_least_likely_that_together_are_few_do_not_matter() -> None:
    share = np.concatenate(([0.6, 0.4 - BESIDE / 2.0], np.full(400, BESIDE / 800.0)))
    found = matters(share)
    assert found[:2].all()
    assert not found.all()
    assert share[~found].sum() <= BESIDE
    assert matters(np.full(4, 0.25)).all()
