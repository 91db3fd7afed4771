import pytest

from loombench.app.case import bench_for
from loombench.circuit.fault import Fault
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.safety import (
    allowed,
    cautions,
    condition_allowed,
    handleable,
    operation_allowed,
    suspect_allowed,
    touchable,
)
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.vehicle.condition import VERBS, Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
from tests.diagnose.test_trying import MODULE
from tests.diagnose.vehicles import AIRBAG, LAMP, RELAY, vehicle

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


FIRING = (
    AIRBAG
    + """
module A9 at dash
  supply 1
  ground 2
  in 3 on when high
  out 4 high-side from 1 max 5A
  when 3: 4
resistor R41 2ohm at dash "belt tensioner"
class pyro R41.1 R41.2
F40.in (RD 1mm2 0.5m) A9.1
F40.in (RD 1mm2 0.5m) A9.3
A9.2 (BN 1mm2 0.5m) W1/x
A9.4 (YE 1mm2 0.5m) R41 (BN 1mm2 0.5m) W1/y
"""
)
AIRBAG_TARGETS = {
    "unplug": "X40", "plug": "X40", "pull": "F40", "insert": "F40", "couple": "X40", "uncouple": "X40",
    "limiter": "F40", "substitute": "R40", "ground": "R40.2", "feed": "R40.1", "swap": "F40", "actuate": "A9.4",
    "release": "A9.4",
    "wiggle": "X40", "heat": "X40", "wet": "X40",
}  # fmt: skip
"""What each verb would do to the airbag circuit; those that touch nothing are not among them."""
UNTOUCHED = ("set", "wait", "supply")


def test_no_verb_is_done_to_an_airbag_circuit() -> None:
    car = vehicle(FIRING)
    known = nets(car)
    assert set(AIRBAG_TARGETS) | set(UNTOUCHED) == set(VERBS), "a verb that nobody has thought of here"
    for verb, target in AIRBAG_TARGETS.items():
        operation = Operation(verb, target, {"feed": "10", "swap": "F12"}.get(verb, ""))
        assert not operation_allowed(car, known, operation), operation
        assert not condition_allowed(car, known, Condition((Operation("set", "S4", "on"), operation)))
    wire = next(wire for wire in car.wires if wire.a.part == "F40")
    assert not operation_allowed(car, known, Operation("wiggle", wire.id))
    assert not operation_allowed(car, known, Operation("hammer", "E7"))


def test_no_step_of_any_kind_is_on_an_airbag_circuit() -> None:
    bench = bench_for(vehicle(FIRING))
    on = Condition((Operation("set", "S4", "on"),))
    minus = Point("G1", "-", layer="pin")
    assert allowed(bench, See("E7", on))
    assert allowed(bench, FeelGrip("contact X12.1", Point("X12", "1", "boom")))
    for step in (
        FeelGrip("contact X40.1", Point("X40", "1", "boom")),
        FeelGrip("contact R40.1", Point("R40", "1")),
        ReadInput("A9", "3", on),
        *(
            step
            for verb, target in AIRBAG_TARGETS.items()
            for state in [Condition((Operation(verb, target, {"feed": "10", "swap": "F12"}.get(verb, "")),))]
            for step in (See("E7", state), Measure(Setup(state, Point("E7", "1"), minus)), ReadInput("A9", "3", state))
        ),
    ):
        assert not allowed(bench, step), step.id


def test_a_kind_of_step_that_nobody_has_thought_of_does_not_exist() -> None:
    class Strange(See):
        """See is what it would be taken for if kinds were not told apart."""

    class Unknown:
        load, condition = "E7", Condition()

    bench = bench_for(CAR)
    assert allowed(bench, Strange("E7", Condition()))
    assert not allowed(bench, Unknown())  # type: ignore[arg-type]


