"""Small circuits for the rules: a clean vehicle with a bit of everything, and ways to plant a fault in it."""

from loombench.base.problems import Problem
from loombench.check.run import check
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle

CLEAN = """\
loombench 1
vehicle "Mobile library van, shelf lamps" 12V
body chassis
body shelter
strap W9 shelter chassis 0.3m 16mm2
stud W1 on chassis
stud W2 on shelter
battery G1 70Ah
fuselink F1 80A
fuse F2 10A
fuse F3 5A
fuse F4 15A
switch S1 off | on: 1=2
switch S2 off | push!: 1=2
relay K1 make 30 85 86 87
lamp E1 12V 21W
lamp E2 12V 21W
horn B1 12V 5A
heater R1 12V 60W
connector X1 4way cab | rear
module A1 "shelf controller"
  supply 1
  ground 31
  in 5 on when high
  out 7 high-side from 1 max 8A
  when 5: 7
loom cab
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 16mm2 0.2m) F1 (RD 10mm2 1m) SP1
SP1 (RD 10mm2 0.3m) F2 (RD 1.5mm2 1m) SP2
SP2 (RD 1.5mm2 0.5m) S1.1
S1.2 (GY 1.5mm2 1m) SP3
SP3 (GY 1.5mm2 1m) X1.1
SP3 (GY 1mm2 1m) A1.5
SP2 (RD 1.5mm2 0.5m) S2 (GN 1.5mm2 1m) B1 (BN 1.5mm2 0.4m) W1/b
SP1 (RD 10mm2 0.3m) F3 (WH 1mm2 1m) A1.1
A1.31 (BN 1mm2 0.4m) W1/c
A1.7 (YE 1mm2 0.4m) K1.86
K1.85 (BN 1mm2 0.4m) W1/d
SP1 (RD 10mm2 0.3m) F4 (BU 2.5mm2 1m) K1.30
K1.87 (BU/WH 1.5mm2 2m) X1.2
loom rear
X1.1 (GY 1.5mm2 2m) SP4
SP4 (GY 1mm2 0.4m) E1 (BN 1mm2 0.4m) W2/a
SP4 (GY 1mm2 0.8m) E2 (BN 1mm2 0.4m) W2/b
X1.2 (BU/WH 1.5mm2 1m) R1 (BN 1.5mm2 0.4m) W2/c
"""


def vehicle(text: str) -> Vehicle:
    """The vehicle of a text that loads without a word."""
    loaded = load_text(text)
    assert loaded.problems == ()
    return loaded.value


def planted(*changes: tuple[str, str], text: str = CLEAN) -> tuple[Problem, ...]:
    """What is found after each `old` has become `new`; each has to be there once."""
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return check(vehicle(text))


def codes(found: tuple[Problem, ...]) -> set[str]:
    """The codes of problems."""
    return {item.code for item in found}


def one(found: tuple[Problem, ...], code: str) -> Problem:
    """The only problem of a code."""
    (item,) = (item for item in found if item.code == code)
    return item
