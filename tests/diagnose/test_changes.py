"""What a hypothesis changes about an observation, beside what it explains of it."""

import numpy as np
import pytest

import loombench.diagnose.changes as module
from loombench.app.case import bench_for
from loombench.diagnose.belief import Belief, contradicted, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.changes import changes
from loombench.diagnose.hypothesis import SOUND
from loombench.diagnose.observation import LoadSeen, MeterRead
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))
MINUS = Point("G1", "-", layer="pin")


def believed(bench: Bench) -> Belief:
    observations = (LoadSeen("E7", "dead", ON, True), MeterRead(Setup(ON, Point("E7", "1"), MINUS), 0.0))
    return update(Belief(bench), observations)


def members(bench: Bench, target: str, mode: str) -> list[int]:
    known = bench.hypotheses.members
    return [
        k
        for k, one in enumerate(known)
        if one.fault is not None and (one.fault.target, one.fault.mode) == (target, mode)
    ]


def test_what_leaves_half_the_volts_explains_no_dead_wire_and_changes_it_all_the_same() -> None:
    bench = bench_for(vehicle(LAMP))
    belief = believed(bench)
    found, odd = changes(belief), contradicted(belief)
    some = [
        k for k in members(bench, "F12.out~S4.1", "resistance") if 0.5 < bench.hypotheses.members[k].fault.ohm < 10.0
    ]  # type: ignore[union-attr]
    assert some
    assert odd[1, some].all()
    assert found[1, some].all()


def test_what_is_elsewhere_and_the_sound_vehicle_change_nothing() -> None:
    bench = bench_for(vehicle(LAMP))
    belief = believed(bench)
    found = changes(belief)
    sound = bench.hypotheses.groups.index(SOUND)
    assert not found[:, bench.hypotheses.group == sound].any()
    stuck = [k for k in members(bench, "S4", "stuck") if bench.hypotheses.members[k].fault.to == "on"]  # type: ignore[union-attr]
    assert stuck
    assert not found[:, stuck].any()


def test_a_large_vehicle_is_asked_only_of_what_was_weighed(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = bench_for(vehicle(LAMP))
    belief = believed(bench)
    every = changes(belief)
    monkeypatch.setattr(module, "FEW", 0)
    some = changes(belief)
    assert not (some & ~every).any()
    left = belief.support[0] > np.log(0.5)
    assert left.any()
    assert np.array_equal(some[0, left], every[0, left])
