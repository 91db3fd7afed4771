"""What takes part in a function, and how it is put together for a page."""

from pathlib import Path

import pytest

from loombench.app.vehicles import open_vehicle
from loombench.draw.circuit.functions import function_of, functions
from loombench.draw.circuit.order import heights
from loombench.draw.circuit.ways import net_of, ways
from loombench.draw.layout.items import CARRIER, JOIN, LINK, PAIR, RAIL, WIRE
from loombench.draw.layout.plan import plan_of
from loombench.draw.shapes import BOTTOM, TOP
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
NAMES = ("telehandler-roof", "livestock-trailer", "touring-coach")


def vehicle(name: str) -> Vehicle:
    return open_vehicle(str(EXAMPLES / name)).vehicle


ROOF = vehicle("telehandler-roof")
SNEAK = """loombench 1
vehicle "Light switch" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 80Ah
fuse F1 10A
fuse F2 10A
switch S1 key off | run: 30=15
switch S3 off | side: 15=58 | dip: 15=58 15=56
switch S4 off | flash!: 30=56
lamp E1 12V 5W "side lamp"
lamp E2 12V 55W "beam"
G1.- (BK 16mm2 1m) W1/a
G1.+ (RD 4mm2 1m) SP1
SP1 (RD 4mm2 1m) S1.30
S1.15 (BK 4mm2 1m) S3.15
S3.58 (GY 1mm2 1m) E1 (BN 1mm2 1m) W1/b
S3.56 (YE 1mm2 1m) SP2
SP2 (YE 1mm2 1m) E2 (BN 1mm2 1m) W1/c
SP1 (RD 1mm2 1m) F2 (RD 1mm2 1m) S4.30
S4.56 (YE 1mm2 1m) SP2
"""


def test_a_function_has_what_feeds_it_and_nothing_else() -> None:
    boom = function_of(ROOF, ("E7", "E8"))
    assert set(boom.parts) == {"G1", "F1", "B1", "F12", "S4", "X12", "SP2", "E7", "E8", "W3"}
    assert "G2.B+~F1.out" not in boom.wires


def test_what_moves_a_contact_is_drawn_too() -> None:
    roof = function_of(ROOF, ("E11",))
    assert {"K4", "S5", "F14", "F17", "W5"} <= set(roof.parts)


def test_a_switch_does_not_lead_back_into_what_it_feeds() -> None:
    lights = load_text(SNEAK, "lights.circuit").value
    assert set(function_of(lights, ("E1",)).parts) == {"G1", "SP1", "S1", "S3", "E1", "W1"}
    assert {"S3", "S4", "F2"} <= set(function_of(lights, ("E2",)).parts)


def test_what_is_always_hot_is_followed_to_its_battery_only() -> None:
    net = net_of(ROOF)
    names = [link.via for link in ways(net, Point("F12", "out"))]
    assert sorted(names) == ["B1", "F1", "F1.out~B1.in", "F12", "G1.+~F1.in"]
    assert ways(net, Point("nowhere")) == ()


@pytest.mark.parametrize("name", NAMES)
def test_every_wire_is_in_a_function_and_every_key_is_one_functions(name: str) -> None:
    there = vehicle(name)
    found = functions(there)
    assert {wire for one in found for wire in one.wires} == {wire.id for wire in there.wires}
    assert len({one.key for one in found}) == len(found)


def test_loads_of_one_switch_are_one_function() -> None:
    assert [(one.name, one.loads) for one in functions(ROOF)][:2] == [
        ("boom work lamp", ("E7", "E8")),
        ("roof work lamp", ("E11", "E12", "H4")),
    ]


def test_power_is_above_ground() -> None:
    boom = function_of(ROOF, ("E7", "E8"))
    height = heights(ROOF, boom.taking.links, boom.parts)
    way = ("G1.+", "F1.in", "B1.in", "F12.out", "S4.1", "X12.3", "SP2", "E7.1", "E7.2", "W3/a")
    at = {str(point): value for point, value in height.items()}
    assert [at[name] for name in way] == sorted(at[name] for name in way)
    assert at["W3/a"] > 0.9


@pytest.mark.parametrize("name", NAMES)
def test_every_plan_is_whole_and_has_each_wire_once(name: str) -> None:
    there = vehicle(name)
    for function in functions(there):
        plan = plan_of(there, function.taking)
        assert plan.problems() == ()
        wires = [run.wire for run in plan.runs if run.sort == WIRE]
        assert len(wires) == len(set(wires))
        assert function.wires <= set(wires)


def test_a_box_is_a_frame_with_its_fuses_and_a_line_to_its_relay() -> None:
    plan = plan_of(ROOF, function_of(ROOF, ("E11",)).taking)
    frame = plan.items["B1#0"]
    assert frame.sort == CARRIER
    assert [symbol.part for symbol, _, _ in frame.inside] == ["F14", "F17"]
    assert {run.key for run in plan.runs if run.sort == LINK} == {"F17.out=K4.30", "F14.out=K4.86"}


