"""Drawings in German: symbols, the line of blocks, faces, the plan and the trees have no English of their own."""

from loombench.base.wording import catalogue
from loombench.draw.blockline import block_line
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.places import places_svg
from loombench.draw.shapes import Text, Wanted
from loombench.draw.symbol import symbol_of
from loombench.draw.treepages import ground_pages, power_pages
from loombench.text.load import load_text

VEHICLE = load_text(
    """\
loombench 1
vehicle "Lader" 12V
colours IEC
place kabine reach 2min "Verkleidung ab"
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F1 15A
connector X1 2way chassis | dach
switch S1 off | on: 1=2
lamp E1 12V 21W "Arbeitslicht"
module A1 "Lichtsteuerung"
  supply 1
  ground 2
  in 3 pull-down 10kohm "Schalter" on when high
  out 4 high-side from 1 max 10A "Licht"
  when not 3: 4
loom chassis
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 2.5mm2 1m) F1 (RD 2.5mm2 1m) A1.1
G1.+ (RD 1mm2 1m) S1.1
S1.2 (GY 1mm2 1m) A1.3
A1.2 (BN 2.5mm2 1m) W1/b
A1.4 (WH 1mm2 1m) X1.1
X1.2 (BN 1mm2 1m) W1/c
loom dach
X1.1 (WH 1mm2 1m) E1.1
E1.2 (BN 1mm2 1m) X1.2
""",
    "v.circuit",
).value
GERMAN = Wanted(language="de")


def texts(name: str, wanted: Wanted) -> str:
    return " ".join(shape.text for shape in symbol_of(VEHICLE.parts[name], wanted).shapes if isinstance(shape, Text))


def test_a_module_says_what_it_does_in_german() -> None:
    shown = texts("A1", GERMAN)
    assert "1 Versorgung" in shown
    assert "4 Licht: plusschaltend, von 1, höchstens 10 A" in shown
    assert "4 wenn nicht 3" in shown
    assert "supply" not in shown
    assert "1 supply" in texts("A1", Wanted())


def test_a_stud_says_where_it_stands() -> None:
    assert "auf chassis" in texts("W1", GERMAN)


def test_the_blocks_are_called_as_one_calls_them() -> None:
    shapes, _ = block_line(VEHICLE, ("E1",), 180.0, "de")
    shown = [shape.text for shape in shapes if isinstance(shape, Text)]
    heads = [catalogue("de").say(f"blocks.{name}") for name in ("source", "protection", "control", "load", "return")]
    assert [text for text in shown if text in heads] == heads


def test_sheets_are_german() -> None:
    face = face_svg(VEHICLE, FaceAsked("X1", "", "chassis", "1", "wires"), "de")
    assert "Von der Leitungsseite gesehen" in face
    pages = " ".join((*places_svg(VEHICLE, language="de"), *power_pages(VEHICLE, {}, language="de")))
    assert "Lader: wer wodurch versorgt wird" in pages
    assert "Lader: wer worüber zurückführt" in " ".join(ground_pages(VEHICLE, {}, language="de"))
    for english in ("Seen from", "who is fed", "who returns", "where things are", "source", "ratings only"):
        assert english not in face + pages
