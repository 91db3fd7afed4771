"""Symbols: their pins stand on the raster and on the edge, and their texts lie inside the box."""

import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace

import pytest

from loombench.app.vehicles import open_vehicle
from loombench.draw.shapes import BOTTOM, LEFT, PLAIN, PULLED, RASTER_MM, RIGHT, TOP, Line, Symbol, Text, Wanted
from loombench.draw.shapesvg import symbol_svg
from loombench.draw.symbol import symbol_of
from loombench.draw.symbols.frame import text_bottom_mm, text_left_mm, text_right_mm
from loombench.text.load import load_text
from tests.draw.sheet import case_symbols, kind_symbols, sheet
from tests.draw.test_circuit import EXAMPLES

SYMBOLS = kind_symbols() + case_symbols()


def complaints(symbol: Symbol) -> list[str]:
    """What is wrong with the pins and the box of a symbol."""
    said: list[str] = []
    edges = {TOP: ("y", 0.0), BOTTOM: ("y", symbol.height_mm), LEFT: ("x", 0.0), RIGHT: ("x", symbol.width_mm)}
    for pin in symbol.pins:
        axis, edge = edges[pin.side]
        if {"x": pin.x_mm, "y": pin.y_mm}[axis] != pytest.approx(edge):
            said.append(f"{pin.name} is not on the {pin.side}")
        if any(abs(at / RASTER_MM - round(at / RASTER_MM)) > 1e-6 for at in (pin.x_mm, pin.y_mm)):
            said.append(f"{pin.name} is off the raster")
    if len({(pin.x_mm, pin.y_mm) for pin in symbol.pins}) != len(symbol.pins):
        said.append("two pins at one place")
    low, far = text_bottom_mm(symbol.shapes), text_right_mm(symbol.shapes)
    if far > symbol.width_mm or low > symbol.height_mm or text_left_mm(symbol.shapes) < 0.0:
        said.append("a text sticks out")
    return said


@pytest.mark.parametrize("symbol", SYMBOLS, ids=lambda symbol: f"{symbol.kind}-{symbol.part}")
def test_a_symbol_keeps_to_its_box_and_to_the_raster(symbol: Symbol) -> None:
    assert complaints(symbol) == []
    ET.fromstring(symbol_svg(symbol))


@pytest.mark.parametrize("name", ["library-van", "tipper-tarpaulin", "touring-coach"])
def test_a_symbol_keeps_its_size_and_pins_in_every_position(name: str) -> None:
    """Or a page would change its arrangement with the state that it shows."""
    moving = 0
    for part in open_vehicle(str(EXAMPLES / name)).vehicle.parts.values():
        states = [{part.id: state} for state in (PULLED, "unplugged") if part.kind in ("relay", "timer", "connector")]
        states += [{control.id: one.name} for control in part.controls for one in control.positions]
        rest = symbol_of(part)
        for positions in states:
            moved = symbol_of(part, Wanted(positions))
            assert (moved.pins, moved.width_mm, moved.height_mm) == (rest.pins, rest.width_mm, rest.height_mm)
            moving += moved != rest
    assert moving > 5


def test_the_sheet_is_one_page_of_all_of_them() -> None:
    root = ET.fromstring(sheet(SYMBOLS, "Symbols"))
    parts = [group.get("data-kind") for group in root.iter("{http://www.w3.org/2000/svg}g")]
    assert parts == [symbol.kind for symbol in SYMBOLS]


BENCH = """loombench 1
vehicle "Bench" 12V
lamp E7 55W
switch S4 off | on: 1=2
switch S8 up: 1=2 | down: 1=3 rest down
relay K3 changeover 30 85 86 87 87a
connector X12 6way chassis | boom
stud W1 on chassis
body chassis
carrier B9
  bar 30 from in : F8 F9
fuse F8 30A
fuse F9 15A
unit E31
  1-6 lamp 21W
  2-6 lamp 5W
diode D1 3A
"""
PARTS = load_text(BENCH, "bench.circuit").value.parts


def place(symbol: Symbol, name: str) -> tuple[float, float]:
    """Where a pin is."""
    (pin,) = [pin for pin in symbol.pins if pin.name == name]
    return pin.x_mm, pin.y_mm


def lines(symbol: Symbol) -> set[tuple[float, float, float, float]]:
    """Its straight lines, upper end first."""
    return {(one.x1_mm, one.y1_mm, one.x2_mm, one.y2_mm) for one in symbol.shapes if isinstance(one, Line)}


def test_what_leads_to_the_supply_is_at_the_top() -> None:
    usual = symbol_of(PARTS["E7"])
    turned = symbol_of(PARTS["E7"], Wanted(upward=frozenset({"E7.2"})))
    assert (place(usual, "E7.1")[1], place(usual, "E7.2")[1]) == (0.0, 15.0)
    assert (place(turned, "E7.1")[1], place(turned, "E7.2")[1]) == (15.0, 0.0)


def test_a_diode_is_turned_with_its_pins() -> None:
    """Its bar is at the cathode, whichever end is up."""
    for upward, cathode_below in (("D1.a", True), ("D1.k", False)):
        drawn = symbol_of(PARTS["D1"], Wanted(upward=frozenset({upward})))
        (bar,) = [one for one in drawn.shapes if isinstance(one, Line) and one.y1_mm == one.y2_mm]
        assert (bar.y1_mm > 7.5) is cathode_below
        assert (place(drawn, "D1.k")[1] > 7.5) is cathode_below


def test_a_switch_is_drawn_in_the_position_asked_for() -> None:
    x, _ = place(symbol_of(PARTS["S4"]), "S4.1")
    straight = (x, 4.5 + 2.5, x, 10.5 + 2.5)
    assert straight not in lines(symbol_of(PARTS["S4"]))
    assert straight in lines(symbol_of(PARTS["S4"], Wanted({"S4": "on"})))
    assert straight not in lines(symbol_of(PARTS["S4"], Wanted({"S4": "broken"})))


