"""Writing: what is written loads to the same electrical facts, and is written the same again."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from loombench.base.band import Band
from loombench.text.load import load_file, load_text
from loombench.text.numbers import Number, read_number, write_number
from loombench.text.skeleton import SKELETONS, skeleton
from loombench.text.write import write, write_files
from loombench.vehicle.model import Inner, Part, Vehicle, Wire
from tests.text.circuits import HEAD, ROOT, sound
from tests.text.vehicles import circuit

EXAMPLES = [*sorted((ROOT / "examples" / "cases").glob("*.circuit")),
            *sorted(path.parent for path in (ROOT / "examples").glob("*/vehicle.circuit"))]  # fmt: skip


def facts_of(vehicle: Vehicle) -> tuple[object, ...]:
    """All that a circuit computes from: parts and wires without the places in the text they came from."""

    def inner(item: Inner) -> Inner:
        return replace(item, span=None)

    def part(item: Part) -> Part:
        spec = item.module
        if spec is not None:
            spec = replace(
                spec,
                inputs=tuple(replace(one, span=None) for one in spec.inputs),
                outputs=tuple(replace(one, span=None) for one in spec.outputs),
                rules=tuple(replace(one, span=None, text="") for one in spec.rules),
            )
        elements = tuple(inner(one) for one in item.elements)
        return replace(item, span=None, elements=elements, module=spec, class_marks=tuple(sorted(item.class_marks)))

    def wire(item: Wire) -> Wire:
        return replace(item, span=None)

    return (
        vehicle.nominal_v,
        {name: part(item) for name, item in vehicle.parts.items()},
        [wire(item) for item in vehicle.wires],
        [(item.socket, item.plug) for item in vehicle.matings],
        {name: replace(place, span=None) for name, place in vehicle.places.items()},
    )


@settings(max_examples=150)
@given(circuit())
def test_writing_and_reading_again_gives_the_same_circuit(text: str) -> None:
    vehicle = sound(text)
    once = write(vehicle)
    again = sound(once)
    assert facts_of(again) == facts_of(vehicle)
    assert write(again) == once


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_examples_survive_writing(path: Path) -> None:
    vehicle = load_file(path).value
    files = write_files(vehicle)
    again = load_text(files["vehicle.circuit"], read_include=files.get)
    assert again.problems == ()
    colours = {wire.colour.words for wire in vehicle.wires} == {wire.colour.words for wire in again.value.wires}
    assert colours
    assert facts_of(again.value)[1:4] == facts_of(vehicle)[1:4]
    assert write(again.value) == files["vehicle.circuit"]


@pytest.mark.parametrize("kind", SKELETONS)
def test_skeletons_survive_writing(kind: str) -> None:
    vehicle = sound(skeleton(kind))
    assert facts_of(sound(write(vehicle))) == facts_of(vehicle)


@pytest.mark.parametrize("text", ["12V", "2..5m", "2..3..5m", "0.1A", "50%", "16AWG", "4/0AWG", "1e-05A", "30kohm"])
def test_numbers_survive_writing(text: str) -> None:
    number = read_number(text)
    assert isinstance(number, Number)
    assert read_number(write_number(number.band, number.unit)) == number


def test_a_range_that_is_not_the_assumed_one_is_written_as_a_range() -> None:
    vehicle = sound(HEAD + "fuse F1 5..7..20A\nfuse F2 ?A\nlamp E1 5W\nE1.1 (? 2..4m) F1.in\n")
    assert vehicle.parts["F1"].params["rated_a"] == Band(7, 5, 20)
    written = write(vehicle)
    assert "fuse F1 5..7..20A\n" in written
    assert "fuse F2 ?A\n" in written
    assert "E1.1 (?mm2 2..4m) F1.in\n" in written


def test_what_would_break_a_quote_is_replaced() -> None:
    vehicle = sound(HEAD + "lamp E1 5W\n")
    part = replace(vehicle.parts["E1"], label='the "left"\none')
    odd = replace(vehicle, parts={"E1": part}, name='A "B"')
    again = sound(write(odd))
    assert (again.parts["E1"].label, again.name) == ("the 'left' one", "A 'B'")
