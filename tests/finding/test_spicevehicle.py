"""A vehicle in ngspice answers as a vehicle would: near the sound values, but not on them; its damages do harm."""

import pytest

from benchmarks.spicevehicle import BATTERY_V, SpiceVehicle
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.predict import predict
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import Measure
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, vehicle
from tests.ngspice.driver import Spice

pytestmark = pytest.mark.ngspice

CAR = vehicle(LAMP)
ON = Condition((Operation("set", "S4", "on"),))
MINUS = Point("G1", "-", layer="pin")
FEED = Measure(Setup(ON, Point("E7", "1"), MINUS))
APART = Measure(Setup(ON.then(Operation("pull", "F12")), Point("F12", "in", layer="pin"), Point("F12", "out", layer="pin"), "ohmmeter"))  # fmt: skip  # noqa: E501


def test_readings_are_spread_about_the_sound_ones() -> None:
    sound = float(predict(CAR, [FEED.setup], [()]).values[0, 0])
    with Spice(10.0) as spice:
        shown = [SpiceVehicle(CAR, spice, None, (), frozenset(), seed).reply(FEED, ()) for seed in range(4)]
        again = SpiceVehicle(CAR, spice, None, (), frozenset(), 0).reply(FEED, ())
    assert shown[0] == again
    assert len(set(shown)) >= 3
    low, high = BATTERY_V
    for value in shown:
        assert isinstance(value, float)
        assert sound - (12.6 - low) - 0.6 < value < sound + (high - 12.6) + 0.6


def test_a_fault_a_repair_and_an_ohmmeter() -> None:
    with Spice(10.0) as spice:
        car = SpiceVehicle(CAR, spice, Fault("open", "contact E7.1"), (), frozenset(("contact E7.1",)), 1)
        assert car.reply(See("E7", ON), ()) == "dead"
        assert car.reply(Mend("contact E7.1", (), "E7", ON, 1.0), ()) == "works"
        assert car.reply(See("E7", ON), ("contact E7.1",)) == "works"
        ohms = car.reply(APART, ())
        beyond = car.reply(Measure(Setup(ON, Point("E7", "1", layer="pin"), MINUS)), ())
    assert isinstance(ohms, float)
    assert 0.0 < ohms < 1.0
    # Beyond the open terminal the lamp holds its pin at ground.
    assert isinstance(beyond, float)
    assert abs(beyond) < 0.1


def test_a_joint_that_rectifies_and_a_winding_that_is_shorted() -> None:
    netlist = lower(CAR).value
    (lamp,) = netlist.element_of["E7"]
    ends = (netlist.element_by_id[lamp].a, netlist.element_by_id[lamp].b)
    (joint,) = netlist.element_of["contact E7.1"]
    with Spice(10.0) as spice:
        ways = [
            SpiceVehicle(CAR, spice, None, ("rectifies", joint, way), frozenset(), 2).effects(True, ON)["E7"]
            for way in ("along", "against")
        ]
        sound = SpiceVehicle(CAR, spice, None, (), frozenset(), 2).effects(True, ON)["E7"]
        turns = SpiceVehicle(CAR, spice, None, ("joins", *map(str, ends), "0.05"), frozenset(), 2)
        assert turns.word("E7", ON, True) == "dead"
        assert "blown" in (value for name, value in turns.phases(True, ON)[0].state.items() if name.startswith("fuse:"))
    assert min(ways) < 0.2 * sound
    assert 0.8 * sound < max(ways) < 0.97 * sound
