"""Changes: what each does to a vehicle, what it refuses, and its line of text."""

import pytest

from loombench.base.band import exactly
from loombench.text.changes import read_change, write_change
from loombench.text.draft import Draft
from loombench.text.load import load_text
from loombench.text.syntax import Line
from loombench.text.tokens import tokens
from loombench.text.write import write
from loombench.vehicle.change import (
    Change,
    ChooseOption,
    MoveEnd,
    RemoveWire,
    Rename,
    SetLength,
    SetNumber,
    apply,
    apply_all,
)
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from tests.text.circuits import HEAD, LAMP, ROOT, codes, sound

LINES = [
    "rename E7 E17",
    "rename chassis frame",
    "rename G1 G9",
    "size S4.2~E7.1 2.5mm2",
    "size S4.2~E7.1 14AWG",
    "length S4.2~E7.1 3.5m",
    "colour S4.2~E7.1 BK/WH",
    "remove E7.2~W1/b",
    "move E7.2~W1/b from W1/b to W1/c",
    "move S4.2~E7.1 from E7.1 to SP9",
    "wire S4.2 (GY 1mm2 1m) E7.1",
    "number F12 15A",
    "number E7 21W",
    'part lamp E8 12V 21W "second"',
]


def changed(vehicle: Vehicle, line: str) -> Change:
    draft = Draft()
    change = read_change(draft, Line("", 1, tokens(f'change 2026-11-03 "because" {line}')), vehicle)
    assert draft.problems == []
    assert change is not None
    return change


@pytest.mark.parametrize("line", LINES)
def test_a_change_is_written_as_it_is_read(line: str) -> None:
    vehicle = sound(LAMP)
    change = changed(vehicle, line)
    text = write_change(change, vehicle)
    assert text.startswith('change 2026-11-03 "because" ')
    draft = Draft()
    again = read_change(draft, Line("", 1, tokens(text)), vehicle)
    assert again is not None
    first, second = apply(vehicle, change), apply(vehicle, again)
    assert first.problems == second.problems == ()
    assert write(first.value) == write(second.value)
    assert write(first.value) != write(vehicle)


@pytest.mark.parametrize("line", LINES)
def test_a_change_in_the_file_is_applied_when_it_is_loaded(line: str) -> None:
    vehicle = sound(LAMP)
    noted = sound(f'{LAMP}change 2026-11-03 "because" {line}\n')
    assert write(noted) == write(apply(vehicle, changed(vehicle, line)).value)


def test_rename_moves_all_that_refers_to_the_part() -> None:
    vehicle = load_text((ROOT / "examples" / "telehandler-roof" / "vehicle.circuit").read_text(encoding="utf-8")).value
    for old, new in (("chassis", "main-frame"), ("B1", "B9"), ("K4", "K44"), ("X12", "X99"), ("S8", "S88")):
        after = apply(vehicle, Change(Rename(old, new))).value
        back = apply(after, Change(Rename(new, old))).value
        assert old not in after.parts
        assert new in after.parts
        assert back == vehicle
        names = {point.part for wire in after.wires for point in (wire.a, wire.b)}
        names |= {point.part for part in after.parts.values() for link in part.links for point in link}
        names |= {part.body for part in after.parts.values()} | {part.holder for part in after.parts.values()}
        names |= {control.part for control in after.controls.values()}
        assert old not in names
        assert names - {""} <= set(after.parts)


def test_moving_an_end_gives_the_wire_a_new_name_and_keeps_its_place() -> None:
    vehicle = sound(LAMP)
    change = Change(MoveEnd("S4.2~E7.1", Point("E7", "1"), Point("E7", "2")))
    after = apply(vehicle, change).value
    assert [wire.id for wire in after.wires][3] == "S4.2~E7.2"


def test_a_number_stands_on_the_part_and_its_element() -> None:
    after = apply(sound(LAMP), Change(SetNumber("F12", "rated_a", exactly(15)))).value
    fuse = after.parts["F12"]
    assert fuse.params["rated_a"] == fuse.elements[0].params["rated_a"] == exactly(15)


