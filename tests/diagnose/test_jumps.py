"""Cells along which a fuse blows or a relay falls: what the circuit gives anywhere in a cell is expected, what it gives
nowhere is not. The readings come from the circuit with the ohms put in, one by one."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.circuit.fault import Fault
from loombench.circuit.meter import read
from loombench.circuit.operate import operate
from loombench.diagnose.belief import Belief, strikes, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import expected
from loombench.diagnose.hypothesis import EDGES_OHM, Hypotheses, Hypothesis, paired
from loombench.diagnose.observation import FuseSeen, MeterRead
from loombench.text.names import read_condition
from loombench.vehicle.condition import Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, RELAY, vehicle
from tests.scenarios.bench import Bench as Rig

MINUS = Point("G1", "-", layer="pin")
ERRORS = 4.0
RIGS = {
    "lamp": (LAMP, "S4=on", (Point("S4", "2"), Point("E7", "1"), Point("E7", "2"), Point("E8", "1"))),
    "relay": (RELAY, "S7=push", (Point("K4", "86"), Point("K4", "85"), Point("K4", "87"), Point("B7", "2"))),
}


@cache
def known(name: str) -> Bench:
    return bench_for(vehicle(RIGS[name][0]))


def setups(name: str) -> tuple[Setup, ...]:
    condition = read_condition(known(name).vehicle, RIGS[name][1]).value
    return tuple(Setup(condition, point, MINUS) for point in RIGS[name][2])


def given_v(name: str, fault: Fault) -> list[float]:
    situation = operate(Rig(known(name).vehicle, (fault,)).ready, setups(name)[0].condition)
    values = [read(situation, setup).value for setup in setups(name)]
    return [float("nan") if value is None else value for value in values]


def targets(name: str) -> list[Fault]:
    """One fault for each thing that has cells."""
    of: dict[tuple[str, str, str], Fault] = {}
    for member in known(name).hypotheses.members:
        if member.fault is not None and member.fault.mode in EDGES_OHM:
            of.setdefault((member.fault.mode, member.fault.target, member.fault.to), member.fault)
    return list(of.values())


@pytest.mark.parametrize("name", RIGS)
def test_what_the_circuit_gives_within_a_cell_is_expected_there(name: str) -> None:
    bench = known(name)
    wanted = expected(bench, setups(name), ())
    members = bench.hypotheses.members
    table = bench.forecast.readings(setups(name)).low
    compared = outside = 0
    for place, target in enumerate(targets(name)):
        edges = EDGES_OHM[target.mode]
        cell = place % (len(edges) - 1)
        for at in (0.15, 0.5, 0.85):
            ohm = float(edges[cell] ** (1.0 - at) * edges[cell + 1] ** at)
            values = given_v(name, replace(target, ohm=ohm))
            rows = [
                row
                for row, one in enumerate(members)
                if one.fault is not None
                and replace(one.fault, ohm=0.0) == replace(target, ohm=0.0)
                and edges[cell] < one.fault.ohm < edges[cell + 1]
            ]
            assert len(rows) == 2
            margin = ERRORS * wanted.error[rows]
            fits = (values > wanted.low[rows] - margin) & (values < wanted.high[rows] + margin)
            # What is beyond both ends of a cell (a plain ground lifted before its relay falls) is no matter of jumps.
            ends = table[[members[rows[0]].low, members[rows[0]].high]]
            beyond = (values < ends.min(axis=0) - margin[0]) | (values > ends.max(axis=0) + margin[0])
            assert (fits.any(axis=0) | beyond | np.isnan(values)).all(), (target, ohm, values, wanted.low[rows])
            outside += int(beyond.sum())
            compared += int(np.isfinite(values).sum())
    assert compared > 100
    assert outside < 0.1 * compared


def fewest(name: str, group: str, *observations: object) -> int:
    belief = update(Belief(known(name)), observations)  # type: ignore[arg-type]
    return int(strikes(belief)[belief.hypotheses.group == belief.hypotheses.groups.index(group)].min())


@pytest.mark.parametrize("value_v", [3.0, 5.0, 6.5])
def test_volts_that_no_short_gives_speak_against_it(value_v: float) -> None:
    setup = setups("lamp")[1]
    given = [
        given_v("lamp", Fault("short", target, to="ground", ohm=float(ohm)))[1]
        for target in ("E7.1", "SP2")
        for ohm in np.geomspace(0.005, 1.5, 12)
    ]
    assert min(given) < 0.5
    assert max(given) > 10.0
    assert min(abs(value_v - one) for one in given) > 1.0
    assert fewest("lamp", "short E7.1", MeterRead(setup, value_v)) == 1
    assert fewest("lamp", "contact SP2<SP2~E7.1", MeterRead(setup, value_v)) == 0
    for one in (min(given), max(given)):
        assert fewest("lamp", "short E7.1", MeterRead(setup, one)) == 0


def test_a_whole_fuse_and_no_volts_do_not_both_fit_one_short() -> None:
    setup = setups("lamp")[1]
    whole = FuseSeen("F12", False, setup.condition)
    assert fewest("lamp", "short E7.1", whole) == 0
    assert fewest("lamp", "short E7.1", MeterRead(setup, 0.0)) == 0
    assert fewest("lamp", "short E7.1", whole, MeterRead(setup, 0.0)) == 1


@pytest.mark.parametrize("repaired", [(), ("beside",)])
@pytest.mark.parametrize(("low", "high"), [(2.0, 10.0), (10.0, 60.0), (60.0, 1000.0)])
def test_where_a_relay_falls_along_the_cell_of_one_of_two_faults_is_expected_too(
    low: float, high: float, repaired: tuple[str, ...]
) -> None:
    bench, first = known("relay"), Fault("resistance", "contact G1.+", ohm=low)
    other = Fault("resistance", "contact S7.1", ohm=5.0)
    ends = (first, replace(first, ohm=high))
    # What is open shows how far down any reading can go.
    rest = ((other,), (Fault("open", "contact G1.+"),))
    faults: tuple[tuple[Fault, ...], ...] = ((), *((end, other) for end in ends), *((end,) for end in ends), *rest)
    cells = (
        Hypothesis(paired("cell", "beside"), first, 1, 2, 1.0, k / 2.0, (k + 1) / 2.0, other, ((3, 4), (5, 5)))
        for k in range(2)
    )
    members = (*cells, Hypothesis("open", rest[1][0], 6, 6, 1.0))
    assert bench.grow is not None
    pair = replace(bench, hypotheses=Hypotheses(members, faults), forecast=bench.grow.of(faults))
    wanted = expected(pair, setups("relay"), repaired)
    for at in (0.05, 0.15, 0.5, 0.85):
        one = replace(first, ohm=low ** (1.0 - at) * high**at)
        hidden = (one,) if repaired else (one, other)
        situation = operate(Rig(bench.vehicle, hidden).ready, setups("relay")[0].condition)
        for column, setup in enumerate(setups("relay")):
            value = read(situation, setup).value
            assert value is not None
            margin = ERRORS * wanted.error[:2, column]
            fits = (value > wanted.low[:2, column] - margin) & (value < wanted.high[:2, column] + margin)
            assert fits.any(), (at, setup, value, wanted.low[:, column], wanted.high[:, column])
