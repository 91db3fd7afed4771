"""What is worked out for some hypotheses alone is what comes out for them among all."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.excerpt import excerpt
from loombench.diagnose.expected import expected, off_scale, on_scale
from loombench.diagnose.likelihood import at_supplies, log_likelihood, log_wrong
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import LoadSeen, MeterRead, Observation, Told
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Outcome, matters
from loombench.vehicle.condition import Setup
from tests.diagnose.fakes import ON, at, chain

BENCH = chain(12)
FEW = np.arange(len(BENCH.hypotheses.members)) % 3 == 1


def supplied(bench: Bench) -> Bench:
    """With another share of the volts for each hypothesis."""
    return replace(bench, supply=np.linspace(0.9, 1.1, len(bench.hypotheses.members)))


def test_what_is_no_fault_is_always_in_it_and_the_rest_in_order() -> None:
    some = excerpt(BENCH, FEW)
    members = BENCH.hypotheses.members
    assert some.bench.hypotheses.members == tuple(members[number] for number in some.numbers)
    assert (np.diff(some.numbers) > 0).all()
    left_out = [number for number in range(len(members)) if number not in some.numbers]
    assert left_out
    assert all(members[number].fault is not None and not FEW[number] for number in left_out)
    assert some.used.sum() == FEW.sum()


def test_all_of_them_are_the_bench_itself() -> None:
    assert excerpt(BENCH).bench is BENCH
    assert excerpt(BENCH, np.ones(len(BENCH.hypotheses.members), dtype=np.bool_)).bench is BENCH


def test_what_hypotheses_have_goes_with_them() -> None:
    whole = supplied(BENCH)
    some = excerpt(whole, FEW)
    for name in ("low", "high", "start", "end", "reach", "across", "unexplained", "no_fault"):
        of_all, of_some = (getattr(bench.hypotheses, name) for bench in (whole, some.bench))
        np.testing.assert_array_equal(of_some, of_all[some.numbers])
    assert whole.supply is not None
    assert some.bench.supply is not None
    np.testing.assert_array_equal(some.bench.supply, whole.supply[some.numbers])


def test_a_reading_is_expected_alike() -> None:
    whole = supplied(BENCH)
    some = excerpt(whole, FEW)
    one, all_of_them = (expected(bench, (at("P5"), at("P9")), ()) for bench in (some.bench, whole))
    for name in ("low", "high", "error", "anything"):
        np.testing.assert_array_equal(getattr(one, name), getattr(all_of_them, name)[some.numbers])


@pytest.mark.parametrize(
    "seen", [MeterRead(at("P5"), 11.7), LoadSeen("E1", "dead", ON, True), LoadSeen("E1", "works", ON)]
)
def test_an_observation_is_as_likely_and_counts_as_wrong_for_the_others(seen: Observation) -> None:
    found, every = log_likelihood(seen, BENCH, FEW), log_likelihood(seen, BENCH)
    there = excerpt(BENCH, FEW).numbers
    np.testing.assert_array_equal(found[there], every[there])
    assert set(np.delete(found, there)) == {log_wrong(seen, BENCH)}


def test_so_is_a_reading_with_any_share_of_the_supply() -> None:
    read = MeterRead(at("P5"), 11.7)
    found, every = (at_supplies(read, BENCH, (1.0, 0.96), used) for used in (FEW, None))
    there = excerpt(BENCH, FEW).numbers
    np.testing.assert_array_equal(found[:, there], every[:, there])


def test_what_is_told_of_the_history_weighs_all() -> None:
    told = Told("", "")
    np.testing.assert_array_equal(log_likelihood(told, BENCH, FEW), log_likelihood(told, BENCH))


def test_a_step_has_outcomes_for_all_and_tells_apart_those_that_matter() -> None:
    belief = update(Belief(BENCH), [LoadSeen("E1", "dead", ON, True), MeterRead(at("P6"), 12.0)])
    used = matters(belief.share)
    assert used.any()
    found = Measure(at("P9")).outcomes(BENCH, belief.share, Situation())
    assert found.table.shape == (len(used), len(found.outcomes))
    np.testing.assert_allclose(found.table.sum(axis=1), 1.0, atol=1e-9)
    assert len({int(row) for row in found.table[used].argmax(axis=1)}) > 1


@pytest.mark.parametrize("rest", [None, np.array([0.9, 0.1])])
def test_outcomes_of_some_are_those_of_all_where_the_others_have_the_rest(rest: npt.NDArray[np.float64] | None) -> None:
    some = excerpt(BENCH, FEW)
    values = np.stack([np.linspace(0.0, 1.0, len(some.numbers)), np.linspace(1.0, 0.0, len(some.numbers))], axis=1)
    found = some.outcomes((Outcome("yes"), Outcome("no")), values, rest)
    np.testing.assert_array_equal(found.table[some.numbers], values)
    others = np.delete(np.arange(len(FEW)), some.numbers)
    assert len(others)
    np.testing.assert_array_equal(found.table[others], np.tile([0.5, 0.5] if rest is None else rest, (len(others), 1)))
    np.testing.assert_array_equal(found.of(some.numbers), values)
    np.testing.assert_array_equal(found.of(others[:1]), found.table[others[:1]])


@pytest.mark.parametrize("meter", ["voltmeter", "ohmmeter"])
def test_a_reading_comes_back_from_its_scale(meter: str) -> None:
    setup: Setup = replace(at("P5"), meter=meter)
    values: npt.NDArray[np.float64] = np.array([0.2, 3.0, 470.0])
    there = np.array([on_scale(setup, float(value)) for value in values])
    np.testing.assert_allclose(off_scale(setup, there), values)
