from loombench.circuit.fault import Fault
from loombench.diagnose.safety import condition_allowed, handleable, suspect_allowed, touchable
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import AIRBAG, LAMP, vehicle

CAR = vehicle(AIRBAG)
NETS = nets(CAR)


def test_no_meter_goes_on_an_airbag_circuit() -> None:
    for meter in ("voltmeter", "test-lamp", "ohmmeter", "buzzer", "scope"):
        assert not touchable(CAR, NETS, Point("R40", "1"), meter)
        assert not touchable(CAR, NETS, Point("X40", "1", "boom", "face"), meter)
        assert not touchable(CAR, NETS, Point("F40", "out", layer="pin"), meter)
    assert touchable(CAR, NETS, Point("E7", "1"))
    # The feed of a fuse of an airbag circuit is plain power, but the fuse is one thing.
    assert not touchable(CAR, NETS, Point("F40", "in", layer="pin"))


def test_nothing_of_an_airbag_circuit_is_unplugged_pulled_or_mended() -> None:
    assert not handleable(CAR, NETS, "X40")
    assert not handleable(CAR, NETS, "F40")
    assert not condition_allowed(CAR, NETS, Condition((Operation("pull", "F40"),)))
    assert condition_allowed(CAR, NETS, Condition((Operation("pull", "F12"), Operation("set", "S4", "on"))))
    wire = next(wire for wire in CAR.wires if wire.a.part == "X40")
    for fault in (
        Fault("open", wire.id),
        Fault("open", "contact X40.1@chassis"),
        Fault("blown", "F40"),
        Fault("open", "R40"),
        Fault("short", "X40.1@boom", "ground"),
    ):
        assert not suspect_allowed(CAR, NETS, fault), fault
    assert suspect_allowed(CAR, NETS, Fault("open", "contact W3/a"))
    assert suspect_allowed(CAR, NETS, Fault("open", "E7"))


def test_an_ohmmeter_or_lamp_does_not_go_on_a_module_output() -> None:
    car = vehicle(LAMP + "class module-output E7.1\n")
    known = nets(car)
    assert touchable(car, known, Point("X12", "1", "boom"), "voltmeter")
    assert not touchable(car, known, Point("X12", "1", "boom"), "ohmmeter")
    assert not touchable(car, known, Point("X12", "1", "boom"), "test-lamp")
