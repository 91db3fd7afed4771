"""A vehicle as a harness: the spots, sizes and joins of a small vehicle written down by hand, and order in all."""

import pytest

from loombench.exchange.harness import BOX, CONNECTOR, DEVICE, RING, SPLICE, Harness, Spot
from loombench.exchange.leaving import Spots, leave
from loombench.exchange.netcount import count
from loombench.text.load import load_text
from tests.exchange.out.vehicles import FILES, example, small

HOLDERS = {
    "chassis": RING, "W9.a": RING, "W9.b": RING, "W1/a": RING, "W1": RING, "W2/a": RING, "W2/b": RING,
    "G1": DEVICE, "S4": DEVICE, "E7": DEVICE, "A2-X1": DEVICE, "A2-X3": DEVICE,
    "F1": BOX, "B1": BOX, "F20": BOX, "X12@chassis": CONNECTOR, "X12@boom": CONNECTOR, "C4.shield": SPLICE,
    "SP1": SPLICE,
}  # fmt: skip
WIRES = {
    "G1.+~F1.in": ("G1.plus", "F1.in", 25.0, 0.6, ("RD",)),
    "F1.out~B1.in": ("F1.out", "B1.in", 16.0, 1.8, ("RD",)),
    "K4.87~X12.1": ("B1.K4.87", "X12@chassis.1", 2.5, 2.4, ("RD", "WH")),
    "K4.85~S4.1": ("B1.K4.85", "S4.1", None, None, ("BN",)),
    "S4.2~W1": ("S4.2", "W1.1", 0.75, None, ("BN",)),
    "SP1~F20.in": ("SP1.1", "F20.in", 1.0, 0.57, ("GY",)),
    "F20.out~A2.X1/1": ("F20.out", "A2-X1.1", 1.0, 0.3, ("GY",)),
    "X12.1~E7.1": ("X12@boom.1", "E7.1", 2.5, None, ("RD", "WH")),
    "C4.shield~W2/a": ("C4.shield.1", "W2/a.1", 0.5, 0.2, ()),
    "W9": ("W9.a.1", "W9.b.1", 16.0, 0.3, ()),
}


@pytest.fixture(scope="module")
def harness() -> Harness:
    """The small vehicle's."""
    return leave(small())


def test_each_thing_with_pins_is_the_holder_it_should_be(harness: Harness) -> None:
    assert {holder.id: holder.kind for holder in harness.holders} == HOLDERS


def test_wires_keep_ends_size_length_and_colour_and_nothing_is_made_up(harness: Harness) -> None:
    wires = {wire.id: wire for wire in harness.wires}
    assert len(wires) == 17
    for name, (one, other, area_mm2, length_m, colours) in WIRES.items():
        wire = wires[name]
        assert [str(end.spot) for end in wire.ends] == [one, other]
        assert (wire.area_mm2, wire.length_m, wire.colour.parts) == (area_mm2, length_m, colours)
    assert wires["K4.87~X12.1"].number == "214"
    assert wires["B1.C/7~SP1"].size_text == "18AWG"
    assert [(wire.cable, wire.core, wire.twist) for wire in harness.wires if wire.cable] == [
        ("C4", "1", "C4"),
        ("C4", "2", "C4"),
    ]


def test_a_carrier_is_a_box_with_its_bars_slots_and_fuses(harness: Harness) -> None:
    box = next(holder for holder in harness.holders if holder.id == "B1")
    assert [set(group) for group in box.joined] == [
        {"in", "F12.in", "F13.in", "K4.30"},
        {"F13.out", "K4.86"},
        {"F12.out", "C/7"},
    ]
    fitted = {one.id: (one.kind, one.rating_a, one.spots[0]) for one in harness.fitted}
    assert fitted == {
        "F1": ("fuse", 100.0, Spot("F1", "in")),
        "F12": ("fuse", 10.0, Spot("B1", "F12.in")),
        "F13": ("fuse", None, Spot("B1", "F13.in")),
        "K4": ("relay", None, Spot("B1", "K4.30")),
        "F20": ("fuse", 5.0, Spot("F20", "in")),
    }


def test_the_halves_of_a_connector_are_mated_cavity_by_cavity(harness: Harness) -> None:
    (mating,) = harness.matings
    assert (mating.a, mating.b) == ("X12@chassis", "X12@boom")
    assert mating.pairs == tuple((str(number), str(number)) for number in range(1, 7))


@pytest.mark.parametrize("name", FILES)
def test_ids_are_unique_and_every_end_is_a_cavity_that_its_holder_has(name: str) -> None:
    vehicle = example(name)
    harness = leave(vehicle)
    spots = Spots(vehicle)
    cavities = {Spot(holder.id, cavity) for holder in harness.holders for cavity in holder.cavities}
    assert len({holder.id for holder in harness.holders}) == len(harness.holders)
    assert len({wire.id for wire in harness.wires}) == len(harness.wires)
    assert {end.spot for wire in harness.wires for end in wire.ends} <= cavities
    assert {spots.spot(point) for point in vehicle.wires_at} <= cavities
    assert len({spots.spot(point) for point in vehicle.wires_at}) == len(vehicle.wires_at)
    straps = sum(1 for part in vehicle.parts.values() if part.kind == "strap" and len(part.links) == 2)
    assert count(harness).connections >= len(vehicle.wires) + straps


def test_a_net_class_that_bars_steps_goes_with_the_wire_and_no_other_class_poses_as_a_signal() -> None:
    text = """loombench 1
vehicle "Belt" 12V
body chassis
stud W1 on chassis
lamp E7 55W
generic A9 1 2 class pyro
A9.1 (YE 0.5mm2 1m) E7.1
E7.2 (BN 1mm2 1m) W1/a
"""
    wires = leave(load_text(text, "belt.circuit", {}.get).value).wires
    assert [wire.signal for wire in wires] == ["pyro", ""]
