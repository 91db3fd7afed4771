"""Faults in a netlist: what each mode does to a reading, what has no target, several together."""

import pytest

from loombench.base.wording import PARTS, catalogue
from loombench.circuit.alter import ground_node
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.inject import inject
from loombench.circuit.lower import LoweringOf, lower
from loombench.circuit.netlist import Conductor
from loombench.vehicle.model import Vehicle
from tests.circuit.vehicles import FILES, example, flaws, netlist, one, point, problems, settled, vehicle, volts

CAR = """
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F12 10A
switch S4 off | on: 1=2
heater E7 3ohm
lamp E8 21W
connector X12 2way front | rear
loom front
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) F12 (RD 1mm2 2m) S4.1
S4.2 (GY/RD 1mm2 1.2m) X12.1
loom rear
X12.1 (GY/RD 1mm2 3m) SP7
SP7 (GY/RD 1mm2 3m) E7 (BN 1mm2 1m) W1/b
SP7 (GY/RD 1mm2 3m) E8 (BN 1mm2 1m) W1/c
"""


@pytest.fixture(scope="module", name="car")
def _car() -> Vehicle:
    return vehicle(CAR)


def _current(car: Vehicle, element: str, *faults: str) -> float:
    return settled(car, "S4=on", *faults)[1].point.current_a(element)


@pytest.mark.parametrize(
    "fault",
    ["open SP7~E7.1", "open contact SP7<SP7~E7.1", "open contact E7.1", "open contact E7.2", "open E7", "blown E7",
     "open contact W1/b", "open S4", "open contact X12.1@rear", "open contact X12.1@front", "blown F12", "stuck S4 off",
     "position S4 off", "open G1", "open contact G1.-"],
)  # fmt: skip
def test_an_open_anywhere_in_the_way_leaves_the_load_dead(car: Vehicle, fault: str) -> None:
    assert _current(car, "E7") == pytest.approx(4.0, abs=0.2)
    assert _current(car, "E7", fault) == pytest.approx(0.0, abs=1e-9)


def test_an_open_leaves_the_other_branch_alone(car: Vehicle) -> None:
    assert _current(car, "E8", "open contact SP7<SP7~E7.1") == pytest.approx(_current(car, "E8"), rel=0.05)


@pytest.mark.parametrize(
    "target", ["SP7~E7.1", "contact E7.1", "contact SP7<SP7~E7.1", "E7", "contact W1/b", "E7.2~W1/b"]
)
def test_a_resistance_in_series_takes_its_share(car: Vehicle, target: str) -> None:
    """Ohm's law: the loop had U / I ohm, and has 2 ohm more. The other branch and the supply shift a little."""
    sound = _current(car, "E7")
    expected = 12.2 / (12.2 / sound + 2.0)
    assert _current(car, "E7", f"resistance 2ohm {target}") == pytest.approx(expected, rel=0.03)


def test_a_resistance_in_a_lamp_gets_a_node_and_dims_it(car: Vehicle) -> None:
    sound, faulty = netlist(car), netlist(car, "resistance 5ohm E8")
    assert faulty.nodes == sound.nodes + 1
    assert _current(car, "E8", "resistance 5ohm E8") == pytest.approx(1.1, abs=0.15)


def test_a_resistance_in_a_conductor_keeps_the_shape_of_the_network(car: Vehicle) -> None:
    sound, faulty = netlist(car), netlist(car, "resistance 5ohm E7", "open SP7~E8.1")
    assert [(e.id, e.a, e.b) for e in faulty.elements] == [(e.id, e.a, e.b) for e in sound.elements]


def test_a_coil_with_a_resistance_in_it_does_not_pull() -> None:
    of = example("cases/1-blower.circuit")
    pulled = settled(of, "S20=1")[1].point.state["relay:K3"]
    for fault in ("resistance 100ohm K3.coil", "resistance 100ohm contact K3.85", "open K3.coil"):
        assert settled(of, "S20=1", fault)[1].point.state["relay:K3"] == "released"
    assert pulled == "pulled"


def test_a_short_to_ground_blows_the_fuse(car: Vehicle) -> None:
    state = settled(car, "S4=on", "short X12.1@rear to ground")[1].point.state
    assert state["fuse:F12"] == "blown"
    assert settled(car, "", "short X12.1@rear to ground")[1].point.state["fuse:F12"] == "whole"


def test_a_short_has_its_ohms_and_may_go_to_a_point(car: Vehicle) -> None:
    lowered = netlist(car, "short S4.1 to S4.2 0.05ohm")
    element = lowered.elements[-1]
    assert isinstance(element, Conductor)
    assert element.resistance_ohm == 0.05
    assert {element.a, element.b} == {lowered.node_of[point("S4.1")], lowered.node_of[point("S4.2")]}
    assert settled(car, "", "short S4.1 to S4.2")[1].point.current_a("E7") == pytest.approx(4.0, abs=0.2)


