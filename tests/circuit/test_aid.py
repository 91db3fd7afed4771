"""What is put on for a test: lamps in place of parts, leads, relays changed over, outputs actuated, spots moved."""

import pytest

from loombench.circuit.aid import changed_over, put_on, rated_w
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.laws import law_errors
from loombench.circuit.lower import lower
from loombench.circuit.observe import observe
from loombench.circuit.operate import operate
from loombench.circuit.predict import predict
from loombench.text.load import load_text
from loombench.text.names import find_point, read_condition
from loombench.vehicle.condition import AIDS, PROVOKING, Condition, Operation, Setup, read_operation
from loombench.vehicle.model import Vehicle

TEXT = """loombench 1
vehicle "Rig" 12V
colours IEC
place box reach 1min "box"
body chassis
stud W1 on chassis at box
battery G1 95Ah at box
fuse F1 10A at box
fuse F2 10A at box
relay K3 make 30 85 86 87 at box
relay K4 make 30 85 86 87 at box
switch S4 off | on: 1=2
switch S5 off | on: 1=2
lamp E7 12V 21W
lamp E8 12V 21W
lamp E9 12V 55W
lamp E10 12V 55W
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) SP1
SP1 (RD 4mm2 0.3m) F1 (GY 2.5mm2 0.5m) S4.1
S4.2 (GY/RD 2.5mm2 1m) SP2
SP2 (GY/RD 2.5mm2 0.3m) E7 (BN 2.5mm2 0.3m) W1/b
SP2 (GY/RD 2.5mm2 0.3m) E8 (BN 2.5mm2 0.3m) W1/c
SP1 (RD 4mm2 0.3m) F2 (RD 2.5mm2 0.5m) SP3
SP3 (RD 2.5mm2 0.4m) S5.1
S5.2 (WH 1mm2 0.4m) SP4
SP4 (WH 1mm2 0.4m) K3.86
SP4 (WH 1mm2 0.4m) K4.86
K3.85 (BN 1mm2 0.4m) W1/d
K4.85 (BN 1mm2 0.4m) W1/e
SP3 (RD 2.5mm2 0.4m) K3.30
SP3 (RD 2.5mm2 0.4m) K4.30
K3.87 (GN 2.5mm2 1m) E9 (BN 2.5mm2 1m) W1/f
K4.87 (GN 2.5mm2 1m) E10 (BN 2.5mm2 1m) W1/g
"""
MODULE = """loombench 1
vehicle "Rig" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 95Ah
fuse F1 20A
switch S4 off | on: 1=2
lamp E7 12V 21W
module A2
  supply 1
  ground 2
  in 3 on when high
  out 4 high-side from 1 max 5A
  when 3: 4
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F1 (RD 2.5mm2 0.4m) SP1
SP1 (RD 2.5mm2 0.4m) A2.1
SP1 (RD 1mm2 0.4m) S4.1
S4.2 (WH 1mm2 0.4m) A2.3
A2.2 (BN 2.5mm2 0.4m) W1/b
A2.4 (GN 1mm2 1m) E7 (BN 1mm2 1m) W1/c
"""


def car(text: str) -> Vehicle:
    outcome = load_text(text)
    assert outcome.usable, outcome.problems
    return outcome.value


RIG = car(TEXT)


def reading(vehicle: Vehicle, red: str, black: str, state: str, *faults: str) -> float:
    points = [find_point(vehicle, name) for name in (red, black)]
    condition = read_condition(vehicle, state)
    assert condition.usable, condition.problems
    assert points[0].value is not None, points
    assert points[1].value is not None, points
    told = tuple(one for one in map(read_fault, faults) if one is not None)
    found = predict(vehicle, [Setup(condition.value, points[0].value, points[1].value)], [told])
    return float(found.values[0, 0])


def seen(vehicle: Vehicle, load: str, state: str, *faults: str) -> str:
    condition = read_condition(vehicle, state)
    assert condition.usable, condition.problems
    told = tuple(one for one in map(read_fault, faults) if one is not None)
    (view,) = observe(vehicle, condition.value, [told])
    return next(one.light for one in view.loads if one.id == load)


def test_each_aid_is_read_back_as_it_is_written() -> None:
    for text in (
        "limiter F1", "substitute E7", "ground E7.2", "feed E7.1 10A", "swap K3 with K4", "actuate A2.4",
        "release A2.4", "wiggle K3", "heat K3", "wet K3",
    ):  # fmt: skip
        operation = read_operation(text)
        assert operation is not None
        assert str(operation) == text
        assert operation.verb in AIDS
        assert Condition((operation, Operation("set", "S4", "on"))).plain == Condition((Operation("set", "S4", "on"),))
    assert set(AIDS) == {*PROVOKING, "limiter", "substitute", "ground", "feed", "swap", "actuate", "release"}


def test_a_wire_off_its_pin_takes_the_load_off_an_output_and_from_nothing_else() -> None:
    """Of a module: one that drives lights its lamp no more, and its pin has volts; a lamp fed from behind stays lit."""
    for state, fault, e7, pin in (
        ("S4=on", (), "full", True), ("release A2.4, S4=on", (), "dead", True),
        ("", ("stuck A2.4 on",), "full", True), ("release A2.4", ("stuck A2.4 on",), "dead", True),
        ("", ("short A2.4~E7.1 to supply",), "full", True), ("release A2.4", ("short A2.4 to supply",), "full", False),
    ):  # fmt: skip
        assert seen(car(MODULE), "E7", state, *fault) == e7, (state, fault)
        volts = reading(car(MODULE), "A2.4:pin", "G1.-", state, *fault)
        assert (volts > 12.0) is pin, (state, fault, volts)


