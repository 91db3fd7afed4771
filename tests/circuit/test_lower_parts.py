"""What each kind of part becomes: rated figures come out at rated volts, variables and agents are there."""

from typing import TypeVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit.bare.laws import JUNCTION_LEAK_S
from loombench.circuit.laws import law_errors
from loombench.circuit.netlist import (
    Battery,
    BreakerAgent,
    CamAgent,
    Conductor,
    FlasherAgent,
    FuseAgent,
    ModuleAgent,
    Netlist,
    Regulated,
    RelayAgent,
    SupplyAgent,
    TimerAgent,
)
from tests.circuit.vehicles import bench, example, netlist, one, point, settled, vehicle, volts

Kind = TypeVar("Kind")


def _agent(lowered: Netlist, kind: type[Kind]) -> Kind:
    (found,) = (agent for agent in lowered.agents if isinstance(agent, kind))
    return found


def _current_at(text: str, supply: float, plus: str = "1", minus: str = "2", element: str = "X1") -> float:
    of = bench(text, plus, minus)
    lowered, rest = settled(of)
    assert law_errors(lowered, rest.point) == ()
    return settled(of, f"supply {supply}V")[1].point.current_a(element)


@pytest.mark.parametrize(
    ("text", "ends", "amperes"),
    [
        ("lamp X1 12V 21W", "1 2", 21 / 12),
        ("heater X1 12V 150W", "1 2", 12.5),
        ("heater X1 3ohm", "1 2", 4.0),
        ("solenoid X1 12V 1.5A", "1 2", 1.5),
        ("horn X1 12V 5A", "1 2", 5.0),
        ("resistor X1 4k7", "1 2", 12 / 4700),
        ("motor X1 12V 20A", "+ -", 20.0),
        ("motor X1 12V 25A reversing", "a b", 25.0),
        ("motor X1 12V 25A reversing", "b a", -25.0),
        ("led X1 12V 6W", "+ -", 0.5),
        ("sensor X1 2wire 1kohm", "1 2", 0.012),
        ("terminator X1 120ohm", "1 2", 0.1),
        ("bus-node X1 30kohm", "H L", 0.0004),
    ],
)
def test_a_load_draws_its_rated_current_at_its_rated_volts(text: str, ends: str, amperes: float) -> None:
    """The supply makes up for what two contacts and the battery take."""
    supply = 12.0 + abs(amperes) * (2 * 0.0053 + 0.45 / 95)
    assert _current_at(text, supply, *ends.split()) == pytest.approx(amperes, rel=0.003)


def test_a_diode_passes_one_way() -> None:
    """0.9 V at 3 A (from memory): in series with 3.7 ohm at 12 V it carries 3 A, the other way round nothing."""
    of = bench("unit X1\n  1-m diode 3A\n  m-2 resistor 3.7ohm")
    back = bench("unit X1\n  m-1 diode 3A\n  m-2 resistor 3.7ohm")
    assert settled(of, "supply 12V")[1].point.current_a("X1.m-2") == pytest.approx(3.0, rel=0.01)
    assert settled(back, "supply 12V")[1].point.current_a("X1.m-2") == pytest.approx(0.0, abs=1e-6)


@given(watts=st.floats(0.1, 100.0), rated=st.sampled_from([12.0, 24.0]))
def test_led_units_of_any_size_draw_their_current(watts: float, rated: float) -> None:
    of = bench(f"led X1 {rated:g}V {watts:.4f}W", "+", "-", int(rated))
    assert settled(of, f"supply {rated:g}V")[1].point.current_a("X1") == pytest.approx(watts / rated, rel=0.2)
    lowered, rest = settled(of)
    assert law_errors(lowered, rest.point) == ()