def test_a_cavity_shows_its_upper_half_at_the_top() -> None:
    plan = plan_of(ROOF, function_of(ROOF, ("E7",)).taking)
    sides = {port.name: port.side for port in plan.items["X12.3"].ports}
    assert sides == {"X12.3@chassis": TOP, "X12.3@boom": BOTTOM}


def test_a_splice_is_a_rail_with_a_place_for_each_wire() -> None:
    plan = plan_of(ROOF, function_of(ROOF, ("E7", "E8")).taking)
    assert plan.items["SP2"].sort == RAIL
    assert [len(plan.items["SP2"].on(side)) for side in (TOP, BOTTOM)] == [1, 2]
    assert not [item for item in plan.items.values() if item.sort == JOIN]


def test_many_loads_of_one_name_are_not_one_page() -> None:
    rooms = "".join(
        f'switch S{at} off | on: 1=2\nlamp E{at} 12V 5W "room, lamp {at}"\n'
        f"SP1 (RD 1mm2 1m) S{at} (GY 1mm2 1m) E{at} (BN 1mm2 1m) SP2\n"
        for at in range(1, 26)
    )
    supply = "body chassis\nstud W1 on chassis\nbattery G1 80Ah\nG1.+ (RD 4mm2 1m) SP1\nSP2 (BN 4mm2 1m) W1/a\n"
    text = f'loombench 1\nvehicle "Rooms" 12V\ncolours IEC\n{supply}{rooms}'
    groups = [one.loads for one in functions(load_text(text, "rooms.circuit").value) if one.name == "room"]
    assert [len(loads) for loads in groups] == [10, 10, 5]


def test_a_plug_in_its_socket_is_one_thing_and_the_return_another() -> None:
    there = vehicle("livestock-trailer")
    plan = plan_of(there, function_of(there, ("E31.2-4", "trailer::E31.2-4")).taking)
    pairs = {item.key: item for item in plan.items.values() if item.sort == PAIR}
    assert [[symbol.part for symbol, _, _ in pair.inside] for pair in pairs.values()] == [
        ["X50", "trailer::P1"],
        ["trailer::P1", "X50"],
    ]
    sides = [{port.name: port.side for port in pair.ports} for pair in pairs.values()]
    assert sides == [{"X50.6": TOP, "trailer::P1.6": BOTTOM}, {"trailer::P1.3": TOP, "X50.3": BOTTOM}]
    for pair in pairs.values():
        (one, _, _), (two, _, down) = pair.inside
        assert down == one.height_mm
        assert [pin.x_mm for pin in one.pins] == [pin.x_mm for pin in two.pins]


def test_a_trailer_alone_shows_its_return_through_the_plug() -> None:
    """Fed by its plug from above, and back by the contact that its stud hangs on, not ending at that stud."""
    alone = vehicle("cases/trailer.circuit")
    stop = function_of(alone, ("E31.2-6", "E32.2-6"))
    assert {"P1.6~SP1", "P1.3~W1/a", "E31.6~W1/b"} <= stop.wires
    left = function_of(alone, ("E31.2-6",))
    assert "P1.3~W1/a" in left.wires
    assert "E32.6~W1/c" not in left.wires
    plan = plan_of(alone, stop.taking)
    assert [[(port.name, port.side) for port in plan.items[key].ports] for key in ("P1", "P1<", "W1")] == [
        [("P1.6", BOTTOM)],
        [("P1.3", TOP)],
        [("W1/a", BOTTOM), ("W1/b", TOP), ("W1/c", TOP)],
    ]
    assert all(one.wires for one in functions(alone))


def test_what_hangs_on_a_converter_begins_there_and_shows_what_feeds_it() -> None:
    desk = next(one for one in functions(vehicle("library-van")) if one.loads == ("A11",))
    names = {str(point) for link in desk.taking.links for point in (link.a, link.b)}
    assert {"U1.in", "U1.gnd", "U1.out", "S53.1", "F65.out"} <= names


def test_a_module_shows_no_cavity_that_nothing_leads_to() -> None:
    case = open_vehicle(str(EXAMPLES / "cases" / "4-body-controller.circuit")).vehicle
    taking = function_of(case, ("A2",)).taking
    pins = {point.pin for link in taking.links for point in (link.a, link.b) if point.part == "A2"}
    pins |= {point.pin for point in taking.loose if point.part == "A2"}
    assert pins == {"X1/1", "X1/20", "X1/10", "X3/7", "X3/8", "X3/20", "X3/21"}


def test_what_is_a_trailers_has_its_own_name_and_the_trailers_small_below() -> None:
    there = vehicle("flatbed-indicators")
    plan = plan_of(there, next(one for one in functions(there) if "trailer::E31.1-6" in one.loads).taking)
    assert plan.items["trailer::W2"].texts[:4] == ("W2", "trailer", "frame", "tr-left")
    assert plan.items["W3"].texts[:3] == ("W3", "chassis", "rear-left")
