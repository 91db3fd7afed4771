"""The example vehicles, and a small one with a piece of everything."""

from functools import cache
from pathlib import Path

from loombench.text.load import load_file, load_text
from loombench.vehicle.model import Vehicle

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
FILES = tuple(
    path.relative_to(EXAMPLES).as_posix()
    for path in sorted((*EXAMPLES.glob("*/vehicle.circuit"), *EXAMPLES.glob("cases/*.circuit")))
)

SMALL = """loombench 1
vehicle "Small, a piece of everything" 24V
colours IEC
place box reach 1min "fuse box"
place pivot reach 3min flexing
body chassis
body cab
strap W9 cab chassis 0.3m 16mm2
stud W1 on chassis
stud W2 on cab
battery G1 24V 95Ah
fuselink F1 100A
carrier B1 "fuse box" at box
  bar 30 from in : F12 F13 K4.30
  F13.out = K4.86
  F12.out = C/7
fuse F12 10A "work lamp"
fuse F13 ?A
relay K4 make 30 85 86 87 "work lamp relay"
fuse F20 5A
switch S4 off | on: 1=2
lamp E7 24V 55W "work lamp"
module A2 "controller"
  plugs   X1 4way | X3 4way
  supply  X1/1
  ground  X1/2
  in      X3/1  on when high
  out     X1/3 high-side from X1/1
connector X12 6way chassis | boom at pivot
cable C4 twisted shield
loom chassis
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 25mm2 0.6m) F1 (RD 16mm2 1.8m) B1.in
K4.87 (#214 RD/WH 2.5mm2 2.4m) X12.1
K4.85 (BN ?mm2 ?m) S4.1
S4.2 (BN 0.75mm2 2..5m) W1
B1.C/7 (GY 18AWG 1.1m via pivot) SP1
SP1 (GY 1mm2 0.57m) F20 (GY 1mm2 0.3m) A2.X1/1
SP1 (GY 1mm2 0.3m) A2.X3/1
A2.X1/2 (BN 1mm2 0.3m) chassis
A2.X1/3 (VT/GN 0.5mm2 1m in C4) X12.2
A2.X3/2 (VT/BN 0.5mm2 1m in C4 "spare") X12.3
C4.shield (? 0.5mm2 0.2m) W2/a
loom boom
X12.1 (RD/WH 2.5mm2 ?m) E7 (BN 2.5mm2 0.8m) W2/b
"""


@cache
def example(name: str) -> Vehicle:
    """An example vehicle by its file below `examples`."""
    return load_file(EXAMPLES / name).value


@cache
def small() -> Vehicle:
    """The small vehicle.

    Raises:
        ValueError: it does not load.
    """
    outcome = load_text(SMALL, "small.circuit", {}.get)
    if not outcome.usable:
        raise ValueError(f"the small vehicle does not load: {outcome.problems}")
    return outcome.value
