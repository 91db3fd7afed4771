"""Cells that are cut finer before two faults at once are thought of."""

from dataclasses import replace

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.predict import predict
from loombench.diagnose.belief import Belief, strikes, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.finer import cut
from loombench.diagnose.observation import LoadSeen, MeterRead
from loombench.diagnose.pairorder import forms_of, ordered
from loombench.diagnose.pairrows import beside
from loombench.diagnose.pairs import with_pairs
from loombench.diagnose.recent import Recent
from loombench.diagnose.weighing import weighed
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import RELAY, vehicle

PUSHED = Condition((Operation("set", "S7", "push"),))
MINUS = Point("G1", "-", layer="pin")
SETUPS = [
    Setup(PUSHED, Point("K4", "87"), MINUS),
    Setup(PUSHED, Point("K4", "30"), Point("K4", "87")),
    Setup(PUSHED, Point("K4", "30"), MINUS),
    Setup(PUSHED, Point("K4", "87"), Point("K4", "86")),
    Setup(PUSHED, Point("K4", "86"), Point("K4", "85")),
]


@pytest.fixture(scope="module")
def relay() -> Bench:
    return bench_for(vehicle(RELAY))


@pytest.mark.parametrize("ohm", [0.008, 0.0095, 0.011])
def test_a_short_that_the_supply_and_a_relay_sag_under_is_one_fault(relay: Bench, ohm: float) -> None:
    """Between 5 and 50 milliohm the relay falls, and what the open relay shows sags on with the supply."""
    hidden = Fault("short", "F1.in", to="ground", ohm=ohm)
    values = predict(relay.vehicle, SETUPS, [(hidden,)], lower).values[0]
    reads = [MeterRead(setup, float(value)) for setup, value in zip(SETUPS, values, strict=True)]
    single = update(Belief(relay), (LoadSeen("B7", "dead", PUSHED, True), *reads))
    group = single.hypotheses.groups.index("short F1.in")
    assert strikes(single)[single.hypotheses.group == group].min() > 0
    belief = with_pairs(single)
    assert not any(member.other for member in belief.hypotheses.members)
    assert belief.hypotheses.groups[belief.best()] == "short F1.in"
    assert strikes(belief)[belief.hypotheses.group == group].min() == 0
    faults, members = belief.hypotheses.faults, belief.hypotheses.members[len(single.hypotheses.members) :]
    assert {member.group for member in members} == {"short F1.in"}
    ends = [(faults[member.low][0], faults[member.high][0]) for member in members]
    assert any(low.target == "F1.in" and low.ohm <= ohm <= high.ohm for low, high in ends)


def test_a_cell_is_cut_by_even_shares_of_its_decades(relay: Bench) -> None:
    known = relay.hypotheses
    member = next(one for one in known.members if one.fault is not None and one.fault.ohm == 24.49)
    ends = cut(known, member.low, member.high, (0.0, 0.5, 1.0))
    assert [round(one.ohm, 2) for one in ends] == [10.0, 24.49, 60.0]
    assert {one.target for one in ends} == {member.fault.target}  # type: ignore[union-attr]


def test_single_faults_are_weighed_beside_others_as_they_are_alone(relay: Bench) -> None:
    hidden = Fault("resistance", "K4.87", ohm=3.0)
    values = predict(relay.vehicle, SETUPS, [(hidden,)], lower).values[0]
    reads = [MeterRead(setup, float(value)) for setup, value in zip(SETUPS, values, strict=True)]
    observations = (LoadSeen("B7", "dead", PUSHED, True), *reads)
    single = update(Belief(relay), observations, np.inf)
    forms = forms_of(relay.hypotheses)
    pairs = ordered(single, forms)[:40]
    bench = relay.beside("some pairs", lambda: beside(relay.hypotheses, forms, pairs))
    assert bench.first is relay
    own = len(relay.hypotheses.members)
    assert len(bench.hypotheses.members) > own
    here = weighed(bench, observations, np.inf)
    anew = weighed(replace(bench, first=None, weights=Recent()), observations, np.inf)
    for one, other, support in zip(here.support, anew.support, single.support, strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-9)
        np.testing.assert_array_equal(one[:own], support)