def test_battery_by_capacity_and_volts() -> None:
    """Rest volts 12.65 and 25.3 (BCI, from memory); internal 0.45 ohm Ah and charging 50 ohm Ah (estimates), twice that
    at 24 V."""
    assert battery("battery G1 90Ah") == pytest.approx((12.65, 0.005, 50 / 90, 1.0))
    assert battery("battery G1 24V 90Ah", 24) == pytest.approx((25.3, 0.01, 100 / 90, 1.0))
    assert battery("battery G1 12V 90Ah", 24) == pytest.approx((12.65, 0.005, 50 / 90, 0.5))
    assert battery("battery G1 90Ah 20mohm") == pytest.approx((12.65, 0.02, 50 / 90, 1.0))


def battery(line: str, nominal_v: int = 12) -> tuple[float, float, float, float]:
    """Volts, resistance while it gives and while it takes, and share of G1, from its elements."""
    known = netlist(vehicle(line, nominal_v)).element_by_id
    post, takes, gives = known["G1"], known["G1:emf"], known["G1:gives"]
    assert isinstance(post, Conductor)
    assert isinstance(takes, Battery)
    assert isinstance(gives, Regulated)
    assert (gives.set_v, gives.share) == (takes.emf_v, takes.share)
    both_ohm = 1.0 / (1.0 / takes.resistance_ohm + 1.0 / gives.resistance_ohm)
    return takes.emf_v, post.resistance_ohm + both_ohm, post.resistance_ohm + takes.resistance_ohm, takes.share


@pytest.mark.parametrize(("written", "internal_ohm"), [("", 0.005), (" 0.5ohm", 0.5), (" 3ohm", 3.0)])
@pytest.mark.parametrize("load_ohm", [0.01, 1.0, 100.0])
def test_a_battery_that_gives_is_its_volts_behind_its_internal_resistance(
    written: str, internal_ohm: float, load_ohm: float
) -> None:
    """Ohm's law, also where the resistance is above the charging one; and by half the volts that a condition sets."""
    of = vehicle(f"battery G1 90Ah{written}\nresistor R1 {load_ohm}ohm\nG1.+ (RD 50mm2 0.1m) R1 (BK 50mm2 0.1m) G1.-\n")
    for condition, emf_v in (("", 12.65), ("supply 6V", 6.0)):
        lowered, at = settled(of, condition)
        given_a = at.point.current_a("R1")
        post_v = at.point.inner_v[lowered.node_of[point("G1.+:pin")]]
        # The supply that stands for charging blocks, and leaks.
        assert post_v == pytest.approx(emf_v - internal_ohm * given_a, abs=13.0 * JUNCTION_LEAK_S * internal_ohm + 1e-9)
        assert given_a > 0.9 * emf_v / (internal_ohm + load_ohm + 0.01)


def test_a_battery_that_is_open_gives_and_takes_nothing() -> None:
    of = vehicle("battery G1 95Ah\nalternator G2 90A\nG1.+ (RD 50mm2 0.1m) G2.B+\nG1.- (BK 50mm2 0.1m) G2.-\n")
    for condition in ("", "engine=run"):
        assert settled(of, condition, "open G1")[1].point.current_a("G1") == 0.0
    worn = settled(of, "engine=run", "resistance 1ohm G1")[1].point.current_a("G1")
    assert worn == pytest.approx((14.4 - 12.65) / (50 / 95 + 1.0), rel=0.01)


def test_two_batteries_in_series_share_a_supply_that_is_set() -> None:
    of = vehicle("battery G1 12V 90Ah\nbattery G2 12V 90Ah\nG1.+ (RD 50mm2 0.3m) G2.-\n", 24)
    assert volts(of, "G2.+", "supply 24.2V") == pytest.approx(24.2)
    assert volts(of, "G1.+", "supply 24.2V") == pytest.approx(12.1)


def test_the_reference_is_the_minus_post_of_the_first_battery() -> None:
    lowered = netlist(bench("heater X1 2ohm"))
    assert [str(point) for point in lowered.names[lowered.reference]] == ["G1.-:pin"]


