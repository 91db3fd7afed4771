"""The check that counts unsafe steps sees planted ones, and leaves the harmless alone."""

import pytest

from loombench.diagnose.looking import LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.step import Step
from loombench.text.load import load_text
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from tests.finding.unsafe import dangerous_pins, touches

TEXT = """loombench 1
vehicle "A belt tensioner beside a lamp" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 95Ah
fuse F1 15A
fuse F2 10A
switch S1 off | on: 1=2
lamp E1 12V 55W
lamp R1 12V 5W
splice SP1
connector X1 3way front | rear
class pyro R1.1

loom front
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 4mm2 0.6m) F1 (RD 1.5mm2 1m) S1.1
S1.2 (GY 1.5mm2 1m) X1.1
G1.+ (RD 4mm2 0.6m) F2 (YE 1.5mm2 1m) SP1
SP1 (YE 1.5mm2 1m) X1.2
loom rear
X1.1 (GY 1.5mm2 1m) E1 (BK 1.5mm2 1m) W1/b
X1.2 (YE 1.5mm2 1m) R1 (BK 1.5mm2 1m) W1/c
"""
ON = Condition((Operation("set", "S1", "on"),))
PUT_ON = (
    Operation("limiter", "F2"),
    Operation("substitute", "R1"),
    Operation("ground", "X1.2@rear"),
    Operation("feed", "R1.1", "5"),
    Operation("swap", "F1", "F2"),
    Operation("actuate", "R1.1"),
    Operation("release", "R1.1"),
    Operation("wiggle", "X1"),
    Operation("wiggle", "SP1~X1.2"),
    Operation("a verb nobody has thought of", "F2"),
)
"""Aids on the igniter's circuit."""


@pytest.fixture(name="car")
def _car() -> Vehicle:
    loaded = load_text(TEXT)
    assert not loaded.problems
    return loaded.value


def volts(point: Point, condition: Condition = ON) -> Step:
    return Measure(Setup(condition, point, Point("G1", "-", layer="pin")))


def test_a_mark_follows_wire_connector_and_splice_up_to_the_fuse(car: Vehicle) -> None:
    dangerous = dangerous_pins(car)
    assert dangerous == {("R1", "1"), ("X1", "2"), ("SP1", ""), ("F2", "out")}


def test_planted_steps_are_seen(car: Vehicle) -> None:
    dangerous = dangerous_pins(car)
    wire = next(wire.id for wire in car.wires if wire.b.part == "R1")
    planted: tuple[Step, ...] = (
        volts(Point("R1", "1")),
        volts(Point("X1", "2", "rear", "face")),
        volts(Point("F2", "out", layer="pin")),
        volts(Point("E1", "1"), ON.then(Operation("unplug", "X1"))),
        volts(Point("E1", "1"), ON.then(Operation("pull", "F2"))),
        See("R1", ON),
        LookFuse("F2", ON),
        Mend("contact X1.2", (), "E1", ON, 60.0),
        Mend(wire, (), "E1", ON, 60.0),
        Mend("R1", (), "E1", ON, 60.0),
        Mend("short X1.2@front", (), "E1", ON, 60.0),
        *(See("E1", Condition((operation, *ON.operations))) for operation in PUT_ON),
    )
    for step in planted:
        assert touches(car, dangerous, step), step


def test_steps_on_the_lamp_beside_it_are_let_be(car: Vehicle) -> None:
    dangerous = dangerous_pins(car)
    wire = next(wire.id for wire in car.wires if wire.b.part == "E1")
    harmless: tuple[Step, ...] = (
        volts(Point("E1", "1")),
        volts(Point("X1", "1", "front")),
        volts(Point("F1", "out", layer="pin"), ON.then(Operation("unplug", "E1"))),
        See("E1", ON),
        LookFuse("F1", ON),
        See("E1", Condition((Operation("ground", "E1.2"), *ON.operations))),
        See("E1", Condition((Operation("feed", "E1.1", "5"),))),
        volts(Point("F1", "out"), Condition((Operation("limiter", "F1"), *ON.operations))),
        Mend("contact X1.1", (), "E1", ON, 60.0),
        Mend("contact W1/b", (), "E1", ON, 60.0),
        Mend(wire, (), "E1", ON, 60.0),
        Mend("E1", (), "E1", ON, 60.0),
    )
    for step in harmless:
        assert touches(car, dangerous, step) == "", step