def lever_to(symbol: Symbol) -> str:
    """The fixed contact on which the movable piece of a change-over contact lies: the only slanting plain line."""
    (lever,) = [one for one in symbol.shapes if isinstance(one, Line) and one.x1_mm != one.x2_mm and one.role == PLAIN
                and one.y1_mm != one.y2_mm]  # fmt: skip
    (pin,) = [pin for pin in symbol.pins if pin.side == BOTTOM and pin.x_mm == lever.x2_mm]
    return pin.name


def test_a_change_over_contact_lies_where_it_is_said_to() -> None:
    assert lever_to(symbol_of(PARTS["S8"])) == "S8.3"
    assert lever_to(symbol_of(PARTS["S8"], Wanted({"S8": "up"}))) == "S8.2"
    assert lever_to(symbol_of(PARTS["K3"])) == "K3.87a"
    assert lever_to(symbol_of(PARTS["K3"], Wanted({"K3": PULLED}))) == "K3.87"


@pytest.mark.parametrize(
    ("part", "pins"),
    [
        ("X12", {"X12.3@chassis", "X12.3@boom"}),
        ("B9", {"B9.in", "F9.in"}),
        ("K3", {"K3.85", "K3.86"}),
        ("E31", {"E31.2", "E31.6"}),
    ],
)
def test_only_the_wanted_pins_are_drawn(part: str, pins: set[str]) -> None:
    drawn = symbol_of(PARTS[part], Wanted(pins=frozenset(pins)))
    assert {pin.name for pin in drawn.pins} == pins
    assert drawn.width_mm < symbol_of(PARTS[part]).width_mm


def test_the_half_of_a_connector_that_leads_to_the_supply_is_above() -> None:
    pins = frozenset({"X12.3@chassis", "X12.3@boom"})
    for half, other in (("chassis", "boom"), ("boom", "chassis")):
        drawn = symbol_of(PARTS["X12"], Wanted(pins=pins, upward=frozenset({f"X12.3@{half}"})))
        assert place(drawn, f"X12.3@{half}")[1] < place(drawn, f"X12.3@{other}")[1]


def test_hostile_names_stay_texts() -> None:
    label = '"><script>alert(1)</script>&amp; \x00\u202eevil ' + "x" * 500
    drawn = symbol_svg(symbol_of(replace(PARTS["E7"], label=label, place=label)))
    root = ET.fromstring(drawn)
    assert {element.tag for element in root.iter()} <= {"g", "line", "circle", "text", "rect", "path"}
    assert not {"\x00", "\u202e"} & set("".join(root.itertext()))
    assert "…" in "".join(root.itertext())


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        (lambda one: replace(one, pins=(replace(one.pins[0], y_mm=2.5), *one.pins[1:])), "E7.1 is not on the top"),
        (lambda one: replace(one, pins=(replace(one.pins[0], x_mm=3.0), *one.pins[1:])), "E7.1 is off the raster"),
        (lambda one: replace(one, pins=(one.pins[0], one.pins[0])), "two pins at one place"),
        (lambda one: replace(one, width_mm=10.0), "a text sticks out"),
    ],
)
def test_a_symbol_out_of_its_box_is_found(broken: Callable[[Symbol], Symbol], said: str) -> None:
    assert said in complaints(broken(symbol_of(PARTS["E7"])))


def test_an_id_is_never_cut_and_another_vehicles_name_stands_small_behind_it() -> None:
    def texts(part: str, **fields: object) -> list[str]:
        drawn = symbol_of(replace(PARTS[part], **fields))  # type: ignore[arg-type]
        assert complaints(drawn) == []
        return [one.text for one in drawn.shapes if isinstance(one, Text)]

    for part in ("E7", "X12", "S4", "K3", "E31", "B9", "W1", "chassis"):
        shown = texts(part, id="trailer::VERY-LONG-NAME-70")
        assert {"VERY-LONG-NAME-70", "trailer"} <= set(shown)
    assert {"drawbar", "frame"} <= set(texts("X12", halves=("trailer::drawbar", "trailer::frame")))


def test_a_change_over_contact_whose_ends_leave_on_both_sides_is_drawn_as_single_contacts() -> None:
    """Otherwise a line back to the other side would run over the lead of its neighbour."""
    wiper = "unit M5\n  53-31 motor 5A\n  cam parked: 53e=31 | away: 53e=53a\n"
    part = load_text(f'loombench 1\nvehicle "W" 12V\n{wiper}', "wiper.circuit").value.parts["M5"]
    names = {one.text for one in symbol_of(part).shapes if isinstance(one, Text)}
    mixed = symbol_of(part, Wanted(upward=frozenset({"M5.53", "M5.53a", "M5.53e"})))
    assert complaints(mixed) == []
    assert names == {one.text for one in mixed.shapes if isinstance(one, Text)}
    uprights = [one for one in lines_of(mixed) if one[0] == one[2]]
    assert len(set(uprights)) == len(uprights)
    for at, one in enumerate(uprights):
        for two in uprights[:at]:
            low, high = max(one[1], two[1]), min(one[3], two[3])
            assert one[0] != two[0] or high - low < 1e-6, (one, two)


def lines_of(symbol: Symbol) -> list[tuple[float, float, float, float]]:
    """Its straight lines, each from its upper end."""
    found = [one for one in symbol.shapes if isinstance(one, Line) and one.role == PLAIN]
    return [(one.x1_mm, min(one.y1_mm, one.y2_mm), one.x2_mm, max(one.y1_mm, one.y2_mm)) for one in found]