def test_an_alternator_charges_while_the_engine_runs() -> None:
    """14.4 V at 20 C (common practice) behind 5 mohm; a full battery has 50 ohm Ah over its capacity (estimates)."""
    of = vehicle("battery G1 95Ah\nalternator G2 90A\nG1.+ (RD 50mm2 0.1m) G2.B+\nG1.- (BK 50mm2 0.1m) G2.-\n")
    assert volts(of, "G2.B+") == pytest.approx(12.65)
    assert volts(of, "G2.B+:pin", "engine=crank") == pytest.approx(12.65)
    charge_a = (14.4 - 12.65) / (50 / 95 + 0.005)
    assert volts(of, "G2.B+:pin", "engine=run") == pytest.approx(14.4 - 0.005 * charge_a, abs=0.01)
    assert settled(of, "engine=run")[1].point.current_a("G2") == pytest.approx(-charge_a, rel=0.01)
    assert volts(of, "G2.D+", "engine=run") > 14.0
    assert volts(of, "G2.D+") == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "rest_v", "low_v", "high_v"),
    [
        ("telehandler-roof/vehicle.circuit", 12.65, 14.0, 14.5),
        ("tipper-tarpaulin/vehicle.circuit", 12.65, 14.0, 14.5),
        ("flatbed-indicators/vehicle.circuit", 25.3, 28.0, 29.0),
    ],
)
def test_a_sound_vehicle_charges_a_full_battery_with_a_few_amperes(
    name: str, rest_v: float, low_v: float, high_v: float
) -> None:
    """14.0 to 14.5 V at the battery of a running engine, twice that at 24 V (common practice): with nothing found, and
    battery volts where the alternator is dead."""
    of = example(name)
    assert low_v < volts(of, "G1.+", "engine=run") - volts(of, "G1.-", "engine=run") < high_v
    at = settled(of, "engine=run")[1]
    assert (at.findings, at.alternatives) == ((), ())
    assert 1.0 < at.point.current_a("G1") < 10.0
    assert volts(of, "G1.+", "engine=run", "open G2") == pytest.approx(rest_v, abs=0.05)


def test_a_fuse_holds_what_it_is_made_for_and_blows_above() -> None:
    def of(ohm: float) -> object:
        return settled(
            vehicle(f"battery G1 95Ah\nfuse F1 10A\nheater X1 {ohm}ohm\nG1.+ (RD 6mm2 0.1m) F1 (RD 6mm2 0.1m) X1"
                    f" (RD 6mm2 0.1m) G1.-\n")
        )[1].point.state["fuse:F1"]  # fmt: skip

    assert of(1.3) == "whole"
    assert of(0.5) == "blown"


def test_a_fuse_of_unknown_rating_is_asked_by_its_greatest() -> None:
    agent = _agent(netlist(bench("fuse X1 ?A", "in", "out")), FuseAgent)
    assert agent.rated_a == 30.0
    assert agent.series == "blade"
    assert _agent(netlist(bench("fuselink X1 100A", "in", "out")), FuseAgent).series == "link"


@pytest.mark.parametrize("word", ["cycling", "stays-open", "manual"])
def test_breakers(word: str) -> None:
    agent = _agent(netlist(bench(f"breaker X1 15A {word}", "in", "out")), BreakerAgent)
    assert (agent.resets, agent.rated_a, agent.variable) == (word, 15.0, "breaker:X1")


def test_a_pair_that_several_positions_join_is_one_contact() -> None:
    lowered = netlist(vehicle("battery G1 95Ah\nswitch S1 off | acc: 30=75 | run: 30=15 30=75 | start!: 30=15 30=50\n"))
    assert lowered.element_of["S1"] == ("S1.30=75", "S1.30=15", "S1.30=50")
    (gate,) = one(lowered, "S1.30=75").gates
    assert (gate.variable, gate.closed_in) == ("S1", ("acc", "run"))
    assert lowered.variable_by_name["S1"].states == ("off", "acc", "run", "start")


