"""Operations in order, and what meters show. The facts without a source are common practice."""

import math

import pytest

from loombench.circuit.meter import MeterReading, read
from loombench.circuit.netlist import FlasherAgent, FuseAgent, RelayAgent
from loombench.circuit.operate import operate, run
from loombench.vehicle.condition import METERS, Condition, Operation, Setup, read_operation
from loombench.vehicle.points import Point
from tests.circuit.hand import Hand


def condition(*texts: str) -> Condition:
    steps = [read_operation(text) for text in texts]
    return Condition(tuple(step for step in steps if step is not None))


def lamp_circuit() -> Hand:
    """Battery, fuse in a holder, switch, plug, lamp, ground wire; `loose` hangs in the air."""
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.control("seat:F", "in", "out")
    hand.memory("fuse:F", "whole", "blown")
    hand.ohm("F", "plus", "fused", 0.005, seat__F="in", fuse__F="whole")
    hand.agents.append(FuseAgent("fuse:F", "F", 10.0))
    hand.control("S", "off", "on")
    hand.ohm("S", "fused", "s2", 0.005, S="on")
    hand.ohm("S.2~E.1", "s2", "e1", 0.05)
    hand.control("plug:E", "plugged", "unplugged")
    hand.ohm("contact E.1", "e1", "pin1", 0.003, plug__E="plugged")
    hand.lamp("E", "pin1", "pin2", 12.0, 55.0)
    hand.ohm("contact E.2", "pin2", "e2", 0.003, plug__E="plugged")
    hand.control("ground", "sound", "broken")
    hand.ohm("E.2~W.a", "e2", "ground", 0.02, ground="sound")
    hand.ohm("stub", "loose", "loose end", 0.01)
    return hand


def reading(
    hand: Hand, meter: str, red: str, black: str | None, *operations: str, lead_ohm: float = 0.0
) -> MeterReading:
    setup = Setup(condition(*operations), Point(red), None if black is None else Point(black), meter, lead_ohm)
    return read(hand.netlist(), setup)


def test_a_voltmeter_reads_the_loaded_and_the_unloaded_pin() -> None:
    hand = lamp_circuit()
    loaded = reading(hand, "voltmeter", "e1", None, "S=on").value
    unloaded = reading(hand, "voltmeter", "e1", None, "S=on", "unplug E").value
    assert unloaded == pytest.approx(12.6, abs=1e-6)
    assert loaded is not None
    assert loaded == pytest.approx(12.6 - 4.65 * 0.065, abs=0.02)
    assert reading(hand, "voltmeter", "e1", "e2", "S=on", "pull F").value == pytest.approx(0.0, abs=1e-9)


def test_a_voltmeter_on_a_floating_pin_reads_nothing() -> None:
    """Common practice: 10 Mohm from ground to a grounded or a floating pin reads about 0 V."""
    hand = lamp_circuit()
    for black in ("ground", "plus"):
        floating = reading(hand, "voltmeter", "loose", black)
        assert floating.value == pytest.approx(0.0, abs=1e-9)
        assert floating.flags == ("floating",)
        assert floating.text == "0 mV (floating)"
    assert reading(hand, "voltmeter", "e2", "ground", "S=on").value == pytest.approx(4.65 * 0.02, abs=2e-3)


def test_a_lamp_with_open_ground_has_supply_on_both_sides_and_nothing_across() -> None:
    hand = lamp_circuit()
    for pin in ("e1", "e2"):
        assert reading(hand, "voltmeter", pin, "ground", "S=on", "ground=broken").value == pytest.approx(12.6, abs=1e-5)
    assert reading(hand, "voltmeter", "e1", "e2", "S=on", "ground=broken").value == pytest.approx(0.0, abs=1e-6)


