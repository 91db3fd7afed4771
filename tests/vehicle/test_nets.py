from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
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