def test_a_wire_is_shorted_at_its_first_end(car: Vehicle) -> None:
    lowered = netlist(car, "short S4.2~X12.1 to ground")
    element = lowered.elements[-1]
    assert isinstance(element, Conductor)
    assert element.a == lowered.node_of[point("S4.2")]
    assert element.b == lowered.node_of[point("chassis")]


def test_a_trailer_chafes_on_its_own_metal() -> None:
    lowered = netlist(example("cases/3-indicators.circuit"))
    own = ground_node(lowered, "trailer::E31.1")
    assert own is not None
    assert next(str(p) for p in lowered.names[own]).startswith("trailer::")
    first = ground_node(lowered, "E31.1")
    assert first == lowered.bodies[0] != own


@pytest.mark.parametrize(
    ("fault", "variable", "state"),
    [
        ("stuck K21 pulled", "relay:K21", "pulled"),
        ("stuck K21 released", "relay:K21", "released"),
        ("stuck S42 reached", "S42", "reached"),
        ("position S44 in", "S44", "in"),
    ],
)
def test_what_is_held_stays_whatever_is_asked(fault: str, variable: str, state: str) -> None:
    of = example("cases/5-tarpaulin.circuit")
    lowered, where = settled(of, "key=run, S44=out, S40=open", fault)
    assert lowered.frozen == {variable: state}
    assert where.point.state[variable] == state


def test_a_module_and_its_pins_may_be_stuck() -> None:
    of = example("cases/4-body-controller.circuit")
    on = "key=run, S31=reverse"
    output = "output:A2.X1/14"
    assert settled(of, on)[1].point.state[output] == "on"
    for fault in ("stuck A2 reset", "stuck A2.X3/7 off", "stuck A2.X3/8 off", "stuck A2.X1/14 off"):
        assert settled(of, on, fault)[1].point.state[output] == "off"
    assert settled(of, "", "stuck A2.X1/14 on")[1].point.state[output] == "on"


def test_another_name_of_a_control_is_understood() -> None:
    assert netlist(example("cases/0-supply.circuit"), "stuck key run").frozen == {"S1": "run"}


def test_several_faults_act_together(car: Vehicle) -> None:
    both = netlist(car, "open contact E7.1", "resistance 1ohm SP7~E8.1", "stuck S4 on")
    assert both.frozen == {"S4": "on"}
    wire = one(both, "SP7~E8.1")
    assert isinstance(wire, Conductor)
    assert wire.resistance_ohm == pytest.approx(1.0 + 3 * 0.0185, rel=1e-6)
    twice = one(netlist(car, "resistance 1ohm E7", "resistance 1ohm E7"), "E7")
    assert isinstance(twice, Conductor)
    assert twice.resistance_ohm == pytest.approx(5.0)


def test_no_fault_is_the_sound_netlist(car: Vehicle) -> None:
    lowering = LoweringOf(car)
    assert lowering(car, ()).value is lowering.netlist
    assert lowering.netlist.elements == lower(car).value.elements


@pytest.mark.parametrize(
    ("faults", "codes"),
    [
        (["open E77"], ["fault-target"]),
        (["open contact E7.9"], ["fault-target"]),
        (["resistance 1ohm S4.2~X13.1"], ["fault-target"]),
        (["short E9.1 to ground"], ["fault-target"]),
        (["short E7.1 to E7.8"], ["fault-target"]),
        (["stuck S4 half"], ["fault-state"]),
        (["position F12 blown"], ["fault-target"]),
        (["stuck S4 on", "position S4 off"], ["fault-clash"]),
        (["open E77", "open E7"], ["fault-target"]),
    ],
)
def test_a_fault_without_a_target_is_a_problem_and_the_others_count(
    car: Vehicle, faults: list[str], codes: list[str]
) -> None:
    assert problems(car, *faults) == codes


def test_the_nearest_name_is_offered(car: Vehicle) -> None:
    sound = lower(car).value
    (unknown,) = inject(sound, [Fault("open", "contact E7.3")]).problems
    assert unknown.fact("nearest") == "contact E7.1"
    (state,) = inject(sound, [Fault("stuck", "S4", "onn")]).problems
    assert (state.fact("nearest"), state.fact("allowed")) == ("on", "off, on")


def test_a_vehicle_without_metal_has_no_ground_to_chafe_on() -> None:
    of = vehicle("battery G1 70Ah\nheater E1 2ohm\nG1.+ (RD 1mm2 1m) E1 (RD 1mm2 1m) G1.-\n")
    assert problems(of, "short E1.1 to ground") == ["fault-no-ground"]