def test_a_headlamp_as_limiter_takes_what_nodal_analysis_says() -> None:
    """Two sound 21 W lamps behind a 55 W limiter leave it 4.7 V of 12.6 V; behind a short it has nearly all.

    By nodal analysis with I ~ V^0.55 and a cold filament of a twelfth: 4.7 V, and 12.4 V with a 21 W lamp at a short.
    """
    supply = reading(RIG, "G1.+", "G1.-", "limiter F1, S4=on")
    node = reading(RIG, "F1.out", "G1.-", "limiter F1, S4=on")
    assert supply - node == pytest.approx(4.7, abs=0.35)
    short = reading(RIG, "F1.out", "G1.-", "limiter F1, S4=on", "short SP2 to ground")
    assert short < 0.4
    assert reading(RIG, "F1.out", "G1.-", "limiter F1", "short SP2 to ground") == pytest.approx(supply, abs=0.2)
    # A blown fuse is out of its socket, so it is no matter.
    assert reading(RIG, "F1.out", "G1.-", "limiter F1, S4=on", "blown F1") == pytest.approx(node, abs=1e-6)


def test_a_lamp_in_place_of_the_load_tells_the_load_from_its_contact() -> None:
    state = "substitute E7, S4=on"
    sound = reading(RIG, "E7.1:pin", "E7.2:pin", state)
    assert sound > 11.0
    assert reading(RIG, "E7.1:pin", "E7.2:pin", state, "open E7") == pytest.approx(sound, abs=1e-6)
    assert reading(RIG, "E7.1:pin", "E7.2:pin", state, "open contact E7.1") < 0.1
    # Plugged, both read the same at the wire side.
    for fault in ("open E7", "open contact E7.1"):
        assert reading(RIG, "E7.1", "G1.-", "S4=on", fault) > 12.0


def test_a_lead_by_passes_the_ground_and_another_feeds_the_load() -> None:
    ground, feed = "open E7.2~W1/b", "open SP2~E7.1"
    assert seen(RIG, "E7", "S4=on", ground) == seen(RIG, "E7", "S4=on", feed) == "dead"
    assert seen(RIG, "E7", "ground E7.2, S4=on", ground) == "full"
    assert seen(RIG, "E7", "ground E7.2, S4=on", feed) == "dead"
    assert seen(RIG, "E7", "feed E7.1 10A", feed) == "full"
    assert seen(RIG, "E7", "feed E7.1 10A", ground) == "dead"
    # Onto a short the lead's own fuse goes.
    assert seen(RIG, "E7", "feed E7.1 10A", "short E7.1 to ground") == "dead"


def test_relays_changed_over_take_their_own_faults_along_and_leave_those_of_the_base() -> None:
    swap = "swap K3 with K4, S5=on"
    for fault in ("open K3.coil", "stuck K3 released", "open K3.make"):
        assert (seen(RIG, "E9", "S5=on", fault), seen(RIG, "E10", "S5=on", fault)) == ("dead", "full"), fault
        assert (seen(RIG, "E9", swap, fault), seen(RIG, "E10", swap, fault)) == ("full", "dead"), fault
    for fault in ("open contact K3.86", "open K3.87~E9.1"):
        assert (seen(RIG, "E9", swap, fault), seen(RIG, "E10", swap, fault)) == ("dead", "full"), fault
    swapping = (Operation("swap", "K3", "K4"),)
    assert changed_over(Fault("short", "K3.86", "ground"), swapping) == Fault("short", "K3.86", "ground")
    assert changed_over(Fault("short", "K4.86:pin", "K4.85:pin"), swapping).target == "K3.86:pin"


def test_an_output_is_actuated_past_its_input_and_within_its_limits() -> None:
    module = car(MODULE)
    assert seen(module, "E7", "at rest") == "dead"
    assert seen(module, "E7", "actuate A2.4") == "full"
    assert seen(module, "E7", "actuate A2.4", "open S4.2~A2.3") == "full"
    assert seen(module, "E7", "actuate A2.4", "open A2.4~E7.1") == "dead"
    assert seen(module, "E7", "actuate A2.4", "stuck A2.4 off") == "dead"
    # Without its supply it answers no scan tool.
    assert seen(module, "E7", "actuate A2.4", "open F1.out~SP1") == "dead"


def test_a_spot_that_is_moved_loses_what_comes_and_goes_there_and_nothing_else() -> None:
    for fault, spot in (("moving contact E7.1", "E7"), ("moving S4.2~SP2", "S4.2~SP2"), ("moving S4.2~SP2", "S4")):
        assert seen(RIG, "E7", "S4=on", fault) == "full"
        for verb in PROVOKING:
            assert seen(RIG, "E7", f"{verb} {spot}, S4=on", fault) == "dead", fault
        assert seen(RIG, "E7", "wiggle E8, S4=on", fault) == "full", fault


@pytest.mark.parametrize("state", [
    "limiter F1, S4=on", "substitute E7, S4=on", "ground E7.2, S4=on", "feed E7.1 10A", "swap K3 with K4, S5=on",
])  # fmt: skip
def test_the_laws_hold_with_an_aid_on(state: str) -> None:
    condition = read_condition(RIG, state).value
    netlist = put_on(RIG, lower(RIG).value, condition.aids)
    point = operate(netlist, condition.plain).settled.point
    assert not law_errors(netlist, point)


def test_the_watts_of_a_load_are_those_it_is_made_for() -> None:
    assert (rated_w(RIG, "E7"), rated_w(RIG, "E9"), rated_w(RIG, "nothing")) == (21.0, 55.0, 0.0)
