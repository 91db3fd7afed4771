"""Looking something up: what it is, where, which wires with which colours, and where it is drawn."""

import pytest

from loombench.app.drawing import Drawings
from loombench.app.lookup import asks_which, look_up
from loombench.base.wording import catalogue
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle

TEXT = """loombench 1
vehicle "Loader" 12V
colours IEC
place dash  reach 1min "switch panel, two clips"
place head  reach 4min "boom lowered, from the ground"
body chassis
stud W1 on chassis
stud W2 on chassis
battery G1 70Ah
fuse F1 10A "work lamp"
switch S4 off | on: 1=2 at dash
connector X12 2way chassis | boom at head
lamp E7 12V 55W at head "work lamp, left"
loom chassis
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) F1 (#214 GY 1mm2 1m) S4.1
S4.2 (GY/RD 1.5mm2 ?m) X12.1
loom boom
X12.1 (GY/RD 1.5mm2 1m) E7 (BN 1mm2 1m) W2/a
"""


@pytest.fixture(scope="module")
def vehicle() -> Vehicle:
    """A loader with one lamp behind a connector."""
    loaded = load_text(TEXT)
    assert loaded.problems == ()
    return loaded.value


def found(vehicle: Vehicle, text: str) -> list[tuple[str, str]]:
    """What a text means: sort and name."""
    return [(one.sort, one.name) for one in look_up(vehicle, Drawings(vehicle), text, catalogue()).value]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("E7", [("part", "E7")]),
        ("e7", [("part", "E7")]),
        ("S4.2", [("pin", "S4.2")]),
        ("X12.1", [("pin", "X12.1@chassis"), ("pin", "X12.1@boom")]),
        ("X12.1@boom", [("pin", "X12.1@boom")]),
        ("W1/a", [("pin", "W1/a")]),
        ("dash", [("place", "dash")]),
        ("gy/rd", [("colour", "GY/RD")]),
        ("#214", [("number", "#214")]),
        ("214", [("number", "#214")]),
        ("lamp work", [("function", "work lamp"), ("part", "F1"), ("part", "E7")]),
        ("two clips", [("place", "dash")]),
        ("", []),
    ],
)
def test_what_a_text_means(vehicle: Vehicle, text: str, meant: list[tuple[str, str]]) -> None:
    assert found(vehicle, text) == meant


@pytest.mark.parametrize(
    "text", ["E9", "X12.7", "work lmap", "(((" * 1000, "%s{0}\x00", "../../etc", ".", "/", "@", "#"]
)
def test_what_means_nothing_is_said(vehicle: Vehicle, text: str) -> None:
    looked = look_up(vehicle, Drawings(vehicle), text, catalogue())
    assert looked.value == ()
    assert [one.code for one in looked.problems] == ["look-up-nothing"]


def test_a_pin_tells_its_wire_its_place_its_face_and_its_page(vehicle: Vehicle) -> None:
    (pin,) = look_up(vehicle, Drawings(vehicle), "X12.1@boom", catalogue()).value
    (wire,) = pin.wires
    assert (wire.colour, wire.size, wire.length, wire.loom) == ("GY/RD", "1.5 mm²", "1 m", "boom")
    assert wire.ends == (("X12.1@boom", "head"), ("E7.1", "head"))
    assert (pin.place, pin.note, pin.reach_min) == ("head", "boom lowered, from the ground", 4.0)
    assert "<svg" in pin.face
    assert pin.pages == (("E7", "work lamp"),)
    assert not pin.kept_off


def test_a_length_nobody_knows_stays_a_question_mark(vehicle: Vehicle) -> None:
    (pin,) = look_up(vehicle, Drawings(vehicle), "S4.2", catalogue()).value
    assert [wire.length for wire in pin.wires] == ["?"]


def test_where_nobody_may_measure_it_says_so() -> None:
    loaded = load_text(TEXT.replace("loom chassis", "class pyro X12.1\nloom chassis"))
    assert loaded.problems == ()
    vehicle = loaded.value
    kept_off = {
        name: one.kept_off
        for name in ("X12.1@boom", "E7.1", "G1.-")
        for one in look_up(vehicle, Drawings(vehicle), name, catalogue()).value
    }
    assert kept_off == {"X12.1@boom": True, "E7.1": True, "G1.-": False}


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("dash GY/RD", ("dash", "GY/RD")), ("gy/rd DASH", ("dash", "gy/rd")), ("dash GY BN", ("dash", "GY,BN")),
        ("dash", None), ("GY/RD", None), ("dash head GY", None), ("dash lamp", None), ("", None),
    ],
)  # fmt: skip
def test_a_place_with_a_colour_asks_which_wire(vehicle: Vehicle, text: str, asks: tuple[str, str] | None) -> None:
    assert asks_which(vehicle, text) == asks
