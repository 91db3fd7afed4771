"""Wires, contacts, connectors, splices, studs, straps, carriers and trailers, by sums of handbook rows."""

import math

import pytest

from loombench.circuit.laws import law_errors
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Conductor
from loombench.facts.conductor import resistance_ohm_per_m
from loombench.facts.contact import joint_resistance_ohm
from loombench.facts.fuse import cold_resistance_ohm
from tests.circuit.vehicles import FILES, example, flaws, netlist, one, point, settled, vehicle, volts

LAMP = """
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F12 10A
switch S4 off | on: 1=2
heater E7 2ohm
connector X12 2way front | rear
loom front
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) F12 (RD 1mm2 2m) S4.1
S4.2 (GY/RD 1mm2 1.2m) X12.1
loom rear
X12.1 (GY/RD 1mm2 3m) E7 (BN 1mm2 1m) W1/b
"""

# contact.csv (from memory, see its rows): crimp, mating, blade, clamp, ring, body, switch.
CRIMP, MATING, BLADE, CLAMP, RING, BODY, SWITCH = 0.0002, 0.005, 0.0015, 0.0001, 0.0002, 0.00002, 0.01


def _ohm(element: object) -> float:
    assert isinstance(element, Conductor)
    return element.resistance_ohm


def test_a_chain_is_the_sum_of_its_conductors_and_joints() -> None:
    """ISO 6722 (from memory, conductor_iso6722.csv): 1 mm2 18.5, 6 mm2 3.14, 16 mm2 1.16 mohm/m at 20 C."""
    lowered, where = settled(vehicle(LAMP), "S4=on")
    current = where.point.current_a("E7")
    wires = 0.4 * 1.16e-3 + 0.6 * 3.14e-3 + (2.0 + 1.2 + 3.0 + 1.0) * 18.5e-3
    posts = 2 * (CRIMP + CLAMP)
    fuse = 2 * (CRIMP + BLADE) + cold_resistance_ohm(10)
    pins = 4 * (CRIMP + MATING)  # switch and heater, two each
    cavity = CRIMP + MATING + CRIMP
    # Both rings sit on one stud: the current does not pass its seat on the body.
    ohm = 2.0 + wires + posts + fuse + pins + cavity + SWITCH + 2 * RING + 0.45 / 70
    assert current == pytest.approx(12.65 / ohm, rel=1e-9)
    assert law_errors(lowered, where.point) == ()


def test_wires_by_temperature() -> None:
    """IEC 60028 (from memory): copper changes by 0.00393 a kelvin at 20 C."""
    cold, hot = (lower(vehicle(LAMP), temperature_c=t).value for t in (20.0, 80.0))
    at_20c, at_80c = (_ohm(one(n, "X12.1~E7.1")) for n in (cold, hot))
    assert at_20c == pytest.approx(3.0 * resistance_ohm_per_m(1.0))
    assert at_80c / at_20c == pytest.approx(1.0 + 0.00393 * 60.0, rel=1e-3)


def test_an_unplugged_half_keeps_its_volts_and_the_other_loses_them() -> None:
    car = vehicle(LAMP)
    for layer in ("", ":face"):
        assert volts(car, f"X12.1@front{layer}", "S4=on, unplug X12") == pytest.approx(12.65, abs=1e-6)
        assert volts(car, f"X12.1@rear{layer}", "S4=on, unplug X12") == pytest.approx(0.0, abs=1e-6)


def test_a_probe_on_the_wire_side_passes_a_pushed_back_terminal() -> None:
    """Common practice: the wire side of a pushed-back terminal has its volts, the part's pin has none."""
    car = vehicle(LAMP)
    assert volts(car, "E7.1", "S4=on", "open contact E7.1") == pytest.approx(12.65, abs=1e-6)
    assert volts(car, "E7.1:face", "S4=on", "open contact E7.1") == pytest.approx(12.65, abs=1e-6)
    assert volts(car, "E7.1:pin", "S4=on", "open contact E7.1") == pytest.approx(0.0, abs=1e-6)


def test_an_unplugged_load_leaves_full_supply_at_the_wire() -> None:
    car = vehicle(LAMP)
    assert volts(car, "E7.1", "S4=on, unplug E7") == pytest.approx(12.65, abs=1e-6)
    assert math.isnan(volts(car, "E7.1:pin", "S4=on, unplug E7"))


def test_pulling_a_fuse_opens_both_its_blades() -> None:
    car = vehicle(LAMP)
    assert volts(car, "F12.in", "S4=on, pull F12") == pytest.approx(12.65, abs=1e-6)
    assert volts(car, "F12.out", "S4=on, pull F12") == pytest.approx(0.0, abs=1e-6)
    assert math.isnan(volts(car, "F12.in:pin", "S4=on, pull F12"))


def test_all_three_layers_of_a_contact_are_there() -> None:
    lowered = netlist(vehicle(LAMP))
    nodes = {lowered.node_of[point(name)] for name in ("E7.1", "E7.1:face", "E7.1:pin")}
    assert len(nodes) == 3
    assert {"contact E7.1", "contact X12.1@front", "contact X12.1@rear", "contact W1/a", "contact W1"} <= set(
        lowered.element_of
    )
    assert lowered.element_of["contact X12.1@front"] == lowered.element_of["contact X12.1@rear"]


