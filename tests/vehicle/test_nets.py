from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
from loombench.vehicle.trace import runs
from tests.diagnose.vehicles import AIRBAG, LAMP, vehicle


def test_wires_splices_and_connectors_make_one_net() -> None:
    known = nets(vehicle(LAMP))
    same = {known.net[Point(part, pin)] for part, pin in (("S4", "2"), ("X12", "1"), ("SP2", ""), ("E7", "1"))}
    assert len(same) == 1
    assert known.net[Point("S4", "1")] not in same
    assert known.net[Point("E7", "2")] not in same


def test_power_passes_fuses_and_stops_at_switches_and_loads() -> None:
    known = nets(vehicle(LAMP))
    assert known.classes_of(Point("S4", "1")) == {"power"}
    assert known.classes_of(Point("S4", "2")) == frozenset()
    assert known.classes_of(Point("W3")) == {"ground"}
    assert known.classes_of(Point("E7", "2")) == {"ground"}


def test_a_mark_spreads_over_its_net_and_ends_at_the_stud() -> None:
    known = nets(vehicle(AIRBAG))
    for point in (Point("F40", "out"), Point("X40", "1", "chassis"), Point("R40", "2"), Point("W3", "c", ring=True)):
        assert known.strictest(point) == "pyro", point
    for point in (Point("W3"), Point("E7", "2"), Point("F40", "in"), Point("boom"), Point("G1", "-")):
        assert "pyro" not in known.classes_of(point), point


def test_an_unknown_point_has_no_class() -> None:
    assert nets(vehicle(LAMP)).strictest(Point("Z99", "1")) == ""


COIL = """loombench 1
vehicle "Coil with suppressor" 12V
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F1 10A
switch S1 off | on: 1=2
relay K1 make 30 85 86 87 diode 86
diode D1 1A
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 2.5mm2 1m) F1 (RD 1mm2 1m) S1 (GY 1mm2 1m) K1.86
K1.85 (BN 1mm2 1m) W1/b
S1.2 (GY 1mm2 1m) D1.k
D1.a (BN 1mm2 1m) W1/c
"""


def test_a_diode_parts_two_nets_also_one_across_a_coil() -> None:
    """Else what feeds a coil would be ground, by its suppressor."""
    known = nets(vehicle(COIL))
    for point in (Point("K1", "86"), Point("S1", "2"), Point("D1", "k")):
        assert "ground" not in known.classes_of(point), point
    for point in (Point("K1", "85"), Point("D1", "a")):
        assert "ground" in known.classes_of(point), point


FUSE_BOX = """loombench 1
vehicle "Fuse box" 12V
body chassis
stud W1 on chassis
battery G1 60Ah
carrier B1
  bar 30 from in : F8 F9
  F8.out = C/7
fuse F8 10A
fuse F9 10A
resistor R40 2ohm
lamp E8 5W
lamp E9 5W
class pyro R40.1
G1.+ (RD 10mm2 1m) B1.in
G1.- (BK 10mm2 1m) W1/a
B1.C/7 (RD 1mm2 2m) R40 (BN 1mm2 1m) W1/b
B1.C/7 (RD 1mm2 2m) E8 (BN 1mm2 1m) W1/d
F9.out (RD 1mm2 2m) E9 (BN 1mm2 1m) W1/e
"""


def test_a_mark_passes_a_cavity_of_a_fuse_box_and_ends_at_its_bar() -> None:
    known = nets(vehicle(FUSE_BOX))
    for point in (Point("B1", "C/7"), Point("F8", "out"), Point("E8", "1")):
        assert known.strictest(point) == "pyro", point
    marked_bar = nets(vehicle(FUSE_BOX.replace("class pyro R40.1", "class pyro F8.in")))
    for point in (Point("F9", "in"), Point("E9", "1"), Point("G1", "+")):
        assert "pyro" not in known.classes_of(point), point
        assert "pyro" not in marked_bar.classes_of(point), point


def test_a_mark_at_a_cavity_needs_no_half() -> None:
    marked = AIRBAG.replace("class pyro R40.1 R40.2", "class pyro X40.1")
    known = nets(vehicle(marked))
    assert marked != AIRBAG
    for point in (Point("F40", "out"), Point("X40", "1", "boom"), Point("X40", "1", "chassis"), Point("R40", "1")):
        assert known.strictest(point) == "pyro", point


def test_a_load_is_found_by_where_its_feed_ends() -> None:
    car = vehicle(LAMP)
    fed = nets(car).fed
    assert fed
    for point, run in fed.items():
        ending = [one for one in runs(car) if one.feed and one.feed[-1].end == point]
        assert run == ending[0]
    assert Point("W3") not in fed
