"""The region of a load behind a module takes in what switches the inputs that the module asks about."""

from pathlib import Path

from loombench.app.practice import usual_conditions
from loombench.diagnose.region import region, works_when
from loombench.text.load import load_file, load_text
from loombench.vehicle.trace import inputs

CODES = Path(__file__).parents[2] / "examples" / "cases" / "codes.circuit"
LOW = """loombench 1
vehicle "Input to ground" 12V
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F1 10A
switch S3 off | on: 1=2
switch S4 off | on: 1=2
module A2
  supply 1
  ground 2
  in 3 pull-up 1kohm on when low
  in 5 pull-up 1kohm on when low
  out 4 high-side from 1 max 8A
  out 6 high-side from 1 max 8A
  when 3: 4
  when 5: 6
lamp E7 12V 21W
lamp E8 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 2.5mm2 1m) F1 (RD 1mm2 1m) A2.1
A2.2 (BN 1mm2 1m) W1/b
A2.3 (GY 0.5mm2 1m) S3 (BN 0.5mm2 1m) W1/c
A2.5 (GN 0.5mm2 1m) S4 (BN 0.5mm2 1m) W1/f
A2.4 (YE 1mm2 4m) E7 (BN 0.5mm2 1m) W1/d
A2.6 (BU 1mm2 4m) E8 (BN 0.5mm2 1m) W1/e
"""


def test_a_load_behind_a_module_works_with_its_switch_on() -> None:
    car = load_file(CODES).value
    assert str(works_when(car, "E7")) == "S3=on"
    assert "S3=on" in {str(one) for one in usual_conditions(car)}
    points = {str(point) for point in region(car, ("E7",)).points}
    assert {"S3.1", "S3.2", "A2.3"} <= points


def test_an_input_that_is_on_when_low_is_traced_to_ground_and_only_where_it_is_asked_about() -> None:
    car = load_text(LOW).value
    assert {run.load.via: bool(run.back) for run in inputs(car)} == {"A2.3": True, "A2.5": True}
    of_e7 = region(car, ("E7",))
    assert of_e7.controls == ("S3",)
    assert of_e7.loads == ("E7", "A2")
    assert str(works_when(car, "E8")) == "S4=on"