@pytest.mark.parametrize(("name", "verbs"), [
    ("interlock", ("limiter", "substitute", "ground", "feed", "wiggle", "heat", "wet")),
    ("safety", ("limiter", "substitute", "ground", "feed")),
    ("bus", ("limiter", "substitute", "ground", "feed")),
    ("sensor-supply", ("limiter", "substitute", "ground", "feed")),
    ("pwm", ("limiter", "substitute", "ground", "feed")),
    # A lamp that takes no more than the load may be switched by its output; nothing may be fed into it.
    ("module-output", ("feed",)),
])  # fmt: skip
def test_what_may_be_put_on_hangs_on_the_class_of_the_net(name: str, verbs: tuple[str, ...]) -> None:
    plain = vehicle(LAMP)
    marked = vehicle(LAMP + f"class {name} E7.1 E7.2 F12.out\n")
    operations = (
        Operation("limiter", "F12"), Operation("substitute", "E7"), Operation("ground", "E7.2"),
        Operation("feed", "E7.1", "10"), Operation("wiggle", "E7"), Operation("heat", "E7"), Operation("wet", "E7"),
    )  # fmt: skip
    for operation in operations:
        assert operation_allowed(plain, nets(plain), operation), operation
        if operation.verb in verbs:
            assert not operation_allowed(marked, nets(marked), operation), operation
    substitute = operation_allowed(marked, nets(marked), Operation("substitute", "E7"))
    assert substitute is ("substitute" not in verbs)


@pytest.mark.parametrize("name", ["pyro", "hv", "mains", "interlock", "safety", "bus"])
def test_no_wire_is_taken_off_the_pin_of_such_a_net(name: str) -> None:
    release = Operation("release", "A2.4")
    plain, marked = vehicle(MODULE), vehicle(MODULE + f"class {name} E7.1\n")
    assert operation_allowed(plain, nets(plain), release)
    assert not operation_allowed(marked, nets(marked), release)
    assert not operation_allowed(plain, nets(plain), Operation("release", "A2 4"))


def test_a_lead_goes_to_no_feed_and_past_no_second_switch() -> None:
    car = vehicle(LAMP)
    known = nets(car)
    assert not operation_allowed(car, known, Operation("ground", "F12.out"))
    assert not operation_allowed(car, known, Operation("ground", "E7.1"))
    assert not operation_allowed(car, known, Operation("feed", "E7.2", "10"))
    assert not operation_allowed(car, known, Operation("feed", "F12.out", "10"))
    assert not operation_allowed(car, known, Operation("swap", "F12", "E7"))


def moving(text: str) -> Vehicle:
    return vehicle(
        LAMP.replace('switch S4 off | on: 1=2 at dash "work lamps"', "switch S4 off | on: 1=2 at dash")
        + f"""
switch S8 off | on: 1=2 at dash
switch S9 off | on: 1=2 at dash
motor M5 12V 5A at head
loom chassis
F12.out (GY 1.5mm2 0.5m) S8.1
S8.2 (GY 1.5mm2 0.5m) {text}
M5.- (BN 1mm2 1m) W3/m
"""
    )


def test_what_moves_is_fed_past_its_own_switch_only() -> None:
    own = moving("M5.+")
    guarded = moving("S9.1\nS9.2 (GY 1.5mm2 0.5m) M5.+")
    feed = Operation("feed", "M5.+", "10")
    assert operation_allowed(own, nets(own), feed)
    assert not operation_allowed(guarded, nets(guarded), feed)
    horn = vehicle(RELAY)
    assert operation_allowed(horn, nets(horn), Operation("feed", "B7.1", "10"))


def test_each_thing_put_on_has_its_caution_before_it() -> None:
    bench = bench_for(CAR)
    for operation, key in (
        (Operation("limiter", "F12"), "aid-limiter"), (Operation("ground", "E7.2"), "aid-ground"),
        (Operation("feed", "E7.1", "10"), "aid-feed"), (Operation("wiggle", "X12"), "aid-wiggle"),
    ):  # fmt: skip
        state = Condition((operation,))
        assert key in cautions(bench, See("E7", state))
        assert key in cautions(bench, Measure(Setup(state, Point("E7", "1"), Point("G1", "-", layer="pin"))))
    assert {"unplug", "grip"} <= set(cautions(bench, FeelGrip("contact X12.1", Point("X12", "1", "boom"))))
    assert "scan" in cautions(bench, ReadInput("A9", "3", Condition()))


def test_no_heat_near_fuel_and_no_water_into_a_fuse() -> None:
    car = vehicle(LAMP.replace('place head reach 4min outside wet "boom head"', 'place head reach 4min fuel "tank"'))
    known = nets(car)
    assert car.places["head"].surroundings == ("fuel",)
    for target in ("E7", "X12", "X12.1@boom~SP2"):
        assert not operation_allowed(car, known, Operation("heat", target)), target
    plain = vehicle(LAMP)
    assert operation_allowed(plain, nets(plain), Operation("heat", "E7"))
    assert operation_allowed(plain, nets(plain), Operation("wet", "X12"))
    for part in ("F12", "S4", "G1"):
        assert not operation_allowed(plain, nets(plain), Operation("wet", part)), part
