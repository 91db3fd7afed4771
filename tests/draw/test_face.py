"""Faces of plugs: where each cavity is seen from each side, what is said, and that nothing is guessed in silence."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from loombench.draw.cavities import Spots, face_of, spots
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.pinout import pin_rows
from loombench.text.load import load_text
from loombench.vehicle.face import Face
from loombench.vehicle.points import Point

BENCH = """loombench 1
vehicle "Bench" 12V
switch S4 off | on: 1=2 "work lamp"
lamp E7 55W "work lamp, left"
fuse F1 10A
fuse F2 10A
connector X12 6way chassis | boom
module A2 "body controller"
  plugs X1 2way
  supply X1/1 "logic"
  ground X1/2
module A7
  supply X1/1
  out X1/3 high-side
class pyro A7.X1/3
loom chassis
F1.out (RD ?mm2 1m) X12.1
F2.out (RD ?mm2 1m) A7.X1/3
S4.2 (GY/RD 1.5mm2 1m) X12.3
loom boom
X12.3 (OG/BK 1.5mm2 1m) E7.1
face X12 rows 2 zigzag from wires
  latch left "press the tongue"
  tool "flat blade" from mating
  blind 4 6
"""
VEHICLE = load_text(BENCH, "bench.circuit").value
SIX = ("1", "2", "3", "4", "5", "6")


def seen(drawn: Spots) -> list[str]:
    """The rows as they are seen, read off their places."""
    rows = sorted({y for _, _, y in drawn.at})
    return [" ".join(name for _, name in sorted((x, name) for name, x, y in drawn.at if y == row)) for row in rows]


@pytest.mark.parametrize(
    ("face", "wires", "mating"),
    [
        (Face("X", rows=2, numbering="across", seen_from="wires"), ["1 2 3", "4 5 6"], ["3 2 1", "6 5 4"]),
        (Face("X", rows=2, numbering="zigzag", seen_from="mating"), ["5 3 1", "6 4 2"], ["1 3 5", "2 4 6"]),
        (Face("X", rows=2, numbering="back-and-forth", seen_from="wires"), ["1 2 3", "6 5 4"], ["3 2 1", "4 5 6"]),
        (Face("X", grid=(("6", "5"), ("4", "3"), ("2", "1")), seen_from="wires"), ["6 5", "4 3", "2 1"],
         ["5 6", "3 4", "1 2"]),
        (Face("X", rows=3, numbering="across"), ["1 2", "3 4", "5 6"], ["1 2", "3 4", "5 6"]),
    ],
)  # fmt: skip
def test_the_two_sides_are_mirror_images(face: Face, wires: list[str], mating: list[str]) -> None:
    assert seen(spots(face, SIX, "wires")) == wires
    assert seen(spots(face, SIX, "mating")) == mating


def test_the_other_half_is_the_mirror_image_from_the_same_side() -> None:
    """The wire side of one half is looked at in the direction of the mating face of the other."""
    face = Face("X", rows=2, numbering="across", seen_from="wires")
    assert seen(spots(face, SIX, "wires", other_half=True)) == seen(spots(face, SIX, "mating"))
    assert seen(spots(face, SIX, "mating", other_half=True)) == seen(spots(face, SIX, "wires"))
    part = VEHICLE.parts["X12"]
    assert face_of(VEHICLE, part, half="chassis")[1] is False
    assert face_of(VEHICLE, part, half="boom")[1] is True


@pytest.mark.parametrize(("numbering", "side", "second_is_right"), [
    ("clockwise", "wires", True), ("clockwise", "mating", False),
    ("anticlockwise", "wires", False), ("anticlockwise", "mating", True),
])  # fmt: skip
def test_a_round_plug_turns_the_way_it_is_said_to(numbering: str, side: str, second_is_right: bool) -> None:
    at = {name: (x, y) for name, x, y in spots(Face("X", numbering=numbering, seen_from="wires"), SIX, side).at}
    assert at["1"][1] == min(y for _, y in at.values())
    assert (at["2"][0] > at["1"][0]) is second_is_right


def test_what_is_not_said_is_assumed_and_said_to_be() -> None:
    plain = spots(Face("X"), SIX, "wires")
    assert (plain.assumed, plain.side_known) == (True, False)
    text = words(FaceAsked("A2", "X1"))
    assert "How it is numbered is not known" in text
    assert "Latch: ?" in text


def words(asked: FaceAsked) -> str:
    """All texts of a face, one a line."""
    root = ET.fromstring(face_svg(VEHICLE, asked))
    return "\n".join("".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text"))


def test_the_wanted_cavity_is_named_with_its_neighbours() -> None:
    text = words(FaceAsked("X12", half="chassis", cavity="3"))
    assert "Seen from the wires that go in" in text
    assert "Cavity 3: GY/RD 1.5 mm², goes to S4.2" in text
    assert "Beside it: 1 RD, 4 plug, 5 empty" in text
    assert "Closed with a plug: 4, 6" in text
    assert "No wire drawn: 2, 5" in text


def test_the_latch_changes_its_side_with_the_view() -> None:
    asked = FaceAsked("X12", half="chassis")
    assert "Latch on the left: press the tongue" in words(asked)
    assert "Latch on the right: press the tongue" in words(replace(asked, seen_from="mating"))
    assert "flat blade, from the mating face" in words(asked)


def test_of_the_other_half_only_what_both_share_is_told() -> None:
    text = words(FaceAsked("X12", half="boom"))
    assert "Numbered column by column from above, looking at the mating face" in text
    assert "press the tongue" in text
    assert "flat blade" not in text
    assert "Closed with a plug" not in text


def test_a_cavity_with_a_wire_is_not_drawn_closed() -> None:
    told = replace(VEHICLE, faces={"X12": replace(VEHICLE.faces["X12"], blind=("3", "4"))})
    text = "".join(ET.fromstring(face_svg(told, FaceAsked("X12", half="chassis"))).itertext())
    assert "Closed with a plug: 4" in text
    assert "GY/RD" in text


def test_only_the_wanted_cavity_is_ringed() -> None:
    def rings(asked: FaceAsked) -> int:
        return face_svg(VEHICLE, asked).count('stroke-width="0.8"')

    assert rings(FaceAsked("X12", cavity="3")) - rings(FaceAsked("X12")) == 1
    assert rings(FaceAsked("X12", cavity="9")) == rings(FaceAsked("X12"))


def test_a_plug_with_an_airbag_cavity_says_keep_off_before_anything_else() -> None:
    text = " ".join(words(FaceAsked("A7")).splitlines())
    assert 0 < text.index("no probe, lamp") < text.index("X1/1") < text.index("Latch")
    assert "no probe" not in words(FaceAsked("X12"))


def test_no_reading_is_shown_where_nobody_may_measure() -> None:
    expected = {Point("A7", pin): ("12.6 V",) for pin in ("X1/1", "X1/3")}
    rows = {row.cavity: row for row in pin_rows(VEHICLE, VEHICLE.parts["A7"], expected=expected)}
    assert rows["X1/1"].expected == ()
    assert rows["X1/3"].net_class == "pyro"
    assert rows["X1/3"].expected == ()


def test_a_pin_row_says_where_its_wire_goes_and_what_for() -> None:
    rows = {row.cavity: row for row in pin_rows(VEHICLE, VEHICLE.parts["X12"], half="boom")}
    assert (rows["3"].to, rows["3"].functions) == ("E7.1", ("S4 work lamp", "E7 work lamp, left"))
    assert (rows["1"].to, rows["1"].wires) == ("", ())


def test_hostile_words_on_a_face_stay_words() -> None:
    face = replace(VEHICLE.faces["X12"], opens="</text><script>1</script>", lock="x" * 500)
    hostile = replace(VEHICLE, faces={"X12": face})
    root = ET.fromstring(face_svg(hostile, FaceAsked("X12", cavity="3")))
    assert not [element for element in root.iter() if element.tag.endswith("script")]