def test_poles_and_other_names_of_a_switch() -> None:
    lowered = netlist(example("cases/2-wiper.circuit"))
    assert {"S7.wipe", "S7.wash"} <= set(lowered.element_of)
    assert lowered.aliases["stalk.wipe"] == "S7.wipe"


RELAY = """
battery G1 95Ah
switch S1 off | on: 1=2
relay K1 changeover 30 85 86 87 87a diode 86
heater E1 2ohm
heater E2 2ohm
G1.+ (RD 6mm2 0.1m) K1.30
G1.+ (RD 1mm2 0.1m) S1 (RD 1mm2 0.1m) K1.86
K1.85 (BK 1mm2 0.1m) G1.-
K1.87 (RD 6mm2 0.1m) E1 (BK 6mm2 0.1m) G1.-
K1.87a (RD 6mm2 0.1m) E2 (BK 6mm2 0.1m) G1.-
"""


def test_a_relay_changes_over() -> None:
    """TE Connectivity, Power Relay B data sheet (printed): 85 ohm, pulls at 8 V, lets go at 1.5 V."""
    of = vehicle(RELAY)
    agent = _agent(netlist(of), RelayAgent)
    assert (agent.pick_up_v, agent.drop_out_v, agent.coil, agent.coil_ohm) == (8.0, 1.5, "K1.coil", 85.0)
    released, pulled = (settled(of, condition)[1].point for condition in ("", "S1=on"))
    assert released.current_a("E2") == pytest.approx(6.2, abs=0.1)
    assert released.current_a("E1") == pytest.approx(0.0, abs=1e-9)
    assert pulled.current_a("E1") == pytest.approx(6.2, abs=0.1)
    assert pulled.current_a("E2") == pytest.approx(0.0, abs=1e-9)
    assert pulled.current_a("K1.coil") == pytest.approx(-12.6 / 85, rel=0.01)


def test_a_coil_below_pick_up_does_not_pull_and_a_held_one_stays() -> None:
    of = vehicle(RELAY)
    assert settled(of, "supply 7V, S1=on")[1].point.state["relay:K1"] == "released"
    assert settled(of, "S1=on, supply 7V")[1].point.state["relay:K1"] == "pulled"
    assert settled(of, "S1=on, supply 1V")[1].point.state["relay:K1"] == "released"


def test_a_24_volt_relay_and_one_with_its_own_figures() -> None:
    of = vehicle("battery G1 24V 95Ah\nrelay K1 make 30 85 86 87\n", 24)
    agent = _agent(netlist(of), RelayAgent)
    assert (agent.pick_up_v, agent.drop_out_v, agent.coil_ohm) == (16.0, 3.0, 255.0)
    own = vehicle("battery G1 95Ah\nrelay K1 make 30 85 86 87 100ohm pick-up 6V drop-out 2V\n")
    agent = _agent(netlist(own), RelayAgent)
    assert (agent.pick_up_v, agent.drop_out_v, agent.coil_ohm) == (6.0, 2.0, 100.0)


def test_a_break_contact_opens_when_the_relay_pulls() -> None:
    (gate,) = one(netlist(vehicle("battery G1 95Ah\nrelay K1 break 30 85 86 87a\n")), "K1.break").gates
    assert gate.closed_in == ("released",)


def test_a_converter_takes_its_power_at_the_input() -> None:
    """12 V 20 A from 24 V: output power over an efficiency of 0.9 (estimate) at the input."""
    of = vehicle(
        "battery G1 24V 95Ah\nconverter U1 12V 20A\nheater E1 12V 10A\nG1.+ (RD 6mm2 0.1m) U1.in\n"
        "U1.gnd (BK 6mm2 0.1m) G1.-\nU1.out (RD 6mm2 0.1m) E1 (BK 6mm2 0.1m) G1.-\n",
        24,
    )
    lowered, where = settled(of)
    supply, draw = (lowered.element_by_id[name] for name in ("U1", "U1:input"))
    out, into = (where.point.across_v(element.a, element.b) for element in (supply, draw))
    assert out is not None
    assert into is not None
    assert out == pytest.approx(11.8, abs=0.1)
    assert into * where.point.current_a("U1:input") == pytest.approx(-out * where.point.current_a("U1") / 0.9, rel=1e-6)
    agent = _agent(lowered, SupplyAgent)
    assert (agent.starts_v, agent.stops_v) == pytest.approx((0.8 * 24.0, 0.7 * 24.0))
    assert settled(of, "supply 18V")[1].point.state["supply:U1"] == "regulating"
    dead = settled(of, "supply 10V")[1].point
    assert dead.state["supply:U1"] == "off"
    assert dead.current_a("E1") == pytest.approx(0.0, abs=1e-9)


