"""Modules, timers and rhythms."""

import pytest

from loombench.circuit.finding import OutputLimits
from loombench.circuit.netlist import (
    CamAgent,
    FlasherAgent,
    InputReading,
    ModuleAgent,
    OutputDrive,
    RuleDrive,
    TimerAgent,
)
from loombench.circuit.point import Settled
from loombench.circuit.settle import settle
from loombench.vehicle.module import All, Not, Rule
from loombench.vehicle.module import Test as Pin
from tests.circuit.hand import Hand, kinds


def module(
    rule: Rule,
    load_ohm: float = 12.0,
    latches: bool = False,
    limit_a: float = 0.0,
    pwm: tuple[float, float] = (1.0, 0.0),
    asleep_after_s: float = 0.0,
    feed_ohm: float = 0.01,
    **timing: float,
) -> Hand:
    """A module with one switched input, one high-side output and one rule."""
    hand = Hand()
    hand.battery("G", "plus", 12.0, 0.001)
    hand.control("S", "off", "on")
    hand.control("engine", "off", "crank", "run")
    hand.ohm("feed", "plus", "supply", feed_ohm)
    hand.memory("module:A", "reset", "awake", "asleep")
    hand.memory("input:A.1", "off", "on")
    hand.memory("output:A.2", "off", "on", *(["tripped"] if latches else []))
    hand.ohm("draw", "supply", "ground", 120.0, module__A="awake")
    hand.ohm("S", "plus", "in", 0.01, S="on")
    hand.ohm("pull", "in", "ground", 1000.0)
    hand.elements.append(
        type(hand.elements[1])("A.2", hand.node("supply"), hand.node("out"), 0.02, hand.gates({"output__A.2": "on"}))
    )
    hand.ohm("load", "out", "ground", load_ohm)
    hand.agents.append(
        ModuleAgent(
            "A",
            "module:A",
            (hand.node("supply"),),
            0,
            6.5,
            6.0,
            (InputReading("1", hand.node("in"), 0, 8.0, 4.0, "high"),),
            (OutputDrive("output:A.2", "A.2", limit_a, latches, *pwm),),
            (RuleDrive(rule, ("output:A.2",), **timing),),
            asleep_after_s,
        )
    )
    return hand


def output(settled: Settled) -> str:
    return settled.point.state["output:A.2"]


def test_a_module_passes_its_input_on() -> None:
    netlist = module(Pin("1")).netlist()
    off, on = settle(netlist, {}, {}), settle(netlist, {"S": "on"}, {})
    assert (output(off), output(on)) == ("off", "on")
    assert off.point.state["module:A"] == "awake"
    assert on.point.current_a("load") == pytest.approx(1.0, rel=0.01)


def test_rules_have_an_engine() -> None:
    netlist = module(All((Pin("1"), Not(Pin("engine"))))).netlist()
    assert output(settle(netlist, {"S": "on", "engine": "off"}, {})) == "on"
    assert output(settle(netlist, {"S": "on", "engine": "run"}, {})) == "off"
    assert output(settle(netlist, {"S": "on", "engine": "crank"}, {})) == "on"


@pytest.mark.parametrize(("series_ohm", "from_off", "from_on"), [
    (1.0, "on", "on"), (1000.0, "off", "on"), (4000.0, "off", "off"),
])  # fmt: skip
def test_an_input_between_its_thresholds_keeps_its_value(series_ohm: float, from_off: str, from_on: str) -> None:
    hand = module(Pin("1"))
    hand.ohm("dirty switch", "plus", "in", series_ohm)
    for before, after in (("off", from_off), ("on", from_on)):
        settled = settle(hand.netlist(), {}, {"module:A": "awake", "input:A.1": before})
        assert settled.point.state["input:A.1"] == after


def test_a_module_that_starves_resets_for_ever() -> None:
    """A module behind a resistive feed starts, draws, browns out: nothing declares that rhythm, so it chatters."""
    settled = settle(module(Pin("awake"), load_ohm=2.0, feed_ohm=5.0).netlist(), {}, {})
    assert kinds(settled) == ["Chatter"]
    assert settled.findings[0].variables == ("module:A", "output:A.2")  # type: ignore[union-attr]


