"""Differences from the drawing: hidden in a vehicle that answers, found by what it answers."""

import pytest

from loombench.app.case import bench_for
from loombench.circuit.predict import predict
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.observation import LoadSeen, MeterRead, Observation
from loombench.diagnose.undrawn import CROSSED, JOINED, Difference, explaining
from loombench.vehicle.change import apply_all
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import PIN, Point
from tests.diagnose.vehicles import HEAD, vehicle

TEXT = (
    HEAD
    + """
fuse   F1 10A at box
switch S1 off | on: 1=2 at dash
switch S2 off | on: 1=2 at dash
lamp   E1 12V 21W at head
lamp   E2 12V 21W at head
connector X1 4way chassis | boom at head
loom chassis
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.5m) F1 (RD 2.5mm2 0.5m) SP1
SP1 (RD 1mm2 0.5m) S1 (GY 1mm2 3m) X1.1
SP1 (RD 1mm2 0.5m) S2 (WH 1mm2 3m) X1.4
loom boom
X1.1 (GY 1mm2 1m) E1 (BN 1mm2 0.5m) W3/a
X1.4 (WH 1mm2 1m) E2 (BN 1mm2 0.5m) W3/b
"""
)
CAR = vehicle(TEXT)
FIRST, SECOND = (Condition((Operation("set", name, "on"),)) for name in ("S1", "S2"))


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(CAR)


def volts(of: Difference | None, condition: Condition, point: str) -> MeterRead:
    """What the vehicle that is so built would show."""
    part, pin = point.split(".")
    setup = Setup(condition, Point(part, pin), Point("G1", "-", layer=PIN))
    other = CAR if of is None else apply_all(CAR, of.changes).value
    return MeterRead(setup, round(float(predict(other, [setup], [()]).values[0, 0]), 2))


def looks(first: str, second: str) -> tuple[Observation, ...]:
    """Of the second lamp with the one switch on and of the first with the other."""
    return (
        LoadSeen("E1", first, FIRST, True), LoadSeen("E2", second, FIRST, True),
        LoadSeen("E1", second, SECOND, True), LoadSeen("E2", first, SECOND, True),
    )  # fmt: skip


def test_two_wires_changed_over(bench: Bench) -> None:
    found = explaining(update(Belief(bench), looks("dead", "works")))
    assert {one.kind for one in found} == {CROSSED}
    ends = {frozenset(map(str, one.points)) for one in found}
    # At the connector on either side; changed over at the switches' feeds they would do as drawn.
    assert frozenset(("X1.1@boom", "X1.4@boom")) in ends
    assert frozenset(("X1.1@chassis", "X1.4@chassis")) in ends
    for one in found:
        assert volts(one, FIRST, "E2.1").value > 11.0
        assert abs(volts(one, FIRST, "E1.1").value) < 0.5


def test_a_reading_parts_the_sides_of_a_connector(bench: Bench) -> None:
    both = explaining(update(Belief(bench), looks("dead", "works")))
    boom = next(one for one in both if {str(point) for point in one.points} == {"X1.1@boom", "X1.4@boom"})
    reads = (MeterRead(Setup(FIRST, Point("X1", "1", "chassis"), Point("G1", "-", layer=PIN)), 12.4),)
    found = explaining(update(Belief(bench), (*looks("dead", "works"), *reads)))
    assert boom in found
    assert all({str(point) for point in one.points} != {"X1.1@chassis", "X1.4@chassis"} for one in found)


def test_a_wire_that_is_not_drawn(bench: Bench) -> None:
    """Both lamps at either switch: the two feeds are joined somewhere."""
    found = explaining(update(Belief(bench), looks("works", "works")))
    assert found
    assert found[0].kind == JOINED
    nets = [bench.nets.net[point.at("wire")] for one in found[:1] for point in one.points]
    lamps = {bench.nets.net[Point(name, "1")] for name in ("E1", "E2")}
    assert set(nets) == lamps


def test_a_sound_vehicle_differs_in_nothing(bench: Bench) -> None:
    assert explaining(Belief(bench)) == ()
    assert explaining(update(Belief(bench), (volts(None, FIRST, "E1.1"), *looks("works", "dead")))) == ()