def test_a_meter_loads_what_it_measures() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.0, 0.001)
    hand.ohm("R1", "plus", "pin", 1e6)
    hand.ohm("R2", "pin", "ground", 1e6)
    seen = {meter: reading(hand, meter, "pin", "ground") for meter in ("voltmeter", "low-impedance", "test-lamp")}
    assert seen["voltmeter"].value == pytest.approx(12.0 * 1e7 / (2e7 + 1e6), rel=1e-8)
    assert seen["low-impedance"].value == pytest.approx(12.0 * 3000.0 / (6000.0 + 1e6), rel=1e-6)
    assert (seen["test-lamp"].shows, seen["test-lamp"].value) == ("dark", pytest.approx(0.0, abs=1e-4))
    assert reading(hand, "voltmeter", "pin", "ground", lead_ohm=1e7).value == pytest.approx(
        6.0 * 1e7 / 2.05e7, rel=1e-8
    )


def test_a_test_lamp_lights_and_drops_in_its_leads() -> None:
    hand = lamp_circuit()
    bright = reading(hand, "test-lamp", "plus", "ground", lead_ohm=0.2)
    assert bright.shows == "bright"
    assert bright.value == pytest.approx(12.6 - 0.34 * 0.205, abs=0.01)
    assert reading(hand, "test-lamp", "plus", "e1").shows == "bright"  # through the cold lamp to ground
    assert reading(hand, "test-lamp", "e1", "ground").shows == "dark"


@pytest.mark.parametrize(("red", "black", "shows"), [
    ("plus", "ground", "lit, red lead plus"), ("ground", "plus", "lit, red minus"), ("e1", "ground", "dark"),
])  # fmt: skip
def test_a_led_tester_tells_the_side(red: str, black: str, shows: str) -> None:
    assert reading(lamp_circuit(), "led-tester", red, black).shows == shows


def test_an_ohmmeter_reads_the_cold_lamp_and_open_as_ol() -> None:
    hand = lamp_circuit()
    cold_ohm = 12.0**2 / 55.0 / 12.0
    cold = reading(hand, "ohmmeter", "pin1", "pin2", "unplug E")
    assert cold.value == pytest.approx(cold_ohm, rel=1e-2)
    assert cold.flags == ()
    with_leads = reading(hand, "ohmmeter", "pin1", "pin2", "unplug E", lead_ohm=0.2)
    assert with_leads.value == pytest.approx(cold_ohm + 0.2, rel=1e-2)
    open_circuit = reading(hand, "ohmmeter", "pin1", "e1", "unplug E")
    assert (open_circuit.value, open_circuit.text) == (math.inf, "OL")
    assert reading(hand, "buzzer", "e1", "e2").shows == "sounds"
    assert reading(hand, "buzzer", "pin1", "e1", "unplug E").shows == "silent"


def test_an_ohmmeter_on_a_live_circuit_is_flagged() -> None:
    live = reading(lamp_circuit(), "ohmmeter", "e1", "e2", "S=on")
    assert "live" in live.flags
    reverse = reading(lamp_circuit(), "ohmmeter", "e2", "e1", "S=on")
    assert live.value is not None
    assert reverse.value is not None
    assert live.value < 0.0 or reverse.value < 0.0


def test_a_clamp_reads_the_wire_with_its_way() -> None:
    hand = lamp_circuit()
    current = reading(hand, "clamp", "s2", None, "S=on").value
    assert current == pytest.approx(4.6, abs=0.1)
    assert reading(hand, "clamp", "e1", None, "S=on").value == pytest.approx(-current, rel=1e-9)
    assert reading(hand, "clamp", "s2", None).value == pytest.approx(0.0, abs=1e-9)


def flashing() -> Hand:
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    hand.memory("flasher:K", "open", "closed")
    hand.ohm("K", "plus", "49a", 0.01, flasher__K="closed")
    hand.ohm("lamps", "49a", "ground", 3.0)
    hand.agents.append(FlasherAgent("flasher:K", "K", hand.node("plus"), hand.node("49a"), 0, 0.8, 1.0))
    return hand


@pytest.mark.parametrize("meter", ["voltmeter", "min-max", "scope"])
def test_over_a_rhythm_a_voltmeter_shows_the_mean(meter: str) -> None:
    seen = reading(flashing(), meter, "49a", "ground")
    high = 12.0 * 3.0 / 3.015
    assert seen.value == pytest.approx(high / 2, rel=1e-6)
    assert (seen.low, seen.high) == (pytest.approx(0.0, abs=1e-9), pytest.approx(high, rel=1e-6))
    assert seen.flags == ("pulsing",)
    assert [seconds for seconds, _ in seen.trace] == [0.4, 0.4]