def test_a_mode_that_is_none_is_said(car: Vehicle) -> None:
    assert [p.code for p in inject(lower(car).value, [Fault("melt", "E7")]).problems] == ["fault-unread"]


def test_every_problem_of_a_fault_has_its_words() -> None:
    words = catalogue()
    for code in ("fault-unread", "fault-target", "fault-state", "fault-clash", "fault-no-ground"):
        assert all(words.has(f"problem.{code}.{part}") for part in PARTS)


@pytest.mark.parametrize("name", FILES)
def test_every_single_fault_of_the_examples_is_text_and_can_be_put_in(name: str) -> None:
    of = example(name)
    lowering = LoweringOf(of)
    faults = single_faults(of)
    assert len(set(faults)) == len(faults) > 50
    assert faults == single_faults(example(name))
    for fault in faults:
        assert read_fault(str(fault)) == fault
        outcome = lowering(of, (fault,))
        assert outcome.problems == (), fault
        assert outcome.value is not lowering.netlist
    for fault in faults[::40]:
        assert flaws(lowering(of, (fault,)).value) == []


def test_the_catalogue_of_a_small_vehicle_is_complete(car: Vehicle) -> None:
    faults = [str(fault) for fault in single_faults(car)]
    expected = {
        "blown F12", "resistance 1ohm F12", "stuck S4 off", "stuck S4 on", "position S4 on", "open S4",
        "open E7", "resistance 1ohm E7", "open E8", "open contact E7.1", "resistance 1ohm contact E7.1",
        "open contact X12.1@front", "open contact SP7<SP7~E7.1", "open contact W1/b", "open contact W1",
        "open SP7~E7.1", "resistance 1ohm SP7~E7.1", "short E7.1 to ground", "short X12.1@front to ground",
        "short X12.1@rear to ground", "short SP7 to ground", "open G1", "open contact F12.in",
    }  # fmt: skip
    assert expected <= set(faults)
    assert "open contact X12.1@rear" not in faults
    assert not [fault for fault in faults if fault.startswith(("short W1", "open contact X12.2"))]
    assert faults.index("blown F12") < faults.index("stuck S4 off") < faults.index("open E7")


def test_without_a_body_nothing_chafes_through_to_ground() -> None:
    lines = "battery G1 95Ah\nlamp E1 21W\nG1.+ (RD 1mm2 1m) E1 (BN 1mm2 1m) G1.-\n"
    assert not [fault for fault in single_faults(vehicle(lines)) if fault.mode == "short" and fault.to == "ground"]
    assert Fault("short", "E1.1", "ground") in single_faults(vehicle(f"body m\n{lines}"))


def test_a_diode_may_conduct_both_ways_also_a_relays_suppressor() -> None:
    of = vehicle(
        "battery G1 95Ah\nfuse F1 5A\ndiode D1 3A\nlamp E1 5W\nrelay K1 make 30 85 86 87 diode 86\n"
        "G1.+ (RD 1mm2 1m) F1 (RD 1mm2 1m) SP1\nSP1 (RD 1mm2 1m) D1.k>a (RD 1mm2 1m) E1 (BN 1mm2 1m) G1.-\n"
        "SP1 (RD 1mm2 1m) K1.86\nK1.85 (BN 1mm2 1m) G1.-\n"
    )
    shorts = [str(fault) for fault in single_faults(of) if fault.mode == "short" and fault.to != "supply"]
    alone, load, suppressor = sorted(shorts)
    assert load == "short E1.1:pin to E1.2:pin"
    assert alone == "short D1.a:pin to D1.k:pin"
    assert suppressor == "short K1.85:pin to K1.86:pin"
    assert volts(of, "E1.1") == pytest.approx(0.0, abs=0.01)
    assert volts(of, "E1.1", "", alone) == pytest.approx(12.6, abs=0.2)
    assert settled(of, "", suppressor)[1].point.state["fuse:F1"] == "blown"


def test_a_load_shorted_inside_blows_its_fuse_only_when_fed() -> None:
    of = vehicle(
        "battery G1 95Ah\nfuse F1 5A\nswitch S1 off | on: 1=2\nlamp E1 5W\n"
        "G1.+ (RD 1mm2 1m) F1 (RD 1mm2 1m) S1 (GY 1mm2 1m) E1 (BN 1mm2 1m) G1.-\n"
    )
    fault = "short E1.1:pin to E1.2:pin"
    assert fault in map(str, single_faults(of))
    assert settled(of, "", fault)[1].point.state["fuse:F1"] == "whole"
    assert settled(of, "S1=on", fault)[1].point.state["fuse:F1"] == "blown"
