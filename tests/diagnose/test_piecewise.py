"""A forecast asked in pieces says the same, asks between any two of them, and keeps what was done when it is left."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pytest

from loombench.circuit.fault import Fault
from loombench.diagnose.forecast import Forecast, Readings, Sights
from loombench.diagnose.growing import GrowingForecast
from loombench.diagnose.piecewise import PAIRS_AT_ONCE, PiecewiseForecast, in_pieces, piecewise
from loombench.diagnose.room import Room
from loombench.vehicle.condition import Condition, Setup
from tests.diagnose.fakes import ON, at, chain

BENCH = chain(20)
ROWS = len(BENCH.hypotheses.faults)
IntArray = npt.NDArray[np.intp]


class Counted:
    """A forecast that keeps which rows it was asked for, question by question."""

    def __init__(self, forecast: Forecast) -> None:
        self.forecast, self.asked = forecast, list[tuple[int, ...]]()

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        self.asked.append(tuple(() if needed is None else needed.tolist()))
        return self.forecast.readings(setups, needed)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        self.asked.append(tuple(() if needed is None else needed.tolist()))
        return self.forecast.sights(condition, needed)

    def taken_back(self) -> int:
        return 0

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:
        return self.forecast.dear(condition)


class LeftError(Exception):
    pass


def quiet(condition: Condition, done: int, of: int) -> None:
    pass


@pytest.mark.parametrize("needed", [None, np.arange(1, ROWS, 2)])
def test_it_says_the_same(needed: IntArray | None) -> None:
    pieces = PiecewiseForecast(BENCH.forecast, ROWS, quiet, 4)
    setups = (at("P3"), at("P7"))
    one, other = pieces.readings(setups, needed), BENCH.forecast.readings(setups, needed)
    np.testing.assert_array_equal(one.low, other.low)
    np.testing.assert_array_equal(one.high, other.high)
    np.testing.assert_array_equal(pieces.sights(ON, needed).share, BENCH.forecast.sights(ON, needed).share)


def test_each_row_of_a_state_is_in_one_piece_and_no_piece_is_larger_than_asked() -> None:
    counted = Counted(BENCH.forecast)
    told: list[tuple[int, int]] = []
    pieces = PiecewiseForecast(counted, ROWS, lambda _, done, of: told.append((done, of)), 6)
    pieces.readings((at("P3"),), np.arange(10))
    assert counted.asked == [(0, 1, 2, 3, 4, 5), (6, 7, 8, 9), tuple(range(10))]
    assert told == [(0, 10), (6, 10), (ROWS, ROWS)]
    counted.asked.clear()
    # Another reading in the same state has only those to follow that were not.
    pieces.readings((at("P4"),), np.arange(12))
    assert counted.asked == [(10, 11), tuple(range(12))]


def test_what_was_done_before_it_was_left_is_kept_behind_it() -> None:
    counted = Counted(BENCH.forecast)

    def leave(condition: Condition, done: int, of: int) -> None:  # noqa: ARG001
        if done >= 8:
            raise LeftError

    with pytest.raises(LeftError):
        PiecewiseForecast(counted, ROWS, leave, 4).sights(ON)
    assert counted.asked == [(0, 1, 2, 3), (4, 5, 6, 7)]


def test_forecasts_for_two_faults_are_asked_in_smaller_pieces() -> None:
    made: list[Counted] = []

    def make(rows: Sequence[tuple[Fault, ...]]) -> Forecast:  # noqa: ARG001
        made.append(Counted(BENCH.forecast))
        return made[-1]

    bench = in_pieces(chain(20), quiet)
    assert bench.grow is None
    grow = GrowingForecast(make)
    grown = in_pieces(type(BENCH)(BENCH.vehicle, BENCH.nets, BENCH.hypotheses, BENCH.forecast, grow=grow), quiet).grow
    assert grown is not None
    grown.of(BENCH.hypotheses.faults).sights(ON)
    assert max(len(some) for some in made[0].asked) == PAIRS_AT_ONCE


def test_a_bench_in_pieces_is_not_cut_again_unless_that_is_asked_for() -> None:
    once = piecewise(BENCH, quiet)
    assert piecewise(once, quiet) is once
    assert in_pieces(once, quiet).forecast is not once.forecast


def test_a_state_that_was_let_go_is_gone_through_in_pieces_again() -> None:
    counted, room = Counted(BENCH.forecast), Room()
    pieces = PiecewiseForecast(counted, ROWS, quiet, 4, room)
    pieces.readings((at("P3"),))
    counted.asked.clear()
    pieces.readings((at("P7"),))
    assert len(counted.asked) == 1, "what is known is asked for at once"
    room.dropped += 1
    counted.asked.clear()
    pieces.readings((at("P3"),))
    assert max(map(len, counted.asked)) == 4
