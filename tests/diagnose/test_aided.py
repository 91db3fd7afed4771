"""The forecast for conditions with something put on is what plain prediction gives, fault by fault."""

from pathlib import Path

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.app.vehicles import open_vehicle
from loombench.circuit.observe import observe
from loombench.circuit.predict import predict
from loombench.diagnose.bench import Bench
from loombench.text.names import find_point, read_condition
from loombench.vehicle.condition import Setup
from tests.circuit.test_aid import RIG

EXAMPLES = Path(__file__).parents[2] / "examples" / "cases"
EVERY = 25
WITHIN_V = 2e-4
STATES = (
    "limiter F1, S4=on", "S4=on", "substitute E7, S4=on", "ground E7.2, S4=on", "feed E7.1 10A",
    "swap K3 with K4, S5=on",
)  # fmt: skip


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(RIG)


def test_readings_of_many_states_at_once_are_each_those_of_their_own(bench: Bench) -> None:
    faults = bench.hypotheses.faults
    rows = np.array([0, *range(1, len(faults), EVERY)], dtype=np.intp)
    leads = [
        (find_point(RIG, one).value, find_point(RIG, two).value) for one, two in (("F1.out", "G1.-"), ("E7.1", "E7.2"))
    ]
    setups = [
        Setup(read_condition(RIG, state).value, red, black)
        for red, black in leads
        for state in STATES
        if red is not None
    ]
    found = bench.forecast.readings(setups, rows)
    wanted = predict(RIG, setups, [faults[row] for row in rows])
    for values, plain in ((found.low[rows], wanted.low), (found.high[rows], wanted.high)):
        assert np.array_equal(np.isnan(values), np.isnan(plain))
        assert np.nanmax(np.abs(values - plain)) < WITHIN_V


def test_what_is_seen_with_something_put_on_is_what_plain_observation_sees(bench: Bench) -> None:
    faults = bench.hypotheses.faults
    rows = np.array([0, *range(1, len(faults), EVERY)], dtype=np.intp)
    for state in ("ground E7.2, S4=on", "swap K3 with K4, S5=on"):
        condition = read_condition(RIG, state).value
        sights = bench.forecast.sights(condition, rows)
        plain = observe(RIG, condition, [faults[row] for row in rows])
        for row, seen in zip(rows, plain, strict=True):
            for load in seen.loads:
                assert sights.share[row, sights.loads.index(load.id)] == pytest.approx(load.share, abs=1e-3), faults[
                    row
                ]


def test_the_fuse_of_a_test_lead_that_opens_is_none_of_the_vehicle() -> None:
    wiper = open_vehicle(str(EXAMPLES / "2-wiper.circuit")).vehicle
    known, condition = bench_for(wiper), read_condition(wiper, "feed M5.53 20A").value
    row = next(k for k, faults in enumerate(known.hypotheses.faults) if "short M5.53 to ground" in str(*faults[:1]))
    sights = known.forecast.sights(condition)
    (plain,) = observe(wiper, condition, [known.hypotheses.faults[row]])
    assert [name for name, _ in plain.opens_s] == ["feed M5.53 20A"]
    assert "feed M5.53 20A" not in sights.fuses
    motor = next(load for load in plain.loads if load.id == "M5.53-31")
    assert sights.share[row, sights.loads.index("M5.53-31")] == pytest.approx(motor.share, abs=1e-3)