def test_a_low_impedance_meter_may_hold_a_relay_that_a_voltmeter_does_not() -> None:
    """A test lamp from supply to a coil's switched end feeds the coil: the meter changes what it measures."""
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    hand.memory("relay:K", "released", "pulled")
    hand.ohm("K.coil", "coil", "ground", 255.0)
    hand.agents.append(RelayAgent("relay:K", hand.node("coil"), 0, 8.0, 1.5, "K.coil", 255.0))
    assert "moves" in reading(hand, "test-lamp", "plus", "coil").flags
    assert reading(hand, "voltmeter", "plus", "coil").flags == ()
    assert reading(hand, "voltmeter", "plus", "coil").value == pytest.approx(12.0, abs=1e-3)


def test_a_fuse_that_may_hold_gives_both_readings() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.0, 0.001)
    hand.memory("fuse:F", "whole", "blown")
    hand.ohm("F", "plus", "out", 0.005, fuse__F="whole")
    hand.agents.append(FuseAgent("fuse:F", "F", 10.0))
    hand.ohm("load", "out", "ground", 1.0)
    seen = reading(hand, "voltmeter", "out", "ground")
    assert (seen.low, seen.high) == (pytest.approx(0.0, abs=1e-9), pytest.approx(11.93, abs=0.01))
    assert seen.value == seen.high
    assert "may-hold" in seen.flags


def test_history_decides() -> None:
    """The same inputs, reached in two ways: with the holding relay pulled in before its feed went weak, and after."""
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    hand.control("feed", "good", "weak")
    hand.control("S", "off", "on")
    for state, ohm in (("good", 0.01), ("weak", 120.0)):
        hand.ohm(state, "plus", "s", ohm, feed=state)
    hand.ohm("S", "s", "coil", 0.01, S="on")
    hand.memory("relay:K", "released", "pulled")
    hand.ohm("K.coil", "coil", "ground", 85.0)
    hand.agents.append(RelayAgent("relay:K", hand.node("coil"), 0, 8.0, 1.5, "K.coil", 85.0))
    netlist = hand.netlist()
    assert run(netlist, condition("S=on", "feed=weak")).point.state["relay:K"] == "pulled"
    assert run(netlist, condition("feed=weak", "S=on")).point.state["relay:K"] == "released"
    seen = read(netlist, Setup(condition("S=on", "feed=weak"), Point("coil"), None))
    assert seen.value == pytest.approx(12.0 * 85.0 / 205.0, rel=1e-3)


def test_a_blown_fuse_stays_blown_when_its_short_is_gone() -> None:
    hand = lamp_circuit()
    hand.control("short", "off", "on")
    hand.ohm("short", "fused", "ground", 0.01, short="on")
    assert run(hand.netlist(), condition("short=on", "short=off")).point.state["fuse:F"] == "blown"


def test_a_supply_holds_from_where_it_is_given() -> None:
    hand = lamp_circuit()
    assert reading(hand, "voltmeter", "plus", None, "supply 11.2V").value == pytest.approx(11.2, abs=1e-3)
    assert operate(hand.netlist(), condition("supply 11.2V")).ready.p.netlist.element_by_id["G"].emf_v == 11.2  # type: ignore[union-attr]


@pytest.mark.parametrize("operation", [
    Operation("set", "nothing", "on"), Operation("set", "S", "sideways"), Operation("unplug", "Z"),
    Operation("jump", "S"),
])  # fmt: skip
def test_names_that_there_are_not_are_our_mistake(operation: Operation) -> None:
    with pytest.raises(KeyError):
        run(lamp_circuit().netlist(), Condition((operation,)))


def test_every_meter_answers_everywhere() -> None:
    hand = lamp_circuit()
    for meter in METERS:
        for red in hand.nodes:
            for black in ("ground", "plus", "loose", "pin1"):
                seen = reading(hand, meter, red, black, "S=on")
                assert seen.value is not None
                assert seen.text
