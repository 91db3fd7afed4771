"""A forecast that grows lets go of what was used longest ago, and gives the same when that is asked for again."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf
from loombench.diagnose.forecast import Forecast, Readings, Sights, blank_sights
from loombench.diagnose.growing import GrowingForecast
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.tabled import TabledForecast
from loombench.vehicle.condition import Condition, Setup
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


class Mistaken:
    """A forecast that says a load has half its volts until it is asked for its last row; then that is taken back."""

    def __init__(self, rows: int) -> None:
        self.found = blank_sights(rows, ("E1",), (), ())
        self.asked: list[list[int]] = []
        self.taken = 0

    def readings(self, setups: Sequence[Setup], needed: npt.NDArray[np.intp] | None = None) -> Readings:
        raise NotImplementedError

    def sights(self, condition: Condition, needed: npt.NDArray[np.intp] | None = None) -> Sights:  # noqa: ARG002
        rows = list(range(len(self.found.share))) if needed is None else needed.tolist()
        self.asked.append(rows)
        if len(self.found.share) - 1 in rows:
            self.taken = 1
        self.found.share[rows] = 1.0 if self.taken else 0.5
        return self.found

    def taken_back(self) -> int:
        return self.taken

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:  # noqa: ARG002
        return np.zeros(len(self.found.share), dtype=np.bool_)


def test_what_was_seen_last_is_not_copied_again_unless_it_was_taken_back() -> None:
    batches: list[Mistaken] = []

    def make(rows: Sequence[Faults]) -> Forecast:
        batches.append(Mistaken(len(rows)))
        return batches[-1]

    grow = GrowingForecast(make)
    one, two, three = ((Fault("open", name),) for name in ("W1", "W2", "W3"))
    grow.of([(), one, two])
    some = grow.of([(), one, three, two])
    first, other = batches
    lit = Condition(())

    def shares(*rows: int) -> list[float]:
        found: list[float] = some.sights(lit, np.array(rows)).share[list(rows), 0].tolist()
        return found

    assert shares(0, 1) == [0.5, 0.5]
    assert shares(1, 0) == [0.5, 0.5]
    assert first.asked == [[0, 1]]
    assert other.asked == []
    assert shares(1, 3) == [1.0, 1.0], "row 3 is what the first batch takes back by"
    assert first.asked[1:] == [[2], [1, 2]]
    assert shares(0, 1, 3) == [1.0, 1.0, 1.0]
