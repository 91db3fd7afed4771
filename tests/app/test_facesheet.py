"""A plug on paper: what a name means, the table of its cavities against the readings, files in each form."""

from pathlib import Path

import pytest

from loombench.app.facesheet import face_asked, face_sheet, key_states, write_face
from loombench.app.readingtable import pin_table
from loombench.base.quantity import print_quantity
from loombench.draw.face import FaceAsked
from loombench.paper.document import Caution, Table
from loombench.text.load import load_file, load_text
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle

HANDLER = Path(__file__).parents[2] / "examples" / "telehandler-roof"


@pytest.fixture(scope="module")
def handler() -> Vehicle:
    """A vehicle with connectors, a module, a key."""
    return load_file(HANDLER).value


BENCH = load_text(
    """loombench 1
vehicle "Bench" 12V
connector X12 6way chassis | boom
module A2
  plugs X1 2way | X3 2way
  supply X1/1
  ground X1/2
module A7
  plugs X1 4way
  supply X1/1
  out X1/3 high-side
class pyro A7.X1/3
fuse F1 10A
F1.out (RD 1mm2 1m) A7.X1/1
F1.out (RD 1mm2 1m) A7.X1/3
""",
    "bench.circuit",
).value


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("X12", FaceAsked("X12", half="chassis")),
        ("X12@boom", FaceAsked("X12", half="boom")),
        ("X12.3@boom", FaceAsked("X12", half="boom", cavity="3")),
        ("X12@boom.3", FaceAsked("X12", half="boom", cavity="3")),
        ("A2.X3", FaceAsked("A2", "X3")),
        ("A2.X1/2", FaceAsked("A2", "X1", cavity="2")),
        ("A7", FaceAsked("A7", "X1")),
    ],
)
def test_what_a_name_means(text: str, wanted: FaceAsked) -> None:
    assert face_asked(BENCH, text).value == wanted


@pytest.mark.parametrize(
    ("text", "code"),
    [("X99", "part-unknown"), ("X12.9", "pin-unknown"), ("X12@roof", "face-half"), ("A2.X1/9", "pin-unknown"),
     ("", "part-unknown"), ("@", "part-unknown"), ("A2.X9", "pin-unknown")],
)  # fmt: skip
def test_what_is_no_plug_is_said(text: str, code: str) -> None:
    outcome = face_asked(BENCH, text)
    assert outcome.value is None
    assert [problem.code for problem in outcome.problems] == [code]


def table(vehicle: Vehicle, asked: FaceAsked, *states: Condition) -> Table:
    """The table of a sheet."""
    (found,) = [block for block in face_sheet(vehicle, asked, states).blocks if isinstance(block, Table)]
    return found


def test_the_table_reads_what_the_readings_say(handler: Vehicle) -> None:
    on = read_condition(handler, ("S4=on",)).value
    (row,) = [row for row in table(handler, FaceAsked("X12", half="boom"), Condition(), on).rows if row[0] == "3"]
    assert row[:4] == ("3", "OG/BK", "1.5 mm²", "SP2")
    for text, state in zip(row[-2:], (Condition(), on), strict=True):
        rows = pin_table(handler, state).value.rows
        (wanted,) = [one for one in rows if (one.part, one.pin) == ("X12", "3@boom")]
        assert wanted.volts is not None
        assert text == print_quantity(wanted.volts, "V", 3)


def test_the_states_of_the_key_are_those_it_stays_in(handler: Vehicle) -> None:
    assert str(key_states(handler)[0]) == "at rest"
    keys = load_text('loombench 1\nvehicle "K" 12V\nswitch S1 key off | run: 30=15 | start!: 30=50\n', "k.circuit")
    assert [str(state) for state in key_states(keys.value)] == ["at rest", "key=run"]


def test_the_caution_comes_first_and_nothing_is_to_be_read() -> None:
    sheet = face_sheet(BENCH, FaceAsked("A7", "X1"), (Condition(),))
    assert isinstance(sheet.blocks[0], Caution)
    rows = table(BENCH, FaceAsked("A7", "X1"), Condition()).rows
    assert {row[0]: row[-1] for row in rows} == {
        "1": "not to be measured", "2": "", "3": "not to be measured", "4": "",
    }  # fmt: skip


@pytest.mark.parametrize(("name", "begins"), [("a.svg", b"<svg"), ("a.html", b"<!doctype html>")])
def test_a_sheet_is_written_in_the_form_of_its_name(name: str, begins: bytes, tmp_path: Path, handler: Vehicle) -> None:
    sheet = face_sheet(handler, FaceAsked("X12", half="boom", cavity="3"), (Condition(),))
    assert write_face(sheet, tmp_path / name).value == tmp_path / name
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_a_form_that_there_is_not_is_said(tmp_path: Path) -> None:
    outcome = write_face(face_sheet(BENCH, FaceAsked("X12")), tmp_path / "a.doc")
    assert [problem.code for problem in outcome.problems] == ["drawing-form"]
    assert list(tmp_path.iterdir()) == []
