"""The six harder circuits and the example vehicles: each loads with nothing wrong, to the vehicle that is meant.

What is compared is read off the text by hand, not taken from the loader.
"""

from pathlib import Path

import pytest

from loombench.base.band import exactly
from loombench.text.load import load_file, load_sources
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import PIN, Point
from tests.text.circuits import ROOT

CASES = ROOT / "examples" / "cases"
VEHICLES = sorted(path.parent for path in (ROOT / "examples").glob("*/vehicle.circuit"))
ALL = [*sorted(CASES.glob("*.circuit")), *VEHICLES]


def case(number: int) -> Vehicle:
    (path,) = CASES.glob(f"{number}-*.circuit")
    return load_file(path).value


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.name)
def test_examples_load_without_a_problem(path: Path) -> None:
    loaded = load_sources(path)
    assert loaded.outcome.problems == ()
    assert set(loaded.outcome.value.files) == set(loaded.sources)
    assert len(loaded.outcome.value.wires) >= 9


def test_there_are_all_cases() -> None:
    assert [path.name[0] for path in sorted(CASES.glob("[0-9]-*.circuit"))] == list("012345")


def test_case_0_bars_and_key_switch() -> None:
    vehicle = case(0)
    links = vehicle.parts["B1"].links
    entry = Point("B1", "in", layer=PIN)
    assert [two for one, two in links if one == entry] == [Point("F8", "in"), Point("F9", "in"), Point("K1", "30")]
    assert [two for one, two in links if one == Point("K1", "87")] == [Point("F3", "in"), Point("F4", "in")]
    assert (Point("F8", "out"), Point("K3", "30")) in links
    assert (Point("F9", "out"), Point("B1", "C/7", layer=PIN)) in links
    key = vehicle.controls["S1"]
    assert (key.alias, key.rest) == ("key", "off")
    start = key.position("start")
    assert start is not None
    assert start.springs_back
    assert start.pairs == (("30", "15"), ("30", "50"))


def test_case_1_blower_on_the_ground_side() -> None:
    vehicle = case(1)
    pack = vehicle.parts["R5"]
    assert [(inner.name, inner.kind) for inner in pack.elements] == [
        ("5-4", "cutout"), ("4-3", "resistor"), ("3-2", "resistor"), ("2-1", "resistor"),
    ]  # fmt: skip
    assert [inner.params["resistance_ohm"] for inner in pack.elements[1:]] == [exactly(v) for v in (0.3, 0.8, 1.8)]
    assert pack.elements[0].params["opens_c"] == exactly(184)
    wire = vehicle.wire_by_id["X9.6~S20.4"]
    assert (wire.a, wire.loom, wire.area_mm2) == (Point("X9", "6", "dash"), "dash", exactly(4))
    assert vehicle.wire_by_id["SP7~X9.6"].b == Point("X9", "6", "body")
    assert vehicle.parts["S20"].pins == ("C", "1", "2", "3", "4")
    assert vehicle.wire_by_id["F3.out~K3.86"].assumed == ("length",)


def test_case_2_wiper() -> None:
    vehicle = case(2)
    assert [control.id for control in vehicle.controls.values()] == ["S7.wipe", "S7.wash", "M5.cam"]
    cam = vehicle.controls["M5.cam"]
    assert (cam.by, cam.follows) == ("process", "53-31")
    assert [position.pairs for position in cam.positions] == [(("53e", "31"),), (("53e", "53a"),)]
    interval = vehicle.parts["K8"].module
    assert interval is not None
    assert interval.contacts[0].rest == (("53e", "31b"),)
    assert interval.contacts[0].tick == (("53e", "15"),)
    assert (interval.rules[0].tick_s, interval.rules[0].every_s) == (0.6, 6.0)


def test_case_3_indicators_and_trailer() -> None:
    vehicle = case(3)
    assert [(m.socket, m.plug, m.vehicle) for m in vehicle.matings] == [("X50", "trailer::P1", "trailer")]
    assert vehicle.parts["X50"].pins == vehicle.parts["trailer::P1"].pins == tuple("1234567")
    assert vehicle.parts["trailer::W1"].body == "trailer::frame"
    assert "trailer::P1.1~trailer::E31.1" in vehicle.wire_by_id
    assert vehicle.parts["trailer::E31"].place == "trailer::tr-left"
    assert vehicle.controls["S10"].rest == "off"
    assert [inner.params["rated_w"] for inner in vehicle.parts["E31"].elements] == [exactly(w) for w in (21, 21, 5)]


def test_case_4_body_controller() -> None:
    vehicle = case(4)
    path = [wire for wire in vehicle.wires if wire.colour.text == "BU/GY"]
    assert [(str(wire.a), str(wire.b), wire.loom) for wire in path] == [
        ("A2.X3/7", "X14.9@dash", "dash"),
        ("X14.9@frame", "X31.2@frame", "frame"),
        ("X31.2@gearbox", "S31.1", "gearbox"),
    ]
    assert vehicle.parts["C4"].pins == ("shield",)
    assert "C4.shield~W4/d" in vehicle.wire_by_id
    assert vehicle.wire_by_id["A2.X3/20~N4.H"].cable == "C4"
    assert vehicle.parts["A2"].class_marks == (("X3/20", "bus"), ("X3/21", "bus"), ("X1/14", "module-output"))


def test_case_5_reversing_motor() -> None:
    vehicle = case(5)
    assert vehicle.parts["M8"].pins == ("a", "b")
    for relay in ("K21", "K22"):
        pins = {inner.name: inner.pins for inner in vehicle.parts[relay].elements}
        assert pins == {"coil": ("85", "86"), "make": ("30", "87"), "break": ("30", "87a")}
    assert [control.alias for control in vehicle.controls.values()] == [
        "key", "cab-rocker", "rear-rocker", "open-limit", "close-limit", "lock-pin",
    ]  # fmt: skip
    assert "S42.2~K21.86" in vehicle.wire_by_id
    assert vehicle.controls["S44"].rest == "in"
