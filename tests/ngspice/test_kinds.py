"""What the example vehicles do not have: converters, timed relays, latching and pulsed outputs, breakers of each type.

Each is put through its conditions by the engine and by ngspice, which starts them, trips them and times them itself.
"""

from collections.abc import Iterator

import pytest

from loombench.circuit.lower import lower
from loombench.text.load import load_text
from loombench.vehicle.condition import Condition, read_operation
from tests.ngspice.compare import compare
from tests.ngspice.driver import Spice

pytestmark = pytest.mark.ngspice

HEAD = """loombench 1
vehicle "kinds" {volts}V
colours IEC
body chassis
stud W1 on chassis
battery G1 {volts}V 95Ah
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 1m) SP1
"""
CONVERTER = """fuse F1 15A
converter U1 12V 10A
heater R1 12V 60W
heater R2 12V 180W
switch S1 off | on: 1=2
switch S2 off | on: 1=2
SP1 (RD 2.5mm2 3m) F1 (RD 2.5mm2 1m) U1.in
U1.gnd (BN 2.5mm2 0.5m) W1/b
U1.out (YE 1.5mm2 2m) SP2
SP2 (YE 1.5mm2 0.2m) S1 (YE 1.5mm2 1m) R1 (BN 1.5mm2 0.5m) W1/c
SP2 (YE 2.5mm2 0.2m) S2 (YE 2.5mm2 1m) R2 (BN 2.5mm2 0.5m) W1/d
"""
TIMER = """timer K11 {mode} 5s
switch S1 off | on: 1=2
lamp E1 12V 21W
SP1 (RD 1mm2 0.3m) S1 (BK 1mm2 1m) K11.15
K11.31 (BN 1mm2 0.3m) W1/b
K11.87 (GN 1mm2 1m) E1 (BN 1mm2 0.3m) W1/c
"""
MODULE = """switch S1 off | on: 1=2
switch S2 off | on: 1=2
lamp E1 12V 21W
heater R1 12V 150W
module A1 "test module"
  plugs  X1 8way
  supply X1/1 "logic" 0.2A | X1/2 "outputs"
  ground X1/3
  in     X1/4 "request" on when high
  out    X1/5 high-side from X1/2 {words}
  when X1/4: X1/5 {timing}
SP1 (RD 1mm2 0.5m) A1.X1/1
SP1 (RD 2.5mm2 0.5m) A1.X1/2
A1.X1/3 (BN 2.5mm2 0.3m) W1/b
SP1 (RD 0.5mm2 0.5m) S1 (BU 0.5mm2 1m) A1.X1/4
A1.X1/5 (GN 2.5mm2 1m) SP2
SP2 (GN 1mm2 1m) E1 (BN 1mm2 0.3m) W1/c
SP2 (GN 2.5mm2 0.2m) S2 (GN 2.5mm2 1m) R1 (BN 2.5mm2 0.3m) W1/d
"""
BREAKER = """breaker Q1 15A {words}
heater R1 12V 120W
heater R2 12V 300W
switch S1 off | on: 1=2
switch S2 off | on: 1=2
switch S3 on: 1=2 | off rest on
SP1 (RD 4mm2 1m) S3 (RD 4mm2 0.3m) Q1 (RD 4mm2 1m) SP2
SP2 (GN 2.5mm2 1m) S1 (GN 2.5mm2 1m) R1 (BN 2.5mm2 1m) W1/b
SP2 (GN 2.5mm2 1m) S2 (GN 2.5mm2 1m) R2 (BN 2.5mm2 1m) W1/c
"""
SUPPLIES = ["supply 24V", "supply 18V", "supply 17V", "supply 18.5V", "supply 16V", "supply 18V", "supply 20V"]
CONVERTER_CASES = [
    "",
    "S1=on",
    "S2=on",
    "S1=on, S2=on",
    *(f"S1=on, {', '.join(SUPPLIES[: k + 1])}" for k in range(len(SUPPLIES))),
]
ON_OFF = ["", "S1=on", "S1=on, S1=off", "S1=on, wait 2s", "S1=on, wait 8s", "S1=on, S1=off, wait 2s"]
TIMED = [*ON_OFF, "S1=on, S1=off, wait 8s", "S1=on, wait 8s, S1=off, wait 1s", "S1=on, wait 2s, S1=off, S1=on, wait 2s"]
SWITCHED = ["", "S1=on", "S2=on", "S1=on, S2=on", "S2=on, S1=on", "S1=on, S2=on, S2=off", "S1=on, S2=on, S1=off"]
AGAIN = [*SWITCHED, "S1=on, S2=on, S2=off, S1=off, S1=on", "S1=on, supply 6.2V", "supply 5V, S1=on, supply 6.2V"]
TRIPPED = [
    *SWITCHED,
    "S2=on, S3=off",
    "S2=on, S3=off, S3=on",
    "S2=on, S3=off, wait 130s, S3=on",
    "S2=on, S2=off, S3=off, wait 130s, S3=on",
    "S1=on, S2=on, S2=off, S3=off, wait 60s, S3=on",
    "S1=on, S2=on, S2=off, S3=off, wait 130s, S3=on",
]
BENCH = {
    "converter": (24, CONVERTER, CONVERTER_CASES),
    "on-delay": (12, TIMER.format(mode="on-delay"), TIMED),
    "off-delay": (12, TIMER.format(mode="off-delay") + "SP1 (RD 1mm2 0.3m) K11.30\n", TIMED),
    "interval": (12, TIMER.format(mode="interval"), TIMED),
    "plain-output": (12, MODULE.format(words="max 30A", timing=""), AGAIN),
    "latching-output": (12, MODULE.format(words="max 5A latches-off", timing=""), AGAIN),
    "after": (12, MODULE.format(words="max 30A", timing="after 3s"), TIMED),
    "for": (12, MODULE.format(words="max 30A", timing="for 5s"), TIMED),
    "ticking": (12, MODULE.format(words="max 30A", timing="tick 1s every 4s"), SWITCHED),
    "pulsed": (12, MODULE.format(words="max 30A pwm 65% 100Hz", timing=""), SWITCHED),
    "breaker-manual": (12, BREAKER.format(words="manual"), TRIPPED),
    "breaker-stays-open": (12, BREAKER.format(words="stays-open"), TRIPPED),
    "breaker-cycling": (12, BREAKER.format(words="cycling"), TRIPPED[:3]),
}


@pytest.fixture(scope="module")
def spice() -> Iterator[Spice]:
    with Spice() as one:
        yield one


@pytest.mark.parametrize("name", BENCH)
def test_kind(spice: Spice, name: str) -> None:
    volts, body, cases = BENCH[name]
    outcome = load_text(HEAD.format(volts=volts) + body)
    assert outcome.usable, [(problem.code, problem.spans) for problem in outcome.problems]
    netlist = lower(outcome.value).value
    apart = {}
    for text in cases:
        operations = [read_operation(word) for word in text.split(",") if word.strip()]
        assert None not in operations, text
        found = compare(spice, netlist, Condition(tuple(operation for operation in operations if operation)))
        if found.misses:
            apart[text] = found.misses
    assert apart == {}
