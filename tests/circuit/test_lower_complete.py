"""Every kind of part is lowered, and whatever is written gives a consistent netlist."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.circuit.catalogue import single_faults
from loombench.circuit.laws import law_errors
from loombench.circuit.lower import LoweringOf, lower
from loombench.circuit.lowering.laws import HOUSINGS, INNER_LAWS
from loombench.circuit.operate import run
from loombench.vehicle.condition import Condition
from loombench.vehicle.kinds import KINDS
from tests.circuit.vehicles import flaws, netlist, vehicle

SAMPLES = {
    "battery": "battery X1 70Ah", "alternator": "alternator X1 90A", "fuselink": "fuselink X1 80A",
    "fuse": "fuse X1 10A", "breaker": "breaker X1 15A cycling",
    "carrier": "fuse X2 5A\ncarrier X1\n  bar 30 from in : X2\n  X2.out = C/1",
    "relay": "relay X1 changeover 30 85 86 87 87a resistor", "switch": "switch X1 off | on: 1=2",
    "connector": "connector X1 2way a | b", "splice": "splice X1", "body": "body X1",
    "stud": "body m\nstud X1 on m", "strap": "body m\nbody n\nstrap X1 m n 0.3m 16mm2", "lamp": "lamp X1 21W",
    "led": "led X1 5W", "motor": "motor X1 20A", "heater": "heater X1 100W", "solenoid": "solenoid X1 12W",
    "horn": "horn X1 5A", "resistor": "resistor X1 470ohm", "diode": "diode X1 3A", "cutout": "cutout X1 184C",
    "converter": "converter X1 12V 20A", "sensor": "sensor X1 3wire 50%",
    "unit": "unit X1\n  1-3 lamp 21W\n  2-3 led 5W\n  4-3 motor 5A\n  cam in: 5=3 | out: 5=4",
    "flasher": "flasher X1 49 49a 31 90/min", "timer": "timer X1 on-delay 5s",
    "module": "module X1\n  supply 1\n  ground 2\n  in 3 pull-down 1kohm high\n  out 4 high-side from 1 max 5A\n"
              "  contact rest: 5=6 | tick: 5=7\n  when 3: 4\n  asleep 5min 4mA",
    "cable": "lamp X2 5W\nlamp X3 5W\ncable X1 X2.1 X3.1 twisted shield", "terminator": "terminator X1 120ohm",
    "bus-node": "bus-node X1 30kohm", "socket": "socket X1 ISO1724", "plug": "plug X1 ISO1724",
    "generic": "generic X1 1 2 3",
}  # fmt: skip

CONDUCTS_NOTHING = {"carrier", "connector", "splice", "body", "cable", "socket", "plug", "generic"}
"""Kinds that, alone, are points and contacts only."""


def test_there_is_a_sample_of_every_kind() -> None:
    assert set(SAMPLES) == set(KINDS)


def test_every_kind_has_its_housing_and_every_element_its_law() -> None:
    assert set(KINDS) <= set(HOUSINGS)
    # A relay is its coil and its contacts.
    inner = {spec.inner for spec in KINDS.values() if spec.inner} - {"relay"}
    assert inner <= set(INNER_LAWS)
    assert {"relay-coil", "relay-contact"} <= set(INNER_LAWS)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_is_lowered(kind: str) -> None:
    of = vehicle(SAMPLES[kind])
    lowered = netlist(of)
    assert flaws(lowered) == []
    if kind not in CONDUCTS_NOTHING:
        assert any(element.id.startswith(("X1", "contact X1")) for element in lowered.elements)
    points = {point.part for points in lowered.names for point in points}
    assert "X1" in points
    for inner in of.parts["X1"].elements:
        assert inner.kind in INNER_LAWS


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_of_load_and_switch_has_faults_that_can_be_put_in(kind: str) -> None:
    of = vehicle(SAMPLES[kind])
    lowering = LoweringOf(of)
    faults = single_faults(of)
    if kind not in CONDUCTS_NOTHING | {"carrier"}:
        assert [fault for fault in faults if fault.target.startswith(("X1", "contact X1"))]
    for fault in faults:
        outcome = lowering(of, (fault,))
        assert outcome.problems == ()
        assert outcome.value != lowering.netlist
        assert flaws(outcome.value) == []


_TWO = ("lamp {0} 21W", "heater {0} 50W", "switch {0} off | on: 1=2", "resistor {0} 10ohm", "generic {0} 1 2",
        "terminator {0} ?ohm", "cutout {0} 90C", "horn {0} ?A", "sensor {0} 2wire")  # fmt: skip


@st.composite
def _texts(draw: st.DrawFn) -> str:
    """A battery and up to six parts, wired at random: loops, shorts, loose ends and islands."""
    count = draw(st.integers(1, 6))
    lines = ["body m", "stud W1 on m", "battery G1 ?Ah"]
    lines += [draw(st.sampled_from(_TWO)).format(f"E{k}") for k in range(count)]
    points = ["G1.+", "G1.-", "W1/a", "W1/b", "SP1", "SP2", *(f"E{k}.{pin}" for k in range(count) for pin in "12")]
    pairs = st.tuples(st.sampled_from(points), st.sampled_from(points)).filter(lambda pair: pair[0] != pair[1])
    for one, two in draw(st.lists(pairs, min_size=1, max_size=12)):
        size = draw(st.sampled_from(["1mm2", "16mm2", "?mm2", "18AWG"]))
        length = draw(st.sampled_from(["?m", "0.001m", "250m"]))
        lines.append(f"{one} (RD {size} {length}) {two}")
    return "\n".join(lines)


@settings(max_examples=60)
@given(text=_texts(), data=st.data())
def test_whatever_is_wired_gives_a_consistent_netlist_and_a_lawful_answer(text: str, data: st.DataObject) -> None:
    of = vehicle(text)
    lowered = lower(of).value
    assert flaws(lowered) == []
    assert law_errors(lowered, run(lowered, Condition()).point) == ()
    faults = single_faults(of)
    assert len(set(faults)) == len(faults)
    some = data.draw(st.lists(st.sampled_from(faults), max_size=3, unique_by=lambda fault: fault.target))
    outcome = lower(of, tuple(some))
    assert outcome.problems == ()
    assert flaws(outcome.value) == []


def test_an_empty_vehicle_is_an_empty_netlist() -> None:
    lowered = netlist(vehicle(""))
    assert (lowered.nodes, lowered.elements) == (1, ())
    assert flaws(lowered) == []
