"""What a page must show is found in the graph: a relay and its coil, no branches that lead nowhere."""

import pytest

from benchmarks.drawnwanted import on_simple_paths, wanted
from loombench.text.load import load_file, load_text
from loombench.vehicle.points import Point

LAMPS = """loombench 1
vehicle "Work lamp by relay" 12V
colours DIN
body chassis
stud W1 on chassis
battery G1
fuse F1 30A
fuse F2 5A
fuse F3 5A
relay K1 30 85 86 87
switch S1 off | on: 1=2
splice SP1
splice SP2
lamp E1 12V 55W
lamp E2 12V 5W
lamp E3 12V 5W
G1.- (sw 10mm2 1m) W1/a
G1.+ (rt 4mm2 1m) F1 (rt 4mm2 1m) K1.30
K1.87 (ge 4mm2 1m) SP1
SP1 (ge 2.5mm2 1m) E1.1
SP1 (ge 2.5mm2 1m) E2.1
E1.2 (br 2.5mm2 1m) SP2
E2.2 (br 2.5mm2 1m) SP2
SP2 (br 4mm2 1m) W1/b
G1.+ (rt 1mm2 1m) F2 (sw 1mm2 1m) S1 (bl 1mm2 1m) K1.86
K1.85 (br 1mm2 1m) W1/c
G1.+ (rt 1mm2 1m) F3 (rt 1mm2 1m) E3 (br 1mm2 1m) W1/d
"""
CARRYING = {"G1.+~F1.in", "F1.out~K1.30", "K1.87~SP1", "SP1~E1.1", "E1.2~SP2", "SP2~W1/b"}
CONTROLLING = {"G1.+~F2.in", "F2.out~S1.1", "S1.2~K1.86", "K1.85~W1/c"}


def test_a_lamp_by_a_relay() -> None:
    found = wanted(load_text(LAMPS).value, ("E1",))
    assert set(found.carrying) == CARRYING
    assert set(found.controlling) == CONTROLLING
    assert set(found.parts) == {"E1", "K1", "F1"}
    assert set(found.control_parts) == {"S1", "F2"}


REVERSING = """loombench 1
vehicle "Reversing motor" 12V
colours DIN
body chassis
stud W1 on chassis
battery G1
fuse F1 20A
switch S1 up: 30=A 31=B | off | down: 30=B 31=A
motor M1 12V 60W reversing
G1.- (sw 10mm2 1m) W1/a
G1.+ (rt 4mm2 1m) F1 (rt 4mm2 1m) S1.30
S1.31 (br 4mm2 1m) W1/b
S1.A (ge 4mm2 1m) M1.a
S1.B (gn 4mm2 1m) M1.b
"""


def test_a_motor_that_turns_both_ways() -> None:
    found = wanted(load_text(REVERSING).value, ("M1",))
    assert set(found.carrying) == {"G1.+~F1.in", "F1.out~S1.30", "S1.31~W1/b", "S1.A~M1.a", "S1.B~M1.b"}


MODULE = """loombench 1
vehicle "Lamp by a module" 12V
colours DIN
body chassis
stud W1 on chassis
battery G1
fuse F1 20A
switch S1 off | on: 1=2
switch S2 off | on: 1=2
lamp E1 12V 21W
module A1
  supply 30
  ground 31
  in 1 pull-up 1kohm on when low
  in 2 pull-up 1kohm on when low
  out 5 high-side from 30 max 8A
  when 1: 5
G1.- (sw 10mm2 1m) W1/a
G1.+ (rt 4mm2 1m) F1 (rt 4mm2 1m) A1.30
A1.31 (br 4mm2 1m) W1/b
A1.5 (ge 1mm2 1m) E1 (br 1mm2 1m) W1/c
A1.1 (gn 1mm2 1m) S1 (br 1mm2 1m) W1/d
A1.2 (gn 1mm2 1m) S2 (br 1mm2 1m) W1/e
"""


def test_a_lamp_by_a_module() -> None:
    outcome = load_text(MODULE)
    found = wanted(outcome.value, ("E1",))
    assert set(found.carrying) == {"G1.+~F1.in", "F1.out~A1.30", "A1.5~E1.1", "E1.2~W1/c"}, outcome.problems
    assert {"A1.31~W1/b", "A1.1~S1.1", "S1.2~W1/d"} <= set(found.controlling)
    assert "A1.2~S2.1" not in found.controlling


@pytest.mark.parametrize(
    ("edges", "held"),
    [
        ("ab bz", "ab bz"),
        ("ab bz bc", "ab bz"),
        ("ab bz bc cd db", "ab bz"),
        ("ab bz bc cz", "ab bz bc cz"),
        ("ab bc cz bd dc", "ab bc cz bd dc"),
        ("ab cz", ""),
    ],
)
def test_edges_on_simple_paths(edges: str, held: str) -> None:
    given = [(Point(one[0]), Point(one[1]), one) for one in edges.split()]
    assert on_simple_paths(given, Point("a"), Point("z")) == set(held.split())


def test_a_trailers_frame_is_no_way_back() -> None:
    trailer = load_file("examples/library-van").value
    found = wanted(trailer, ("trailer::E33",))
    assert "trailer::P1.3~trailer::X70.3" in found.carrying
    assert "trailer::SP1~trailer::W1/a" not in found.carrying
