"""What users type about a vehicle: names found, and where not, the nearest offered."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.base.nearest import NONE, distance, nearest
from loombench.text.complaint import Said, read_complaint
from loombench.text.names import find_control, find_element, find_part, find_point, find_wire, read_condition
from loombench.vehicle.model import Vehicle
from tests.text.circuits import HEAD, codes, sound

VEHICLE: Vehicle = sound(
    HEAD
    + """body chassis
stud W1 on chassis
battery G1 70Ah
fuse F12 10A
relay K3 make 30 85 86 87
switch S4 work off | on: 1=2
switch S7 stalk
  wipe off | 1: 53=15
  wash off | wash!: W=15
lamp E7 55W
unit E31
  1-6 lamp 21W "stop lamp"
  2-6 lamp 5W "tail"
module A2
  plugs X1 4way | X3 4way
  supply X1/1
connector X12 4way cab | boom
connector X13 4way cab | boom
socket X50 ISO1724
loom cab
G1.+ (RD 6mm2 1m) F12 (RD 1mm2 1m) S4 (GY 1mm2 1m) X12.3
E7.2 (BN 1mm2 1m) W1/a
S7.W (?) X13.1
loom boom
X12.3 (GY 1mm2 2m) E7.1
"""
)


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("E7.1", "E7.1"), (" E7.1 ", "E7.1"), ("E7.1:face", "E7.1:face"), ("E7/1", "E7.1"), ("W1/a", "W1/a"),
        ("W1.a", "W1/a"), ("W1", "W1"), ("chassis", "chassis"), ("X12.3@boom:face", "X12.3@boom:face"),
        ("X13.1", "X13.1@cab"), ("A2.X3/4", "A2.X3/4"), ("G1.–", "G1.-"),
    ],
)  # fmt: skip
def test_points_are_found(text: str, point: str) -> None:
    outcome = find_point(VEHICLE, text)
    assert (str(outcome.value), outcome.problems) == (point, ())


@pytest.mark.parametrize(
    ("text", "code", "nearest_name"),
    [
        ("E8.1", "part-unknown", "E7"), ("E7", "pin-needed", ""), ("E7.3", "pin-unknown", "1"),
        ("X12.3", "loom-needed", "cab"), ("X12.3@bom", "half-unknown", "boom"), ("A2.X3/9", "pin-unknown", "X3/1"),
        ("..", "point-bad", ""), ("", "point-bad", ""),
    ],
)  # fmt: skip
def test_points_that_are_none(text: str, code: str, nearest_name: str) -> None:
    (problem,) = find_point(VEHICLE, text).problems
    assert (problem.code, problem.fact("nearest")) == (code, nearest_name)


def test_parts_elements_and_wires() -> None:
    assert find_part(VEHICLE, "E7").value == VEHICLE.parts["E7"]
    assert codes(find_part(VEHICLE, "E77").problems) == ["part-unknown"]
    found = find_element(VEHICLE, "E31.2-6").value
    assert found is not None
    assert found[1] is not None
    assert found[1].label == "tail"
    by_label = find_element(VEHICLE, "E31.stop lamp").value
    assert by_label is not None
    assert by_label[1] == VEHICLE.parts["E31"].elements[0]
    assert find_wire(VEHICLE, "X12.3~S4.2").value == VEHICLE.wire_by_id["S4.2~X12.3"]
    (problem,) = find_wire(VEHICLE, "S4.2~X12.4").problems
    assert (problem.code, problem.fact("nearest")) == ("wire-unknown", "S4.2~X12.3")


@pytest.mark.parametrize(
    ("text", "name"),
    [("S4", "S4"), ("work", "S4"), ("S7.wipe", "S7.wipe"), ("stalk.wash", "S7.wash"), ("wipe", "S7.wipe")],
)
def test_controls_are_found(text: str, name: str) -> None:
    control = find_control(VEHICLE, text).value
    assert control is not None
    assert control.id == name


@pytest.mark.parametrize("text", ["S7", "stalk", "E7", "S44"])
def test_controls_that_are_none(text: str) -> None:
    assert codes(find_control(VEHICLE, text).problems) == ["control-unknown"]


@pytest.mark.parametrize(
    ("texts", "condition"),
    [
        ("work=on", "S4=on"),
        ("S4=on, wipe=1 and engine=run then wait 30 s", "S4=on, S7.wipe=1, engine=run, wait 30s"),
        (["unplug X12", "plug X12", "unplug A2.X3"], "unplug X12, plug X12, unplug A2.X3"),
        ("pull F12, insert F12, pull K3", "pull F12, insert F12, pull K3"),
        ("couple X50, supply 12,1V", "couple X50, supply 12.1V"),
        ("S7.wash=wash!", "S7.wash=wash"),
        ("at rest", "at rest"),
        ("", "at rest"),
    ],
)
def test_conditions(texts: str | list[str], condition: str) -> None:
    outcome = read_condition(VEHICLE, texts)
    assert (str(outcome.value), outcome.problems) == (condition, ())


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("S4=onn", "position-unknown"), ("S44=on", "control-unknown"), ("engine=fast", "position-unknown"),
        ("unplug F12", "operation-target"), ("pull E7", "operation-target"), ("couple X12", "operation-target"),
        ("unplug Q7", "part-unknown"), ("unplug A2.X2", "pin-unknown"), ("wait soon", "condition-unread"),
        ("supply 900V", "condition-unread"), ("dance", "condition-unread"),
    ],
)  # fmt: skip
def test_operations_that_cannot_be_done_are_left_out_and_said(text: str, code: str) -> None:
    outcome = read_condition(VEHICLE, f"S4=on, {text}")
    assert (str(outcome.value), codes(outcome.problems)) == ("S4=on", [code])


@pytest.mark.parametrize(
    ("text", "target", "symptom", "condition"),
    [
        ("E7 dead when S4=on", "E7", "dead", "S4=on"),
        ("E7 is dead when work=on, engine=run", "E7", "dead", "S4=on, engine=run"),
        ("E7 always on", "E7", "always-on", "None"),
        ("E7 glows when off", "E7", "glows", "None"),
        ("E7 glows when off when S4=off", "E7", "glows", "S4=off"),
        ("blows F12 when S4=on", "F12", "blows-fuse", "S4=on"),
        ("E7 blows F12 when S4=on", "F12", "blows-fuse", "S4=on"),
        ("F12 blows when S4=on", "F12", "blows-fuse", "S4=on"),
        ("E31.1-6 dim when S4=on", "E31.1-6", "dim", "S4=on"),
        ("E7 works when S4=on", "E7", "works", "S4=on"),
        ("  E7   slow\twhen S4=on ", "E7", "slow", "S4=on"),
    ],
)
def test_complaints(text: str, target: str, symptom: str, condition: str) -> None:
    outcome = read_complaint(VEHICLE, text)
    assert outcome.problems == ()
    (said,) = outcome.value
    assert isinstance(said, Said)
    assert (said.targets, said.symptom, str(said.condition)) == ((target,), symptom, condition)
    assert said.text == " ".join(text.split())


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("E7 sulks when S4=on", "complaint-unread"), ("dead", "complaint-unread"), ("", "complaint-unread"),
        ("E7 E31 dead", "function-unknown"), ("E9 dead when S4=on", "part-unknown"),
        ("E7 dead when S4=off2", "position-unknown"), ("A2 blows when S4=on", "operation-target"),
        ("E31.fog dead", "element-unknown"),
    ],
)  # fmt: skip
def test_complaints_that_cannot_be_understood(text: str, code: str) -> None:
    outcome = read_complaint(VEHICLE, text)
    assert (outcome.value, codes(outcome.problems)) == ((), [code])


@given(st.text(max_size=80))
def test_anything_typed_gets_an_answer(text: str) -> None:
    read_complaint(VEHICLE, text)
    read_condition(VEHICLE, text)
    find_point(VEHICLE, text)
    find_wire(VEHICLE, text)
    find_control(VEHICLE, text)


@given(st.text("abcE7", max_size=8), st.text("abcE7", max_size=8))
def test_distance_is_a_distance(one: str, two: str) -> None:
    assert distance(one, two, 20) == distance(two, one, 20)
    assert (distance(one, two, 20) == 0) == (one == two)
    assert abs(len(one) - len(two)) <= distance(one, two, 20) <= max(len(one), len(two))


def test_the_nearest_name() -> None:
    assert nearest("chasis", ["cab", "chassis"]) == "chassis"
    assert nearest("F21", ["K3", "F12"]) == "F12"
    assert nearest("lmap", ["lamp", "led"]) == "lamp"
    assert nearest("zzzzzz", ["lamp"]) == NONE
    assert nearest("x" * 500, ["x" * 500]) == NONE