def test_a_pin_without_a_wire_is_one_point_in_all_layers() -> None:
    lowered = netlist(vehicle("battery G1 70Ah\nlamp E9 21W"))
    assert len({lowered.node_of[point(f"E9.1{layer}")] for layer in ("", ":face", ":pin")}) == 1
    assert lowered.node_of[point("E9.1")] != lowered.node_of[point("E9.2")]


def test_each_wire_has_its_own_joint_at_a_splice() -> None:
    lowered = netlist(
        vehicle("battery G1 70Ah\nheater E1 2ohm\nheater E2 2ohm\nG1.+ (RD 1mm2 1m) SP7\nSP7 (RD 1mm2 1m) E1.1\n"
                "SP7 (RD 1mm2 1m) E2.1\n")
    )  # fmt: skip
    joints = [name for name in lowered.element_of if name.startswith("contact SP7<")]
    assert joints == ["contact SP7<G1.+~SP7", "contact SP7<SP7~E1.1", "contact SP7<SP7~E2.1"]
    assert all(_ohm(one(lowered, name)) == joint_resistance_ohm("splice") for name in joints)


def test_two_wires_at_one_pin_share_the_terminal() -> None:
    lowered = netlist(vehicle("battery G1 70Ah\nheater E1 2ohm\nG1.+ (RD 1mm2 1m) E1.1\nG1.+ (RD 2.5mm2 1m) E1.1\n"))
    ends = {(e.a, e.b) for e in lowered.elements if isinstance(e, Conductor) and e.id.startswith("G1.+~E1.1")}
    assert len(ends) == 1
    assert "G1.+~E1.1#2" in lowered.element_of


def test_strap_and_stud() -> None:
    lowered = netlist(
        vehicle("body chassis\nbody boom\nstrap W9 boom chassis 0.3m 16mm2\nstud W3 on boom\nbattery G1 70Ah\n"
                "G1.- (BK 16mm2 1m) W3/a\n")
    )  # fmt: skip
    assert _ohm(one(lowered, "W9")) == pytest.approx(0.3 * 1.16e-3)
    assert {lowered.node_of[point("boom")], lowered.node_of[point("W9.a")]} == set(_nodes(one(lowered, "contact W9.a")))
    assert _ohm(one(lowered, "contact W9.a")) == _ohm(one(lowered, "contact W9.b")) == RING
    assert _ohm(one(lowered, "contact W3/a")) == RING
    assert _ohm(one(lowered, "contact W3")) == BODY
    assert set(_nodes(one(lowered, "contact W3"))) == {lowered.node_of[point(n)] for n in ("W3", "boom")}


def _nodes(element: object) -> tuple[int, int]:
    assert isinstance(element, Conductor)
    return element.a, element.b


def test_bodies_wired_to_battery_minus_come_first() -> None:
    lowered = netlist(
        vehicle("body boom\nbody chassis\nstud W3 on chassis\nbattery G1 70Ah\nG1.- (BK 16mm2 1m) W3/a\n")
    )
    assert [str(lowered.names[node][0]) for node in lowered.bodies] == ["chassis", "boom"]


def test_a_carrier_feeds_by_its_bar_and_a_fuse_by_its_blade() -> None:
    """in: crimp, ring; bar; blade, fuse, blade; bar; blade into the relay."""
    car = example("cases/0-supply.circuit")
    lowered = netlist(car)
    assert _ohm(one(lowered, "contact F8.in")) == _ohm(one(lowered, "contact K3.30")) == BLADE
    assert _ohm(one(lowered, "contact B1.in")) == RING
    assert _ohm(one(lowered, "B1:F8.out=K3.30")) == joint_resistance_ohm("bar")
    assert "crimp F8.in" not in lowered.element_by_id
    assert lowered.node_of[point("F8.in")] == lowered.node_of[point("F8.in:face")]
    assert volts(car, "B1.C/7") == pytest.approx(12.65, abs=1e-3)
    assert math.isnan(volts(car, "B1.C/7", "pull F9"))


def test_a_trailer_is_coupled_contact_by_contact() -> None:
    car = example("cases/3-indicators.circuit")
    alone, coupled = (settled(car, f"S12=on{then}") for then in ("", ", couple X50"))
    lamp = "trailer::E31.3-6"
    assert alone[1].point.current_a(lamp) == pytest.approx(0.0, abs=1e-9)
    assert coupled[1].point.current_a(lamp) == pytest.approx(5.0 / 12.0, rel=0.05)
    apart = settled(car, "S12=on, couple X50, uncouple X50")
    assert apart[1].point.current_a(lamp) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("name", FILES)
def test_examples_lower_to_consistent_netlists_that_keep_the_laws(name: str) -> None:
    lowered, where = settled(example(name))
    assert flaws(lowered) == []
    assert law_errors(lowered, where.point) == ()


@pytest.mark.parametrize("name", FILES)
def test_the_same_vehicle_gives_the_same_netlist(name: str) -> None:
    one_, other = lower(example(name)).value, lower(example(name)).value
    assert (one_.elements, one_.names, one_.agents) == (other.elements, other.names, other.agents)
