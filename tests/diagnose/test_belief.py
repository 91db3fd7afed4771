import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief, contradicted, spoken_for, strikes, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import Forecast, Readings, Sights
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.observation import LoadSeen, MeterRead, Observation
from loombench.diagnose.verdict import judge
from loombench.diagnose.weighing import MARGIN
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.nets import nets
from tests.diagnose import oracle
from tests.diagnose.fakes import ON, Table, at, bare_vehicle, chain


def resistive() -> Bench:
    """Four rows, two of which are the ends of one cell of resistance."""
    rows = ((), (Fault("open", "A"),), (Fault("resistance", "B", "", 0.5),), (Fault("resistance", "B", "", 2.0),))
    members = (
        Hypothesis("A", rows[1][0], 1, 1, 3.0),
        Hypothesis("B", rows[2][0], 2, 3, 2.0),
        Hypothesis(SOUND, None, 0, 0, 0.5),
        Hypothesis(UNEXPLAINED, None, 0, 0, 0.5),
    )
    table = Table({"P": [12.3, 0.0, 10.5, 7.0], "Q": [12.4, 12.4, 11.9, 11.0]}, {"E": [0.97, 0.0, 0.85, 0.55]}, {})
    vehicle = bare_vehicle()
    return Bench(vehicle, nets(vehicle), Hypotheses(members, rows), table)


observations = st.lists(
    st.one_of(
        st.builds(MeterRead, st.sampled_from([at("P"), at("Q")]), st.floats(-1.0, 14.0)),
        st.builds(LoadSeen, st.just("E"), st.sampled_from(["dead", "dim", "works"]), st.just(ON), st.booleans()),
    ),
    max_size=5,
)


@settings(max_examples=60, deadline=None)
@given(observations)
def test_agrees_with_enumeration_of_all_combinations(seen: list[Observation]) -> None:
    bench = resistive()
    low = {"P": (0.0, 7.0, 12.3, 0.0), "Q": (12.4, 11.0, 12.4, 0.0)}
    high = {"P": (0.0, 10.5, 12.3, 0.0), "Q": (12.4, 11.9, 12.4, 0.0)}
    told: list[oracle.Read | oracle.Saw] = []
    for one in seen:
        if isinstance(one, MeterRead):
            point = str(one.setup.red)
            told.append(oracle.Read(one.value, low[point], high[point]))
        elif isinstance(one, LoadSeen):
            # The cell's two ends are seen alike often.
            told.append(oracle.Saw(one.seen, (0.0, math.nan, 1.0, 0.0), one.verified))
    original = oracle.word_chance

    def chance(word: str, share: float) -> float:
        if math.isnan(share):
            return (original(word, 0.85 / 0.97) + original(word, 0.55 / 0.97)) / 2.0
        return original(word, share)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(oracle, "word_chance", chance)
        expected = oracle.posterior((3.0, 2.0, 0.5, 0.5), told, 3, 12.0)
    np.testing.assert_allclose(update(Belief(bench), seen, np.inf).share, expected, rtol=2e-4, atol=1e-9)
    # What is left out is less likely than the best by the margin at least.
    np.testing.assert_allclose(update(Belief(bench), seen).share, expected, rtol=2e-4, atol=np.exp(-MARGIN))


def test_what_fell_behind_is_weighed_again_where_the_best_falls_back_too() -> None:
    bench = chain(6)
    seen = [LoadSeen("E1", "dead", ON, True), MeterRead(at("P3"), 11.9), MeterRead(at("P3"), 11.95)]
    odd = [MeterRead(at("P5"), volts) for volts in (11.9, 11.95, 12.0)]
    whole, lazy = update(Belief(bench), [*seen, *odd], np.inf), update(Belief(bench), [*seen, *odd])
    behind = whole.total < whole.total.max() - MARGIN
    np.testing.assert_allclose(lazy.total[~behind], whole.total[~behind], rtol=1e-12)
    assert behind.any()
    assert (lazy.total[behind] < lazy.total.max() - MARGIN).all()


class _Counting:
    """Which rows a forecast is asked for."""

    def __init__(self, inner: Forecast) -> None:
        self.inner = inner
        self.asked: list[set[int] | None] = []

    def readings(self, setups: Sequence[Setup], needed: npt.NDArray[np.intp] | None = None) -> Readings:
        self.asked.append(None if needed is None else {int(one) for one in needed})
        return self.inner.readings(setups, needed)

    def sights(self, condition: Condition, needed: npt.NDArray[np.intp] | None = None) -> Sights:
        return self.inner.sights(condition, needed)

    def taken_back(self) -> int:
        return 0

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:
        return self.inner.dear(condition)


