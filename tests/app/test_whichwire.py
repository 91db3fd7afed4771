"""Which wire is this: what a reading is said to be is what the circuit gives, and every pair is parted or named."""

import math
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from loombench.app.vehicles import open_vehicle
from loombench.app.whichwire import which_wire, wire_json, wire_lines
from loombench.app.wireparting import CLAMP, OHMMETER, VOLTMETER, Loom, Telling, end_here, part_wires, wires_there
from loombench.circuit.lower import lower
from loombench.circuit.operate import operate
from loombench.circuit.predict import predict
from loombench.diagnose.place import place_of_point
from loombench.diagnose.safety import touchable
from loombench.text.load import load_text
from loombench.vehicle.condition import Setup
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.nets import nets
from tests.diagnose.vehicles import AIRBAG, LAMP, vehicle

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LEAST = {VOLTMETER: 1.0, CLAMP: 0.1, OHMMETER: 10.0}
"""What a person must be able to tell apart at the meter: volts, ampere, ohm."""


def groups(car: Vehicle) -> Iterator[tuple[str, list[Wire]]]:
    """The wires of like colour at each place, where there are several."""
    for place in car.places:
        here = wires_there(car, place)
        for colour in dict.fromkeys(wire.colour.words for wire in here if wire.colour.words):
            alike = [wire for wire in here if wire.colour.words == colour]
            if len(alike) > 1:
                yield place, alike


def by_reference(car: Vehicle, telling: Telling, wire: Wire, where: str) -> float:
    """The reading anew: a vehicle lowered for it alone, each condition from rest."""
    if telling.meter == CLAMP:
        settled = operate(lower(car).value, telling.condition).settled
        return abs(sum(phase.share * phase.point.current_a(wire.id) for phase in settled.all_phases))
    red = end_here(car, wire, where)
    assert red is not None
    setup = Setup(telling.condition, red, telling.black, telling.meter)
    return abs(float(predict(car, [setup], [()]).values[0, 0]))


def held(car: Vehicle, loom: Loom, where: str, wires: list[Wire]) -> None:
    """Every pair is parted or named, once; the readings that part are those of the reference, and far enough apart."""
    parting = part_wires(loom, wires, where)
    parted = [pair for telling in parting.tellings for pair in telling.parts]
    assert sorted([*parted, *parting.unparted]) == list(combinations(range(len(wires)), 2))
    for telling in parting.tellings:
        i, j = telling.parts[0]
        found = [by_reference(car, telling, wires[k], where) for k in (i, j)]
        for k, value in zip((i, j), found, strict=True):
            claimed = telling.values[k]
            assert claimed is not None
            assert abs(claimed) == pytest.approx(value, rel=1e-6, abs=1e-6)
        apart = math.inf if math.inf in found else abs(found[0] - found[1])
        assert apart >= LEAST[telling.meter]


def test_all_wires_of_like_colour_on_a_small_vehicle() -> None:
    car = open_vehicle(str(EXAMPLES / "telehandler-roof")).vehicle
    loom = Loom(car)
    every = list(groups(car))
    assert len(every) > 9
    for where, wires in every:
        held(car, loom, where, wires)
    pairs = sum(math.comb(len(wires), 2) for _, wires in every)
    unparted = sum(len(part_wires(loom, wires, where).unparted) for where, wires in every)
    assert unparted <= 0.1 * pairs


def test_wires_of_like_colour_on_the_library_van() -> None:
    """Every tenth group of the van, by the file's order."""
    car = open_vehicle(str(EXAMPLES / "library-van")).vehicle
    loom = Loom(car)
    some = [group for place, group in enumerate(groups(car)) if place % 10 == 4 and len(group[1]) < 12]
    assert len(some) > 15
    for where, wires in some:
        held_without_reference(loom, where, wires)


def held_without_reference(loom: Loom, where: str, wires: list[Wire]) -> None:
    parting = part_wires(loom, wires, where)
    parted = [pair for telling in parting.tellings for pair in telling.parts]
    assert sorted([*parted, *parting.unparted]) == list(combinations(range(len(wires)), 2))
    for telling in parting.tellings:
        for i, j in telling.parts:
            one, other = telling.values[i], telling.values[j]
            assert one is not None
            assert other is not None
            assert abs(one - other) >= LEAST[telling.meter]


def test_the_wires_of_two_lamps_are_told_apart_in_words() -> None:
    car = vehicle(LAMP)
    found = which_wire(car, "head", "BK").value
    assert found is not None
    assert [one.wire for one in found.candidates][:2] == ["E7.2~W3/a", "E8.2~W3/b"]
    said = "\n".join(wire_lines(car, found))
    for piece in ("E7 (left)", "E8 (right)", "1.5mm2, 0.8 m, boom", "clamp around this wire alone"):
        assert piece in said
    assert said.index("! Live circuit") < said.index("Read on the wire")
    assert wire_json(found)["unparted"] == []


def test_on_an_airbag_circuit_nothing_is_measured() -> None:
    car = vehicle(AIRBAG)
    known = nets(car)
    forbidden = next(wire for wire in car.wires if wire.colour.words and not touchable(car, known, wire.a))
    where = place_of_point(car, forbidden.a) or forbidden.a.part
    found = which_wire(car, where, forbidden.colour.text).value
    assert found is not None
    assert forbidden.id in [one.wire for one in found.candidates]
    twin = part_wires(Loom(car), [forbidden, car.wires[0]], where)
    assert twin.forbidden
    assert twin.tellings == ()


def test_what_is_not_there_is_said() -> None:
    car = vehicle(LAMP)
    assert [one.code for one in which_wire(car, "hed", "BK").problems] == ["whereabouts-unknown"]
    assert [one.code for one in which_wire(car, "head", "XX").problems] == ["colour-unknown"]
    none = which_wire(car, "head", "VT").value
    assert none is not None
    (line,) = wire_lines(car, none)
    assert "Colours there: BK, GY/RD, OG/BK." in line


def test_one_wire_alone_needs_no_reading() -> None:
    text = """loombench 1
vehicle "Lamp" 12V
colours IEC
place dash reach 1min "dash"
body chassis
stud W1 on chassis
battery G1 70Ah
switch S4 off | on: 1=2 at dash
lamp E7 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) S4.1
S4.2 (GY 1mm2 1m) E7 (BN 1mm2 1m) W1/b
"""
    car = load_text(text).value
    found = which_wire(car, "dash", "GY").value
    assert found is not None
    assert "no other" in wire_lines(car, found)[-1]