def test_a_latched_output_stays_off_until_its_rule_goes_away() -> None:
    netlist = module(Pin("1"), load_ohm=0.1, latches=True, limit_a=20.0).netlist()
    on = settle(netlist, {"S": "on"}, {})
    assert output(on) == "tripped"
    (found,) = on.findings
    assert isinstance(found, OutputLimits)
    assert found.current_a == pytest.approx(12.0 / 0.131, rel=0.01)
    assert output(settle(netlist, {"S": "on"}, on.memory)) == "tripped"
    assert output(settle(netlist, {"S": "off"}, on.memory)) == "off"


def test_an_output_that_does_not_latch_protects_itself_each_time() -> None:
    netlist = module(Pin("1"), load_ohm=0.1, limit_a=20.0).netlist()
    on = settle(netlist, {"S": "on"}, {})
    assert (output(on), kinds(on)) == ("off", ["OutputLimits"])
    assert kinds(settle(netlist, {"S": "on"}, on.memory)) == ["OutputLimits"]


def test_delays_and_pulses_run_out() -> None:
    netlist = module(Pin("1"), after_s=2.0, for_s=3.0).netlist()
    rest = settle(netlist, {}, {})
    for seconds, state in ((0.0, "off"), (1.9, "off"), (2.0, "on"), (4.9, "on"), (5.0, "off"), (60.0, "off")):
        assert output(settle(netlist, {"S": "on"}, rest.memory, seconds)) == state
    first = settle(netlist, {"S": "on"}, rest.memory, 1.5)
    assert output(settle(netlist, {"S": "on"}, first.memory, 1.0)) == "on"
    assert output(settle(netlist, {"S": "on"}, rest.memory)) == "off"


def test_a_module_falls_asleep_and_wakes() -> None:
    netlist = module(Pin("1"), asleep_after_s=30.0).netlist()
    rest = settle(netlist, {}, {})
    assert rest.point.state["module:A"] == "awake"
    assert settle(netlist, {}, rest.memory, 29.0).point.state["module:A"] == "awake"
    asleep = settle(netlist, {}, rest.memory, 30.0)
    assert asleep.point.state["module:A"] == "asleep"
    assert settle(netlist, {}, asleep.memory).point.state["module:A"] == "asleep"
    woken = settle(netlist, {"S": "on"}, asleep.memory)
    assert (woken.point.state["module:A"], output(woken)) == ("awake", "on")


def test_ticking_is_phases() -> None:
    settled = settle(module(Pin("1"), tick_s=0.5, every_s=4.0).netlist(), {"S": "on"}, {})
    assert settled.findings == ()
    assert [(phase.share, phase.seconds, phase.point.state["output:A.2"]) for phase in settled.phases] == [
        (0.125, 0.5, "on"),
        (0.875, 3.5, "off"),
    ]
    assert settle(module(Pin("1"), tick_s=0.5, every_s=4.0).netlist(), {}, {}).phases == ()


def test_pwm_is_phases() -> None:
    settled = settle(module(Pin("1"), pwm=(0.3, 100.0)).netlist(), {"S": "on"}, {})
    assert [phase.share for phase in settled.phases] == pytest.approx([0.3, 0.7])
    assert settled.phases[0].seconds == pytest.approx(0.003)


def test_two_rhythms_are_combined() -> None:
    settled = settle(module(Pin("1"), pwm=(0.3, 100.0), tick_s=1.0, every_s=4.0).netlist(), {"S": "on"}, {})
    on = sum(phase.share for phase in settled.phases if phase.point.state["output:A.2"] == "on")
    assert on == pytest.approx(0.3 * 0.25)
    assert sum(phase.share for phase in settled.phases) == pytest.approx(1.0)


def flasher(load_ohm: float) -> Hand:
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    hand.memory("flasher:K", "open", "closed")
    hand.ohm("K", "plus", "49a", 0.01, flasher__K="closed")
    hand.control("S", "off", "left")
    hand.ohm("S", "49a", "left", 0.01, S="left")
    hand.ohm("lamps", "left", "ground", load_ohm)
    hand.agents.append(FlasherAgent("flasher:K", "K", hand.node("plus"), hand.node("49a"), 0, 0.7, 3.0))
    return hand


@pytest.mark.parametrize(("load_ohm", "seconds"), [(3.0, 0.35), (6.0, 0.175)])
def test_a_flasher_flashes_while_asked_and_faster_with_a_lamp_out(load_ohm: float, seconds: float) -> None:
    hand = flasher(load_ohm)
    settled = settle(hand.netlist(), {"S": "left"}, {})
    assert [phase.seconds for phase in settled.phases] == pytest.approx([seconds, seconds])
    assert [phase.point.current_a("lamps") > 1.0 for phase in settled.phases] == [True, False]
    assert settle(hand.netlist(), {}, settled.memory).phases == ()


