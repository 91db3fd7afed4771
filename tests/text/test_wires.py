"""Wires: ways through parts, halves of connectors, names, ranges for what is not known."""

import pytest

from loombench.base.band import Band, exactly
from loombench.facts.conductor import awg_area_mm2
from loombench.text.load import load_text
from loombench.vehicle.model import Colour, Wire
from loombench.vehicle.points import Point
from tests.text.circuits import HEAD, LAMP, codes, sound, wrong

PAIR = "lamp E1 5W\nlamp E2 5W\n"


def wire_of(bracket: str) -> Wire:
    (wire,) = sound(f"{HEAD}{PAIR}place pivot\ncable C4 twisted\nE1.1 ({bracket}) E2.1\n").wires
    return wire


def test_a_wire_passes_a_part_with_two_pins() -> None:
    assert [wire.id for wire in sound(LAMP).wires] == [
        "G1.-~W1/a", "G1.+~F12.in", "F12.out~S4.1", "S4.2~E7.1", "E7.2~W1/b",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("bracket", "area", "length", "colour", "number", "assumed"),
    [
        ("GY/RD 1.5mm2 2.4m", 1.5, 2.4, ("grey", "red"), "", ()),
        ("2.4m 1,5mm² GY/RD", 1.5, 2.4, ("grey", "red"), "", ()),
        ("GY RD 1.5 mm2 240 cm", 1.5, 2.4, ("grey", "red"), "", ()),
        ("#214 16AWG 2m", awg_area_mm2(16), 2, (), "214", ()),
        ("1/0AWG 2m", awg_area_mm2(0), 2, (), "", ()),
        ("BK ? 2m", None, 2, ("black",), "", ("size",)),
        ("? ? ?m", None, None, (), "", ("size", "length")),
        ("", None, None, (), "", ("size", "length")),
    ],
)
def test_the_words_in_a_bracket(
    bracket: str,
    area: float | None,
    length: float | None,
    colour: tuple[str, ...],
    number: str,
    assumed: tuple[str, ...],
) -> None:
    wire = wire_of(bracket)
    assert wire.area_mm2 == (Band(1, 0.5, 2.5) if area is None else exactly(area))
    assert wire.length_m == (Band(1.5, 0.2, 6) if length is None else exactly(length))
    assert (wire.colour.words, wire.number, wire.assumed) == (colour, number, assumed)


def test_via_cable_and_label() -> None:
    wire = wire_of('GN 1mm2 2m via pivot via pivot in C4 "feed"')
    assert (wire.via, wire.cable, wire.label, wire.size_text) == (("pivot", "pivot"), "C4", "feed", "1mm2")


def test_ranges_of_sizes_and_lengths() -> None:
    wire = wire_of("GN 0.5..1mm2 2..2.5..4m")
    assert (wire.area_mm2, wire.length_m) == (Band(0.75, 0.5, 1), Band(2.5, 2, 4))
    assert wire.assumed == ()


def test_a_length_is_narrowed_by_places() -> None:
    text = (
        HEAD + "place box\nplace rear\nlamp E1 5W at box\nlamp E2 5W at box\nlamp E3 5W at rear\nlamp E4 5W at rear\n"
        "E1.1 (?m) E2.1\nE1.2 (2m) E3.1\nE2.2 (4m) E3.2\nE1.2 (?m) E4.2\n"
    )
    short, _, _, between = sound(text).wires
    assert short.length_m == Band(0.4, 0.1, 1)
    assert between.length_m == Band(3, 1.6, 5)


def test_the_loom_says_which_half_of_a_connector() -> None:
    text = (
        HEAD + PAIR + "connector X12 6way chassis | boom\n"
        "loom chassis\nE1.1 (?) X12.3\nloom boom\nX12.3 (?) E2.1\nloom ?\nE1.2 (?) X12.4@boom\n"
    )
    one, two, three = sound(text).wires
    assert (one.b, one.loom) == (Point("X12", "3", "chassis"), "chassis")
    assert (two.a, two.loom) == (Point("X12", "3", "boom"), "boom")
    assert (three.b, three.loom) == (Point("X12", "4", "boom"), "boom")
    assert [wire.id for wire in (one, two, three)] == ["E1.1~X12.3", "X12.3~E2.1", "E1.2~X12.4"]


