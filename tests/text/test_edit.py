"""Editing: only touched lines change, comments and layout stay, and the new text says what the change says."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.base.band import exactly
from loombench.text.changes import read_change
from loombench.text.draft import Draft
from loombench.text.edit import edit, note_change
from loombench.text.load import load_text
from loombench.text.syntax import Line
from loombench.text.tokens import tokens
from loombench.vehicle.change import (
    AddPart,
    AddWire,
    Change,
    ChooseOption,
    RemoveWire,
    Rename,
    SetColour,
    SetLength,
    SetNumber,
    SetSize,
    apply,
)
from loombench.vehicle.model import Colour
from tests.text.circuits import HEAD, codes, sound
from tests.text.test_write import facts_of
from tests.text.vehicles import circuit

TEXT = """# a lamp, as it was found
loombench 1
vehicle "Test"   12V
colours IEC
body    chassis          # the frame
stud    W1  on chassis
battery G1  70Ah
fuse    F12 10A          # behind the seat
switch  S4  off | on: 1=2
lamp    E7  12V 55W   "work lamp, E7"
unit    E31
  1-6   lamp 21W         # a bulb of the E31

connector X1 4way cab | rear
connector X2 4way rear | tail

loom cab
G1.-  (BK 16mm2 0.4m)  W1/a
G1.+  (RD 6mm2 0.6m)   F12 (RD ? 1 m)  S4.1     # fed
S4.2  (GY/RD 1mm2 2m)  E7  (BN  1mm2)  W1/b     # E7 and back
E31.1 (? 1mm2 2m) X1.1 (GN 1mm2 2m) X2.1 (GN 1mm2 2m) E31.6   # through
"""


def the_change(line: str, text: str = TEXT) -> Change:
    draft = Draft()
    change = read_change(draft, Line("", 1, tokens(f'change 2026-11-03 "x" {line}')), sound(text))
    assert change is not None, draft.problems
    return change


def touched(before: str, after: str) -> list[tuple[str, str]]:
    """Lines that differ, as pairs; the number of lines is the same."""
    assert len(before.splitlines()) == len(after.splitlines())
    return [pair for pair in zip(before.splitlines(), after.splitlines(), strict=True) if pair[0] != pair[1]]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("size S4.2~E7.1 2.5mm2", ["S4.2  (GY/RD 2.5mm2 2m)  E7  (BN  1mm2)  W1/b     # E7 and back"]),
        ("size S4.2~E7.1 14AWG", ["S4.2  (GY/RD 14AWG 2m)  E7  (BN  1mm2)  W1/b     # E7 and back"]),
        ("size F12.out~S4.1 1mm2", ["G1.+  (RD 6mm2 0.6m)   F12 (RD ? 1 m 1mm2)  S4.1     # fed"]),
        ("length F12.out~S4.1 1.4m", ["G1.+  (RD 6mm2 0.6m)   F12 (RD ? 1.4m)  S4.1     # fed"]),
        ("length E7.2~W1/b 0.8m", ["S4.2  (GY/RD 1mm2 2m)  E7  (BN  1mm2 0.8m)  W1/b     # E7 and back"]),
        ("colour E7.2~W1/b BK/WH", ["S4.2  (GY/RD 1mm2 2m)  E7  (BK/WH  1mm2)  W1/b     # E7 and back"]),
        ("colour E31.1~X1.1 OG", ["E31.1 (OG 1mm2 2m) X1.1 (GN 1mm2 2m) X2.1 (GN 1mm2 2m) E31.6   # through"]),
        ("move G1.-~W1/a from W1/a to W1/c", ["G1.-  (BK 16mm2 0.4m)  W1/c"]),
        ("remove S4.2~E7.1", ["E7  (BN  1mm2)  W1/b     # E7 and back"]),
        ("remove E7.2~W1/b", ["S4.2  (GY/RD 1mm2 2m)  E7     # E7 and back"]),
        ("remove E31.1~X1.1", ["X1.1@rear (GN 1mm2 2m) X2.1 (GN 1mm2 2m) E31.6   # through"]),
        ("number F12 15A", ["fuse    F12 15A          # behind the seat"]),
        ("number E31.1-6 10W", ["  1-6   lamp 10W         # a bulb of the E31"]),
        (
            "rename E7 E17",
            ['lamp    E17  12V 55W   "work lamp, E7"',
             "S4.2  (GY/RD 1mm2 2m)  E17  (BN  1mm2)  W1/b     # E7 and back"],
        ),
        ("rename chassis frame", ["body    frame          # the frame", "stud    W1  on frame"]),
        (
            "rename X1 X10",
            ["connector X10 4way cab | rear",
             "E31.1 (? 1mm2 2m) X10.1 (GN 1mm2 2m) X2.1 (GN 1mm2 2m) E31.6   # through"],
        ),
    ],
)  # fmt: skip
def test_an_edit_touches_only_its_own_lines(line: str, expected: list[str]) -> None:
    change = the_change(line)
    outcome = edit(TEXT, change)
    assert outcome.problems == ()
    assert [after for _, after in touched(TEXT, outcome.value)] == expected
    assert facts_of(sound(outcome.value))[2] == facts_of(apply(sound(TEXT), change).value)[2]


def test_a_wire_in_the_middle_of_a_line_is_taken_out_by_parting_the_line() -> None:
    outcome = edit(TEXT, the_change("remove X1.1~X2.1"))
    assert outcome.problems == ()
    assert outcome.value.splitlines()[-2:] == [
        "E31.1 (? 1mm2 2m) X1.1",
        "X2.1@tail (GN 1mm2 2m) E31.6   # through",
    ]


def test_an_end_in_the_middle_of_a_line_is_moved_by_parting_the_line() -> None:
    outcome = edit(TEXT, the_change("move S4.2~E7.1 from E7.1 to SP9"))
    assert outcome.problems == ()
    assert outcome.value.splitlines()[-3:-1] == [
        "S4.2  (GY/RD 1mm2 2m)  SP9",
        "E7  (BN  1mm2)  W1/b     # E7 and back",
    ]


def test_a_line_that_goes_leaves_its_comment() -> None:
    text = TEXT.replace("W1/a\n", "W1/a   # the big one\n")
    assert edit(text, Change(RemoveWire("G1.-~W1/a"))).value == text.replace(
        "G1.-  (BK 16mm2 0.4m)  W1/a   # the big one\n", "# the big one\n"
    )


def test_a_new_part_and_a_new_wire_stand_among_their_like() -> None:
    with_part = edit(TEXT, the_change('part lamp E8 12V 21W "second"'))
    assert with_part.problems == ()
    assert 'connector X2 4way rear | tail\nlamp E8 12V 21W "second"\n' in with_part.value
    with_wire = edit(with_part.value, the_change("wire S4.2 (GY 1mm2 3m) E8.1", with_part.value))
    assert with_wire.problems == ()
    assert with_wire.value.endswith("# through\nloom ?\nS4.2 (GY 1mm2 3m) E8.1\n")


def test_the_line_breaks_of_the_file_are_kept() -> None:
    text = TEXT.replace("\n", "\r\n")
    edited = edit(text, the_change("remove X1.1~X2.1")).value
    assert edited.count("\n") == edited.count("\r\n") == text.count("\r\n") + 1


def test_a_change_noted_leaves_the_drawing_as_it_is() -> None:
    change = the_change("size S4.2~E7.1 2.5mm2")
    noted = note_change(TEXT, change)
    assert noted.value == TEXT + 'change 2026-11-03 "x" size S4.2~E7.1 2.5mm2\n'
    assert facts_of(sound(noted.value)) == facts_of(apply(sound(TEXT), change).value)


def test_an_option_is_chosen_by_a_change_line() -> None:
    text = HEAD + 'option kit "tow bar"\nif kit lamp E1 5W\n'
    outcome = edit(text, Change(ChooseOption("kit"), "fitted", "2026-11-03"))
    assert outcome.value == text + 'change 2026-11-03 "fitted" option kit\n'
    assert codes(edit(text, Change(ChooseOption("kti"), "fitted", "2026-11-03")).problems) == ["option-unknown"]


def test_what_stands_in_another_file_is_not_edited_here() -> None:
    roof = "loombench 1\nlamp E1 5W\nlamp E2 5W\nE1.1 (GN 1mm2 1m) E2.1\n"
    main = HEAD + 'include "roof.circuit"\n'
    change = Change(SetLength("E1.1~E2.1", exactly(3)))
    read: Callable[[str], str | None] = {"roof.circuit": roof}.get
    outcome = edit(main, change, read_include=read)
    assert (outcome.value, codes(outcome.problems)) == (main, ["edit-nothing"])


def test_a_rename_that_other_files_do_not_follow_is_refused() -> None:
    roof = "loombench 1\nlamp E2 5W\nE1.1 (GN 1mm2 1m) E2.1\n"
    main = HEAD + 'lamp E1 5W\ninclude "roof.circuit"\n'
    outcome = edit(main, Change(Rename("E1", "E9")), read_include={"roof.circuit": roof}.get)
    assert (outcome.value, codes(outcome.problems)) == (main, ["edit-nothing"])


@settings(max_examples=80)
@given(circuit(), st.data())
def test_an_edit_says_what_the_change_says_or_is_refused(text: str, data: st.DataObject) -> None:
    vehicle = sound(text)
    names = [name for name in vehicle.parts if name != "chassis"]
    actions: list[object] = [Rename(data.draw(st.sampled_from(names)), "NEW1")]
    if vehicle.wires:
        wire = data.draw(st.sampled_from(vehicle.wires))
        actions += [
            RemoveWire(wire.id), SetSize(wire.id, exactly(4), "4mm2"), SetLength(wire.id, exactly(7)),
            SetColour(wire.id, Colour(("white", "blue"), "WH/BU")), AddWire(wire),
        ]  # fmt: skip
    lamps = [name for name, part in vehicle.parts.items() if part.kind == "lamp"]
    if lamps:
        actions.append(SetNumber(lamps[0], "rated_w", exactly(42)))
    actions.append(AddPart(sound(HEAD + "horn B77 5A\n").parts["B77"]))
    change = Change(data.draw(st.sampled_from(actions)))  # type: ignore[arg-type]
    expected = apply(vehicle, change)
    assert expected.problems == ()
    outcome = edit(text, change)
    assert outcome.problems == ()
    again = sound(outcome.value)
    by_loom = sorted((wire.loom, wire.id.split("#")[0], str(wire.area_mm2), str(wire.length_m)) for wire in again.wires)
    assert by_loom == sorted(
        (wire.loom, wire.id.split("#")[0], str(wire.area_mm2), str(wire.length_m)) for wire in expected.value.wires
    )
    assert {k: (p.kind, p.params) for k, p in again.parts.items() if p.kind != "splice"} == {
        k: (p.kind, p.params) for k, p in expected.value.parts.items() if p.kind != "splice"
    }
    assert len(outcome.value.splitlines()) - len(text.splitlines()) in range(-1, 3)


def test_a_text_with_faults_can_still_be_edited() -> None:
    text = TEXT + "lmap E99 5W\n"
    before = load_text(text)
    assert codes(before.problems) == ["kind-unknown"]
    outcome = edit(text, Change(SetNumber("F12", "rated_a", exactly(15))))
    assert outcome.problems == ()
    assert outcome.value == text.replace("F12 10A", "F12 15A")