def _pair(element: object) -> tuple[int, int]:
    return element.a, element.b  # type: ignore[attr-defined]


def test_a_three_wire_sensor_gives_a_share() -> None:
    of = vehicle("battery G1 95Ah\nsensor B8 3wire 25%\nG1.+ (RD 1mm2 0.1m) B8.+\nG1.- (BK 1mm2 0.1m) B8.-\n")
    assert volts(of, "B8.s", "supply 10V") == pytest.approx(2.5, abs=1e-3)


def test_flasher_timer_and_cam() -> None:
    flasher = _agent(netlist(example("cases/3-indicators.circuit")), FlasherAgent)
    assert (flasher.variable, flasher.quick_below_a) == ("flasher:K9", 3.0)
    assert flasher.period_s == pytest.approx(60 / 90)
    timer = _agent(netlist(bench("timer X1 on-delay 5s", "15", "31")), TimerAgent)
    assert (timer.variable, timer.mode, timer.time_s) == ("timer:X1", "on-delay", 5.0)
    assert timer.supply == timer.control


@pytest.mark.parametrize(
    ("condition", "shows"),
    [
        ("turn=left", False),
        ("turn=right", False),
        ("turn=left, engine=run", False),
        ("couple X50, turn=left", True),
        ("couple X50, turn=right", True),
        ("couple X50, turn=left, engine=run", True),
        ("supply 23V, couple X50, turn=left", True),
        ("couple X50, turn=left, uncouple X50", False),
    ],
)
def test_a_trailers_indicator_shows_at_the_flashers_tell_tale(condition: str, shows: bool) -> None:
    """Common practice: dark with two lamps a side, while a third one, the trailer's, makes it flash along."""
    lowered, at = settled(example("flatbed-indicators/vehicle.circuit"), f"key=run, {condition}")
    lamp = lowered.node_of[point("H9.1:pin")]
    flashes = {phase.point.state["flasher:K9"]: phase.point.inner_v[lamp] > 20.0 for phase in at.phases}
    assert flashes == {"closed": shows, "open": False}
    assert at.findings == ()


def test_a_burnt_out_lamp_of_the_trailer_shows_by_a_dark_tell_tale() -> None:
    of = example("flatbed-indicators/vehicle.circuit")
    _, at = settled(of, "key=run, couple X50, turn=left", "open trailer::E31.1-6")
    assert {phase.point.state["relay:K9.C2"] for phase in at.phases} == {"released"}


TIMER = """switch S1 off | on: 1=2
switch S2 on: 1=2 | off rest on
timer K1 off-delay 5s
lamp E1 21W
G1.+ (RD 1mm2 1m) SP1
SP1 (RD 1mm2 1m) S2 (RD 1mm2 1m) K1.30
SP1 (RD 1mm2 1m) S1 (RD 1mm2 1m) K1.15
K1.31 (BN 1mm2 1m) G1.-
K1.87 (RD 1mm2 1m) E1 (BN 1mm2 1m) G1.-
"""