@pytest.mark.parametrize(("mode", "on", "after"), [
    ("on-delay", ("open", "open", "closed"), ("open", "open")),
    ("interval", ("closed", "closed", "open"), ("open", "open")),
    ("off-delay", ("closed", "closed", "closed"), ("closed", "open")),
])  # fmt: skip
def test_timer_relays(mode: str, on: tuple[str, str, str], after: tuple[str, str]) -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    hand.control("S", "off", "on")
    hand.memory("timer:K", "open", "closed")
    hand.ohm("S", "plus", "15", 0.01, S="on")
    hand.ohm("control", "15", "ground", 1000.0)
    hand.ohm("K", "plus", "87", 0.01, timer__K="closed")
    hand.ohm("load", "87", "ground", 10.0)
    hand.agents.append(TimerAgent("timer:K", mode, hand.node("plus"), hand.node("15"), 0, 8.0, 5.0))
    netlist = hand.netlist()
    rest = settle(netlist, {}, {})
    assert rest.point.state["timer:K"] == "open"
    states = [settle(netlist, {"S": "on"}, rest.memory, t).point.state["timer:K"] for t in (0.0, 4.0, 5.0)]
    assert tuple(states) == on
    assert settle(netlist, {"S": "on"}, rest.memory).point.state["timer:K"] == on[2]
    held = settle(netlist, {"S": "on"}, rest.memory, 10.0)
    states = [settle(netlist, {"S": "off"}, held.memory, t).point.state["timer:K"] for t in (0.0, 5.0)]
    assert tuple(states) == after


def wiper(park_ohm: float = 0.01) -> Hand:
    """A wiper that parks itself: the cam feeds the motor while it is away from park and the switch is off."""
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    hand.control("S", "park", "wipe")
    hand.memory("cam", "parked", "away")
    hand.ohm("S wipe", "plus", "motor", 0.01, S="wipe")
    hand.ohm("S park", "park", "motor", 0.01, S="park")
    hand.ohm("cam", "plus", "park", park_ohm, cam="away")
    hand.ohm("motor", "motor", "ground", 3.0)
    hand.agents.append(CamAgent("cam", ("motor",), 4.0, "parked", "away", 0.1, 1.5))
    return hand


def test_a_wiper_turns_and_parks() -> None:
    netlist = wiper().netlist()
    on = settle(netlist, {"S": "wipe"}, {})
    assert [(phase.point.state["cam"], phase.share) for phase in on.phases] == [
        ("away", pytest.approx(0.9)),
        ("parked", pytest.approx(0.1)),
    ]
    off = settle(netlist, {"S": "park"}, on.memory)
    assert (off.point.state["cam"], off.phases, off.point.current_a("motor")) == ("parked", (), pytest.approx(0.0))


def test_a_wiper_with_an_open_park_contact_stops_where_it_is() -> None:
    netlist = wiper(1e9).netlist()
    off = settle(netlist, {"S": "park"}, settle(netlist, {"S": "wipe"}, {}).memory)
    assert (off.point.state["cam"], off.phases) == ("away", ())


def test_timers_that_set_each_other_off_are_a_rhythm() -> None:
    """An on-delay timer that cuts its own control when it closes, through a relay that lags by its own delay."""
    hand = Hand()
    hand.battery("G", "plus", 12.0)
    for name, control, gate in (("K1", "c1", "open"), ("K2", "c2", "closed")):
        hand.memory(f"timer:{name}", "open", "closed")
        other = "K2" if name == "K1" else "K1"
        hand.ohm(f"feed {name}", "plus", control, 0.01, **{f"timer__{other}": gate})
        hand.ohm(f"control {name}", control, "ground", 1000.0)
    for name, control, mode, time_s in (("K1", "c1", "on-delay", 2.0), ("K2", "c2", "on-delay", 1.0)):
        hand.agents.append(TimerAgent(f"timer:{name}", mode, hand.node("plus"), hand.node(control), 0, 8.0, time_s))
    settled = settle(hand.netlist(), {}, {})
    assert settled.findings == ()
    assert [(phase.seconds, phase.point.state["timer:K1"]) for phase in settled.phases] == [
        (pytest.approx(2.0), "open"),
        (pytest.approx(1.0), "closed"),
    ]