def test_an_element_of_a_unit_takes_its_own_number() -> None:
    vehicle = sound(HEAD + "unit E31\n  1-6 lamp 21W\n  2-6 lamp 21W\n")
    after = apply(vehicle, Change(SetNumber("E31", "rated_w", exactly(5), "2-6"))).value
    assert [inner.params["rated_w"].nominal for inner in after.parts["E31"].elements] == [21, 5]


def test_a_relay_takes_coil_and_contact_numbers_where_they_belong() -> None:
    vehicle = sound(HEAD + "relay K3 changeover 30 85 86 87 87a\n")
    after = apply_all(
        vehicle,
        [Change(SetNumber("K3", "coil_ohm", exactly(90))), Change(SetNumber("K3", "rated_a", exactly(40)))],
    )
    assert after.problems == ()
    assert [sorted(inner.params) for inner in after.value.parts["K3"].elements] == [
        ["coil_ohm"], ["rated_a"], ["rated_a"],
    ]  # fmt: skip


def test_a_length_that_is_measured_is_no_longer_assumed() -> None:
    vehicle = sound(LAMP.replace("GY/RD 1mm2 2m", "GY/RD 1mm2 ?m"))
    assert vehicle.wire_by_id["S4.2~E7.1"].assumed == ("length",)
    after = apply(vehicle, Change(SetLength("S4.2~E7.1", exactly(2.2)))).value
    assert after.wire_by_id["S4.2~E7.1"].assumed == ()


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (Rename("E9", "E10"), "part-unknown"),
        (Rename("E7", "F12"), "name-twice"),
        (RemoveWire("S4.2~E8.1"), "wire-unknown"),
        (MoveEnd("S4.2~E7.1", Point("W1", "a", ring=True), Point("E7", "2")), "end-unknown"),
        (MoveEnd("S4.2~E7.1", Point("E7", "1"), Point("E9", "2")), "part-unknown"),
        (MoveEnd("S4.2~E7.1", Point("E7", "1"), Point("E7", "3")), "pin-unknown"),
        (MoveEnd("S4.2~E7.1", Point("E7", "1"), Point("S4", "2")), "wire-to-itself"),
        (SetNumber("F12", "rated_w", exactly(5)), "number-unknown"),
        (SetNumber("F13", "rated_a", exactly(5)), "part-unknown"),
        (SetNumber("E7", "rated_w", exactly(5), "1-6"), "element-unknown"),
        (ChooseOption("tow-bar"), "option-unknown"),
    ],
)
def test_a_change_that_does_not_fit_leaves_the_vehicle(change: Rename, code: str) -> None:
    vehicle = sound(LAMP)
    outcome = apply(vehicle, Change(change))
    assert codes(outcome.problems) == [code]
    assert outcome.value == vehicle


def test_an_option_chosen_by_a_change_line_counts_from_the_start() -> None:
    text = HEAD + 'option kit "tow bar"\nif kit lamp E1 5W\nchange 2026-11-03 "fitted" option kit\n'
    assert list(sound(text).parts) == ["E1"]


@pytest.mark.parametrize(
    "line",
    ["", "2026-11-03", '2026-11-03 "why"', '03.11.2026 "why" remove A~B', '2026-11-03 "why" paint A~B RD',
     '2026-11-03 "why" size S4.2~E7.1 2m', '2026-11-03 "why" move S4.2~E7.1 E7.1'],
)  # fmt: skip
def test_a_change_line_that_cannot_be_read_is_said(line: str) -> None:
    assert codes(load_text(f"{LAMP}change {line}\n").problems) == ["change-unread"]


def test_a_change_that_does_not_fit_is_said_with_its_line() -> None:
    (problem,) = load_text(f'{LAMP}change 2026-11-03 "why" remove S4.2~E9.1\n').problems
    assert (problem.code, problem.spans[0].line) == ("wire-unknown", 13)
