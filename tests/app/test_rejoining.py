"""Out, through another program's format, and in again beside the folder of parts: the vehicle computes as before."""

from collections import Counter
from dataclasses import replace

import pytest

from loombench.app.exporting import export
from loombench.app.readingtable import pin_table
from loombench.app.rejoining import rejoin
from loombench.exchange.harness import End, Spot
from loombench.text.load import load_text
from loombench.vehicle.condition import ENGINE, Condition, Operation
from loombench.vehicle.model import Vehicle, Wire
from tests.exchange.out.test_roundtrip import WAYS, back
from tests.exchange.out.vehicles import FILES, example, small

WITH_RANGES = ("S4.2~W1",)
"""Wires of the small vehicle that have a range, which no format holds."""


def parts_of(vehicle: Vehicle, way: str) -> Vehicle:
    """The vehicle's parts as they are kept beside the file."""
    exported = export(vehicle, way, "van.x").value
    assert exported is not None
    folder = f"{exported.folder}/"
    files = {name.removeprefix(folder): text for name, text in exported.files.items() if name.startswith(folder)}
    loaded = load_text(files["vehicle.circuit"], "vehicle.circuit", files.get)
    assert loaded.usable
    return loaded.value


def again(vehicle: Vehicle, way: str) -> Vehicle:
    """The vehicle as it comes back."""
    joined = rejoin(parts_of(vehicle, way), [back(vehicle, way)[1]])
    assert joined.value is not None, joined.problems
    return load_text(joined.value["vehicle.circuit"], "vehicle.circuit", joined.value.get).value


def facts(wire: Wire, label: bool) -> tuple[object, ...]:
    """What is known of a wire, without what no format holds."""
    numbers = [(round(band.low, 7), round(band.high, 7)) for band in (wire.area_mm2, wire.length_m)]
    ends = frozenset((wire.a, wire.b))
    return (
        ends,
        wire.number,
        wire.colour.words,
        *numbers,
        wire.cable,
        wire.loom,
        wire.assumed,
        wire.label if label else "",
    )


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", FILES)
def test_every_wire_is_where_it_was(name: str, way: str) -> None:
    vehicle = example(name)
    label = way != "vec"
    assert Counter(facts(wire, label) for wire in again(vehicle, way).wires) == Counter(
        facts(wire, label) for wire in vehicle.wires
    )


@pytest.mark.parametrize("way", WAYS)
def test_what_is_a_range_is_not_known_when_it_comes_back(way: str) -> None:
    wires = {wire.id: wire for wire in again(small(), way).wires}
    assert set(wires) == {wire.id for wire in small().wires}
    for name in WITH_RANGES:
        assert "length" in wires[name].assumed


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", ["telehandler-roof/vehicle.circuit", "school-minibus/vehicle.circuit"])
def test_readings_are_the_same_when_it_comes_back(name: str, way: str) -> None:
    vehicle = example(name)
    returned = again(vehicle, way)
    for condition in (Condition(), Condition((Operation("set", ENGINE, "run"),))):
        before = {(row.part, row.pin): row.volts for row in pin_table(vehicle, condition).value.rows}
        after = {(row.part, row.pin): row.volts for row in pin_table(returned, condition).value.rows}
        assert before.keys() == after.keys()
        for pin, volts in before.items():
            there = after[pin]
            assert (volts is None) == (there is None)
            assert volts is None or there is None or abs(volts - there) < 1e-6


def test_a_wire_to_nowhere_is_refused_by_name() -> None:
    harness = back(small(), "kbl")[1]
    wire = replace(harness.wires[0], ends=(End(Spot("X99", "1")), harness.wires[0].ends[1]))
    refused = rejoin(parts_of(small(), "kbl"), [replace(harness, wires=(wire, *harness.wires[1:]))])
    assert refused.value is None
    assert [(one.code, one.fact("points")) for one in refused.problems] == [("parts-unknown", "X99.1")]