def test_what_is_out_long_before_is_not_computed_any_more() -> None:
    bench = chain(6)
    counting = _Counting(bench.forecast)
    bench = replace(bench, forecast=counting)
    first = [LoadSeen("E1", "dead", ON, True), *(MeterRead(at("P2"), 12.0 - k / 100.0) for k in range(3))]
    update(Belief(bench), [*first, MeterRead(at("P4"), 0.0), MeterRead(at("P4"), 0.01)])
    counted = [len(asked) for asked in counting.asked if asked is not None]
    assert len(counted) == 5
    assert counted[-1] < counted[0]


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 4), st.floats(0.0, 13.0)), max_size=4))
def test_the_order_of_observations_does_not_matter(readings: list[tuple[int, float]]) -> None:
    bench = chain(5)
    seen = [MeterRead(at(f"P{k}"), value) for k, value in readings]
    first = update(Belief(bench), seen).share
    for order in permutations(seen):
        belief = Belief(bench)
        for one in order:
            belief = update(belief, [one])
        np.testing.assert_allclose(belief.share, first, rtol=1e-9)


def test_readings_narrow_a_chain_to_one_link() -> None:
    belief = update(Belief(chain(6)), [LoadSeen("E1", "dead", ON, True), MeterRead(at("P3"), 11.9)])
    assert belief.group_share[:3].sum() < 0.01
    belief = update(belief, [MeterRead(at("P4"), 0.02)])
    assert belief.hypotheses.groups[belief.best()] == "L3"


def test_one_wrong_reading_is_outvoted_by_two_right_ones() -> None:
    right = [MeterRead(at("P2"), 12.0), MeterRead(at("P3"), 0.0), MeterRead(at("P2"), 12.05)]
    belief = update(Belief(chain(5)), [LoadSeen("E1", "dead", ON, True), *right, MeterRead(at("P4"), 12.0)])
    assert belief.hypotheses.groups[belief.best()] == "L2"


def test_readings_that_fit_nothing_are_said_to_fit_nothing() -> None:
    odd = [MeterRead(at(f"P{k}"), value) for k, value in ((1, 5.0), (2, 7.1), (3, 3.3), (4, 8.2))]
    belief = update(Belief(chain(5)), odd)
    assert belief.unexplained > 0.9
    even = [MeterRead(at(f"P{k}"), 12.0 if k < 3 else 0.0) for k in range(1, 5)]
    assert update(Belief(chain(5)), even).unexplained < 0.01


def test_a_verified_sight_counts_as_two_readings_and_a_told_one_as_one() -> None:
    bench = chain(3)
    sound = bench.hypotheses.groups.index(SOUND)
    for verified, count in ((True, 2), (False, 1)):
        belief = update(Belief(bench), [LoadSeen("E1", "dead", ON, verified)])
        assert contradicted(belief)[0].tolist() == [False, False, False, True, False]
        assert strikes(belief)[sound] == count


def test_nothing_is_ever_impossible() -> None:
    seen = [MeterRead(at("P1"), 12.0), LoadSeen("E1", "works", ON, True), LoadSeen("E1", "dead", ON, True)]
    assert (update(Belief(chain(4)), seen).share > 0.0).all()


def test_repaired_suspects_are_expected_to_be_sound_afterwards() -> None:
    bench = chain(3)
    cured = update(
        Belief(bench), [LoadSeen("E1", "dead", ON, True), LoadSeen("E1", "works", ON, True, repaired=("L1",))]
    )
    assert cured.hypotheses.groups[cured.best()] == "L1"
    assert cured.group_share[cured.best()] > 0.99
    still = update(
        Belief(bench), [LoadSeen("E1", "dead", ON, True), LoadSeen("E1", "dead", ON, True, repaired=("L1",))]
    )
    assert still.group_share[still.hypotheses.groups.index("L1")] < 1e-4


def test_a_low_battery_is_no_fault_where_all_readings_share_it() -> None:
    low = [MeterRead(at("P2"), 11.1), MeterRead(at("P3"), 11.1), MeterRead(at("P4"), 0.0)]
    belief = update(Belief(chain(6)), [LoadSeen("E1", "dead", ON, True), *low])
    assert belief.group_share[belief.hypotheses.groups.index("L3")] > 0.98
    assert belief.bench.supply is not None
    assert 0.9 <= belief.bench.supply[belief.hypotheses.groups.index("L3")] <= 0.96
    assert not contradicted(belief)[:, belief.hypotheses.groups.index("L3")].any()


def test_one_low_reading_beside_a_full_one_is_not_the_battery() -> None:
    seen = [MeterRead(at("P2"), 12.0), MeterRead(at("P3"), 10.8)]
    belief = update(Belief(chain(6)), [LoadSeen("E1", "dead", ON, True), *seen])
    assert contradicted(belief)[1:, : len(belief.hypotheses.members) - 1].any(axis=0).all()


def test_what_is_rare_but_fits_is_not_said_to_be_nothing_that_explains() -> None:
    # Only the last link fits the reading, and it is so rare that "nothing explains" is far ahead of it.
    bench, seen = chain(3, (1.0, 1.0, 1e-6)), LoadSeen("E1", "dead", ON, True)
    rare = update(Belief(bench), [seen, MeterRead(at("P2"), 12.0), MeterRead(at("P2"), 12.02)])
    assert rare.unexplained > 0.5
    assert spoken_for(rare)
    assert judge(rare, True, True).state == "searching"
    odd = update(Belief(bench), [seen, MeterRead(at("P2"), 6.1), MeterRead(at("P1"), 7.3)])
    assert odd.unexplained > 0.5
    assert not spoken_for(odd)
    assert judge(odd, True, True).state == "nothing-explains"