@pytest.mark.parametrize(
    ("condition", "shines"),
    [
        ("", False),
        ("S1=on", True),
        ("S1=on, S1=off, wait 4s", True),
        ("S1=on, S1=off, wait 6s", False),
        ("S1=on, S1=off", False),
        ("S1=on, S1=off, wait 4s, S1=on, S1=off, wait 4s", True),
        ("S1=on, S1=off, wait 1s, S2=off, wait 0.1s", False),
        ("S1=on, S1=off, wait 1s, S2=off, wait 0.1s, S2=on, wait 0.1s", False),
    ],
)
def test_an_off_delay_goes_on_from_the_supply_that_stays(condition: str, shines: bool) -> None:
    """It lets go its time after its control did, from the last time, and at once without its supply."""
    at = volts(vehicle("battery G1 95Ah\n" + TIMER), "E1.1", condition)
    assert at == pytest.approx(12.5 if shines else 0.0, abs=0.2)
    lowered = netlist(example("cases/2-wiper.circuit"))
    cam = _agent(lowered, CamAgent)
    assert (cam.parked, cam.away, cam.motors) == ("parked", "away", ("M5.53-31", "M5.53b-31"))
    assert not lowered.variable_by_name["M5.cam"].is_input


def test_what_the_machine_moves_is_an_input() -> None:
    lowered = netlist(vehicle("battery G1 95Ah\nunit B5\n  process oil low: 1=2 | ok\n"))
    assert lowered.variable_by_name["B5.oil"].is_input
    assert lowered.element_of["B5.oil"] == ("B5.oil.1=2",)


def test_a_module_by_its_declaration() -> None:
    lowered = netlist(example("cases/4-body-controller.circuit"))
    agent = _agent(lowered, ModuleAgent)
    (output,) = agent.outputs
    assert (output.variable, output.limit_a, output.latches_off) == ("output:A2.X1/14", 8.0, True)
    assert lowered.variable_by_name[output.variable].states == ("off", "on", "tripped")
    assert agent.asleep_after_s == 1200.0
    assert [reading.on_when for reading in agent.inputs] == ["low", "high"]
    assert one(lowered, "A2.X3/7") == Conductor("A2.X3/7", *_pair(one(lowered, "A2.X3/7")), 1000.0)
    leak = lowered.element_by_id["A2.X1/14:leak"]
    assert isinstance(leak, Conductor)
    assert leak.resistance_ohm == pytest.approx(12.0 / 0.0002)


def test_a_module_does_what_its_rule_says() -> None:
    of = example("cases/4-body-controller.circuit")
    assert settled(of, "key=run")[1].point.state["output:A2.X1/14"] == "off"
    assert settled(of, "key=run, S31=reverse")[1].point.state["output:A2.X1/14"] == "on"
    assert settled(of, "key=run, S31=reverse, unplug A2.X3")[1].point.state["output:A2.X1/14"] == "off"
    assert settled(of, "key=run, S31=reverse, unplug A2")[1].point.state["module:A2"] == "reset"


def test_a_module_without_its_ground_reads_supply_at_the_ground_pin() -> None:
    of = example("cases/4-body-controller.circuit")
    assert volts(of, "A2.X1/10:pin", "", "open contact A2.X1/10") == pytest.approx(12.65, abs=0.01)


def test_pwm_reaches_the_agent() -> None:
    lowered = netlist(
        vehicle("battery G1 95Ah\nmodule A1\n  supply 1\n  ground 2\n  in 3 high\n  out 4 low-side to 2 pwm 65% 100Hz\n"
                "  when 3: 4\n")
    )  # fmt: skip
    (output,) = _agent(lowered, ModuleAgent).outputs
    assert (output.pwm_share, output.pwm_hz) == (0.65, 100.0)


def test_the_shield_of_a_cable_is_a_conductor() -> None:
    assert "contact C4.shield" in netlist(example("cases/4-body-controller.circuit")).element_of


def test_a_generic_part_without_figures_conducts_nothing() -> None:
    of = bench("generic X1 1 2", "1", "2")
    assert settled(of)[1].point.current_a("G1") == pytest.approx(0.0, abs=1e-9)


def test_a_cut_out_is_closed() -> None:
    assert one(netlist(bench("cutout X1 184C")), "X1").gates[0].closed_in == ("closed",)
