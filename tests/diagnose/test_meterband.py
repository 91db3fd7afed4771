"""A band of readings that is only supposed: its probability is that of all readings in it."""

import math
from itertools import pairwise

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.diagnose.belief import Belief, contradicted, update
from loombench.diagnose.expected import on_scale, tolerance
from loombench.diagnose.likelihood import log_likelihood, wrong_likelihood
from loombench.diagnose.observation import MeterBand, MeterRead
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, vehicle

BENCH = bench_for(vehicle(LAMP))
ON = Condition((Operation("set", "S4", "on"),))
VOLTS = Setup(ON, Point("E7", "1"), Point("G1", "-"))
OHMS = Setup(Condition((Operation("unplug", "E7"),)), Point("E7", "1", layer="pin"), Point("E7", "2", layer="pin"),
             meter="ohmmeter")  # fmt: skip


@pytest.mark.parametrize(("setup", "low", "high"), [(VOLTS, 4.0, 11.0), (VOLTS, 11.0, 12.4), (OHMS, 0.3, 40.0)])
def test_a_band_is_as_likely_as_all_readings_in_it(setup: Setup, low: float, high: float) -> None:
    band = np.exp(log_likelihood(MeterBand(setup, (low + high) / 2.0, (), low, high), BENCH))
    ends = [on_scale(setup, edge) for edge in (low, high)]
    scale = np.linspace(*ends, 2001)
    values = scale if setup.meter != "ohmmeter" else 10.0**scale - (10.0 ** on_scale(setup, 0.0))
    each = [np.exp(log_likelihood(MeterRead(setup, float(value)), BENCH)) for value in values]
    summed = np.trapezoid(np.array(each), scale, axis=0)
    assert band == pytest.approx(summed, abs=2e-3)


def test_bands_side_by_side_are_the_whole_scale() -> None:
    edges = [-math.inf, 3.0, 11.0, math.inf]
    bands = [MeterBand(VOLTS, 0.0, (), low, high) for low, high in pairwise(edges)]
    whole = sum(np.exp(log_likelihood(one, BENCH)) for one in bands)
    assert whole == pytest.approx(np.ones(len(BENCH.hypotheses.members)), abs=1e-9)
    assert sum(wrong_likelihood(one, BENCH) for one in bands) == pytest.approx(tolerance("volts-wrong").value)


def test_a_band_speaks_against_those_who_expect_another() -> None:
    known = BENCH.hypotheses
    belief = update(Belief(BENCH), [MeterBand(VOLTS, 12.0, (), 11.0, math.inf)])
    odd = contradicted(belief)[0]
    blown = [row for row, one in enumerate(known.members) if str(one.fault) == "blown F12"]
    burnt = [row for row, one in enumerate(known.members) if str(one.fault) == "burnt E7"]
    assert odd[blown].all()
    assert not odd[burnt].any()