def test_passing_connectors_changes_the_loom_on_the_way() -> None:
    text = (
        HEAD + PAIR + "connector X14 12way dash | frame\nconnector X31 2way frame | gearbox\n"
        "loom dash\nE1.1 (?) X14.9 (?) X31.2 (?) E2.1\nE1.2 (?) X14.1\n"
    )
    wires = sound(text).wires
    assert [wire.loom for wire in wires] == ["dash", "frame", "gearbox", "dash"]
    assert [(wire.a.half, wire.b.half) for wire in wires] == [
        ("", "dash"), ("frame", "frame"), ("gearbox", ""), ("", "dash"),
    ]  # fmt: skip


def test_a_second_wire_between_the_same_points_is_numbered() -> None:
    wires = sound(f"{HEAD}{PAIR}E1.1 (?) E2.1\nE1.1 (?) E2.1\nE2.1 (?) E1.1\n").wires
    assert [wire.id for wire in wires] == ["E1.1~E2.1", "E1.1~E2.1#2", "E2.1~E1.1"]


def test_a_polarised_part_is_passed_by_saying_the_way() -> None:
    text = f"{HEAD}{PAIR}diode D1 3A\nE1.1 (?) D1.k>a (?) E2.1\n"
    assert [wire.id for wire in sound(text).wires] == ["E1.1~D1.k", "D1.a~E2.1"]


def test_a_splice_needs_no_line_of_its_own() -> None:
    assert sound(f"{HEAD}{PAIR}E1.1 (?) SP7 (?) E2.1\n").parts["SP7"].kind == "splice"


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("E1.1 (GN 1.5 2m) E2.1", "number-bare"),
        ("E1.1 (SW 1mm2 2m) E2.1", "colour-unknown"),
        ("E1.1 (GN 1mm2 900m) E2.1", "number-range"),
        ("E1.1 (GN 1mm2 -2m) E2.1", "number-range"),
        ("E1.1 (GN 1mm2 2m via nowhere) E2.1", "place-unknown"),
        ("E1.1 (GN 1mm2 2m in C9) E2.1", "cable-unknown"),
        ("E1.1 (GN 7A 2m) E2.1", "number-unit"),
    ],
)
def test_what_is_wrong_in_a_bracket_leaves_the_wire(line: str, code: str) -> None:
    outcome = load_text(f"{HEAD}{PAIR}{line}\n")
    assert codes(outcome.problems) == [code]
    assert [wire.id for wire in outcome.value.wires] == ["E1.1~E2.1"]
    if code == "colour-unknown":
        assert outcome.value.wires[0].colour == Colour((), "SW")


def test_a_stretch_that_fails_leaves_the_others_of_its_line() -> None:
    outcome = load_text(f"{HEAD}{PAIR}E1.1 (?) SP1 (?) E9.1 (?) SP2 (?) E2.1\n")
    assert codes(outcome.problems) == ["part-unknown"]
    assert [wire.id for wire in outcome.value.wires] == ["E1.1~SP1", "SP2~E2.1"]


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        ("E1.1 (?) E2.1 E2.2", "wire-unfinished"),
        ("(?) E2.1", "wire-unfinished"),
        ("E1.1 (?) (?) E2.1", "wire-unfinished"),
        ("E1.1 (? E2.1", "bracket-open"),
        ("E1.1 ?) E2.1", "bracket-open"),
        ("E1.1 ((?)) E2.1", "bracket-open"),
        ("E1.1 (?) E1.1", "wire-to-itself"),
        ("E1.3 (?) E2.1", "pin-unknown"),
        ("battery G1\nG1 (?) E2.1", "pin-needed"),
        ("led H1\nE1.1 (?) H1 (?) E2.1", "way-needed"),
        ("led H1\nE1.1 (?) H1", "pin-needed"),
        ("connector X1 4way a | b\nX1.1 (?) E2.1", "loom-needed"),
        ("connector X1 4way a | b\nloom c\nX1.1 (?) E2.1", "half-unknown"),
        ("connector X1 4way a | b\nloom a\nX1.5 (?) E2.1", "pin-unknown"),
    ],
)
def test_lines_of_wires_that_fail(lines: str, code: str) -> None:
    assert wrong(f"{PAIR}{lines}\n") == [code]
