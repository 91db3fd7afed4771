"""Small vehicles written for these tests."""

from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle

HEAD = """loombench 1
vehicle "Test rig" 12V
colours IEC
place box  reach 1min "box"
place dash reach 1min "dash"
place head reach 4min outside wet "boom head"
body chassis
body boom
strap  W9 boom chassis 0.3m 16mm2 at head
stud   W1 on chassis at box
stud   W3 on boom    at head
battery G1 95Ah at box
"""

LAMP = (
    HEAD
    + """
fuse   F12 15A at box  "work lamps"
switch S4 off | on: 1=2 at dash "work lamps"
lamp   E7 12V 55W at head "left"
lamp   E8 12V 55W at head "right"
connector X12 2way chassis | boom at head
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) S4.1
S4.2 (GY/RD 1.5mm2 3.2m) X12.1
loom boom
X12.1 (OG/BK 1.5mm2 2m) SP2
SP2 (OG/BK 1.5mm2 0.3m) E7 (BK 1.5mm2 0.8m) W3/a
SP2 (OG/BK 1.5mm2 1.1m) E8 (BK 1.5mm2 1.6m) W3/b
"""
)

RELAY = (
    HEAD
    + """
fuse   F1 20A at box "horn"
fuse   F2 5A  at box "horn relay, coil"
relay  K4 make 30 85 86 87 at box "horn"
switch S7 off | push!: 1=2 at dash "horn"
horn   B7 12V 5A at head "horn"
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) SP1
SP1 (RD 4mm2 0.3m) F1 (RD 2.5mm2 0.4m) K4.30
SP1 (RD 1mm2 0.3m) F2 (WH 0.75mm2 0.6m) S7.1
S7.2 (WH/BK 0.75mm2 0.8m) K4.86
K4.85 (BN 0.75mm2 0.3m) W1/b
K4.87 (RD/WH 2.5mm2 4m) B7 (BN 2.5mm2 0.5m) W3/a
"""
)

AIRBAG = (
    LAMP
    + """
loom chassis
fuse   F40 10A at box "belt tensioner"
resistor R40 2ohm at dash "belt tensioner"
connector X40 2way chassis | boom at dash
class pyro R40.1 R40.2
G1.+ (RD 1mm2 0.5m) F40 (YE 1mm2 1m) X40.1
loom boom
X40.1 (YE 1mm2 0.3m) R40 (YE/BK 1mm2 0.3m) W3/c
"""
)


def vehicle(text: str) -> Vehicle:
    outcome = load_text(text)
    assert outcome.usable, outcome.problems
    return outcome.value


BREAKER = (
    HEAD
    + """
breaker Q1 10A stays-open 90s at box "blower"
switch S1 off | on: 1=2 at dash "blower"
switch S2 off | on: 1=2 at dash "map lamp"
motor  M1 12V 8A at head "blower"
lamp   E1 12V 5W at dash "map lamp"
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) Q1 (RD 2.5mm2 0.5m) SP1
SP1 (GN 1.5mm2 0.5m) S1.1
SP1 (GY 0.75mm2 0.5m) S2.1
S1.2 (GN/WH 1.5mm2 3m) M1.+
M1.- (BN 1.5mm2 0.8m) W3/a
S2.2 (GY/WH 0.75mm2 0.5m) E1 (BN 0.75mm2 0.8m) W1/b
"""
)
