"""Faces of plugs, places on the plan and a vehicle's form: read, written back, pointed out where they are wrong."""

import pytest

from loombench.text.edit_names import rename_cuts
from loombench.text.load import load_text
from loombench.text.write import write
from loombench.vehicle.change import Change, Rename, apply
from loombench.vehicle.face import Face
from loombench.vehicle.model import Vehicle

HEAD = """loombench 1
vehicle "Bench" 12V van
connector X12 6way chassis | boom
socket X50 ISO1724
module A2
  plugs X1 4way | X3 2way
  supply X1/1
  ground X1/4
"""
WHOLE = """face X12 rows 2 zigzag from wires
  latch above "press the tongue"
  lock "red slide"
  tool "flat blade 1 mm" from mating
  blind 4 6
face X12@boom rows 2 back-and-forth from mating
face A2.X1
  lever left "swing it up"
  grid 1 2 / - 3 / 4 -
face X50 clockwise
"""


def load(text: str) -> Vehicle:
    """The vehicle of a text without problems."""
    outcome = load_text(text, "bench.circuit")
    assert outcome.problems == ()
    return outcome.value


def test_a_face_says_how_it_counts_and_how_it_opens() -> None:
    faces = load(HEAD + WHOLE).faces
    assert list(faces) == ["X12", "X12@boom", "A2.X1", "X50"]
    one = faces["X12"]
    assert (one.rows, one.numbering, one.seen_from, one.blind) == (2, "zigzag", "wires", ("4", "6"))
    assert (one.latch, one.lever, one.opens) == ("above", False, "press the tongue")
    assert (one.lock, one.tool, one.tool_from) == ("red slide", "flat blade 1 mm", "mating")
    assert (faces["A2.X1"].grid, faces["A2.X1"].lever) == ((("1", "2"), ("", "3"), ("4", "")), True)
    assert (faces["X12@boom"].half, faces["X12@boom"].part) == ("boom", "X12")
    assert faces["X50"].numbering == "clockwise"


def test_what_is_read_is_written_back() -> None:
    places = 'place a reach 1min lies rear left under wet "x"\nplace b reach 1min lies 35% right\nplace c reach 1min\n'
    first = load(HEAD + places + WHOLE)
    second = load(write(first))
    assert write(second) == write(first)
    assert second.form == "van"
    assert [(one.along, one.across, one.level) for one in second.places.values()] == [
        (0.95, "left", "under"), (0.35, "right", ""), (None, "", ""),
    ]  # fmt: skip
    plain = {name: (face.rows, face.grid, face.blind, face.opens) for name, face in second.faces.items()}
    assert plain == {name: (face.rows, face.grid, face.blind, face.opens) for name, face in first.faces.items()}
    assert list(second.faces) == list(first.faces)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("face X13 rows 2\n", "part-unknown"),
        ("face A2.X9 rows 2\n", "word-unexpected"),
        ("face X12@dash rows 2\n", "word-unexpected"),
        ("face\n", "word-missing"),
        ("face X12 rows 99\n", "number-range"),
        ("face X12 rows ²\n", "number-range"),
        ("face X12 upwards\n", "word-unexpected"),
        ("face X12\n  blind 7\n", "word-unexpected"),
        ("face X12\n  grid 1 2 / 9\n", "word-unexpected"),
        ("face X12\n  latch sideways\n", "word-unexpected"),
        ("face X12\n  tool from above\n", "word-unexpected"),
        ("face X12\n  colour red\n", "word-unexpected"),
        ("face X12 rows 2\nface X12 rows 3\n", "name-twice"),
        ("place p reach 1min lies beside\n", "word-unexpected"),
        ("place p reach 1min lies 120%\n", "word-unexpected"),
    ],
)
def test_what_is_wrong_is_pointed_out_and_leaves_the_rest(line: str, code: str) -> None:
    outcome = load_text(HEAD + line + "lamp E7 55W\n", "bench.circuit")
    assert code in [problem.code for problem in outcome.problems]
    assert "E7" in outcome.value.parts


def test_a_face_follows_its_part_when_that_is_renamed() -> None:
    renamed = apply(load(HEAD + WHOLE), Change(Rename("X12", "X99"))).value
    assert list(renamed.faces) == ["X99", "X99@boom", "A2.X1", "X50"]
    assert renamed.faces["X99@boom"].owner == "X99"


def test_a_rename_in_the_text_meets_the_face_and_none_of_its_words() -> None:
    text = HEAD + 'face X12@boom rows 2\n  lock "X12"\n  grid 1 2\n'
    cuts = rename_cuts(text, "bench.circuit", "X12", "X99")
    assert [(cut.line, cut.start) for cut in cuts] == [(3, 10), (9, 5)]


def test_a_trailers_faces_bear_its_name() -> None:
    trailer = 'loombench 1\nvehicle "T" 12V trailer\nplug P1 ISO1724\nconnector X7 2way a | b\nface X7@b rows 1\n'
    text = HEAD + 'plug "trailer.circuit".P1 into X50\n'
    vehicle = load_text(text, "bench.circuit", lambda name: trailer if name == "trailer.circuit" else None).value
    assert dict(vehicle.faces) == {
        "trailer::X7@trailer::b": Face(
            "trailer::X7", "trailer::b", 1, span=vehicle.faces["trailer::X7@trailer::b"].span
        )
    }
    assert vehicle.faces["trailer::X7@trailer::b"].part == "trailer::X7"
