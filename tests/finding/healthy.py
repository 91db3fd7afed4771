"""Small vehicles in which something healthy looks odd, each beside a plain lamp E1 that may be at fault."""

HEAD = """loombench 1
vehicle "Healthy and odd" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 95Ah
fuse F1 10A
fuse F2 15A
switch S1 off | on: 1=2
switch S2 off | on: 1=2
lamp E1 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.5m) SP1
SP1 (RD 2.5mm2 0.3m) F1 (GY 1.5mm2 1m) S1 (GY 1.5mm2 1m) E1 (BN 1.5mm2 0.5m) W1/b
SP1 (RD 2.5mm2 0.3m) F2
"""

FLASHER = (
    HEAD
    + """
flasher K9 49 49a 31 90/min
lamp E9 12V 21W
lamp E10 12V 21W
F2.out (BK 1.5mm2 0.5m) K9.49
K9.31 (BN 1mm2 0.3m) W1/c
K9.49a (BK 1.5mm2 0.5m) S2 (BK 1.5mm2 1m) SP2
SP2 (BK 1.5mm2 1m) E9 (BN 1.5mm2 0.5m) W1/d
SP2 (BK 1.5mm2 1m) E10 (BN 1.5mm2 0.5m) W1/e
"""
)

INTERVAL = (
    HEAD
    + """
module K8 "interval"
  supply 15
  ground 31
  in J high
  contact rest: 53e=31 | tick: 53e=15
  when J: tick 0.6s every 6s
motor M9 12V 4A
F2.out (BK 1.5mm2 0.5m) K8.15
F2.out (BK 0.75mm2 0.5m) S2 (BK 0.75mm2 1m) K8.J
K8.31 (BN 1mm2 0.3m) W1/c
K8.53e (GN 1.5mm2 1m) M9.+
M9.- (BN 1.5mm2 0.5m) W1/d
"""
)

PWM = (
    HEAD
    + """
module A2
  supply 1
  ground 2
  in 3 pull-down 1kohm on when high
  out 4 high-side from 1 pwm 60% 100Hz
  when 3: 4
lamp E9 12V 21W
F2.out (RD 1.5mm2 0.5m) A2.1
A2.2 (BN 1.5mm2 0.3m) W1/c
F2.out (RD 0.75mm2 0.5m) S2 (GY 0.75mm2 1m) A2.3
A2.4 (GN 1.5mm2 2m) E9 (BN 1.5mm2 1m) W1/d
"""
)

CYCLING = (
    HEAD
    + """
breaker Q1 10A cycling
heater R9 12V 250W
F2.out (BK 4mm2 0.2m) Q1 (BK 2.5mm2 0.5m) S2 (BK 2.5mm2 1m) R9 (BN 2.5mm2 0.5m) W1/c
"""
).replace("fuse F2 15A", "fuse F2 40A")

LONG_GROUND = (
    HEAD
    + """
lamp E9 12V 55W
F2.out (BK 2.5mm2 0.5m) S2 (BK 2.5mm2 1m) E9 (BN 1mm2 5m) W1/c
"""
)

LEAK = (
    HEAD
    + """
module A2
  supply 1
  ground 2
  in 3 pull-down 1kohm on when high
  out 4 high-side from 1 off-leak 0.2mA
  when 3: 4
lamp E9 12V 10W
F2.out (RD 1.5mm2 0.5m) A2.1
A2.2 (BN 1.5mm2 0.3m) W1/c
F2.out (RD 0.75mm2 0.5m) S2 (GY 0.75mm2 1m) A2.3
A2.4 (GN 1mm2 2m) E9 (BN 1mm2 1m) W1/d
"""
)

TWO_FILAMENTS = (
    HEAD.replace("switch S2 off | on: 1=2", "switch S2 off | dip: 1=2 | main: 1=3")
    + """
unit E9 "headlamp"
  56b-31 lamp 55W "dipped"
  56a-31 lamp 60W "main"
F2.out (BK 2.5mm2 0.5m) S2.1
S2.2 (YE 1.5mm2 1.5m) E9.56b
S2.3 (WH 1.5mm2 1.5m) E9.56a
E9.31 (BN 1.5mm2 0.5m) W1/c
"""
)
