"""A battery that goes flat: what gives it away is found by looking, by clamp, by millivolts across the fuses."""

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import open_case
from loombench.app.practice import PracticeVehicle, auto
from loombench.circuit.fault import read_fault
from loombench.circuit.predict import predict
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import AS_BUILT, TOO_MUCH
from loombench.diagnose.safety import cautions, touchable
from loombench.evidence.complaint import Complaint
from loombench.evidence.events import ReadingTaken
from loombench.facts.fuse import cold_resistance_ohm
from loombench.record.memory import MemoryStore
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import AIRBAG, HEAD, LAMP, vehicle

TIME = "2026-03-02T14:05:00+01:00"
PARKED = (
    HEAD
    + """
fuse   F1 10A at box "heated seat"
fuse   F2 10A at box "marker"
fuse   F3 10A at box "heated screen"
relay  K3 make 30 85 86 87 at box "heated screen"
switch S4 off | on: 1=2 at dash
switch S5 off | on: 1=2 at dash
switch S6 off | on: 1=2 at dash
heater R7 12V 40W at head
lamp   E8 12V 5W  at head
heater R9 12V 60W at head
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) SP1
SP1 (RD 4mm2 0.3m) F1 (GY 2.5mm2 0.5m) S4.1
S4.2 (GY/RD 2.5mm2 1m) R7 (BN 2.5mm2 0.3m) W1/b
SP1 (RD 4mm2 0.3m) F2 (RD 1mm2 0.5m) S5.1
S5.2 (GY/RD 2.5mm2 1m) E8 (BN 2.5mm2 0.3m) W1/c
SP1 (RD 4mm2 0.3m) F3 (RD 2.5mm2 0.5m) SP3
SP3 (RD 2.5mm2 0.4m) S6.1
S6.2 (WH 1mm2 0.4m) K3.86
K3.85 (BN 1mm2 0.4m) W1/d
SP3 (RD 2.5mm2 0.4m) K3.30
K3.87 (GN 2.5mm2 1m) R9 (BN 2.5mm2 1m) W1/f
"""
)


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(vehicle(PARKED))


def asleep(bench: Bench) -> Condition:
    return read_condition(bench.vehicle, "wait 3600s").value


def opened(bench: Bench) -> Case:
    told = Complaint("G1", "flat", asleep(bench), "G1 flat")
    return open_case(bench.vehicle, "0", told, MemoryStore(), "c", TIME, bench=bench)


@pytest.mark.parametrize("hidden", ["stuck S4 on", "stuck S5 on", "stuck K3 pulled"])
def test_what_empties_a_battery_is_found_and_cured(bench: Bench, hidden: str) -> None:
    fault = read_fault(hidden)
    assert fault is not None
    case = auto(opened(bench), PracticeVehicle(bench.vehicle, fault))
    assert case.verdict.state == "cured"
    assert case.verdict.groups[0] == fault.target
    read = [one.payload for one in case.events if isinstance(one.payload, ReadingTaken)]
    assert all(one.unit == ("A" if one.setup.meter == "clamp" else "V") for one in read)


def test_a_battery_is_looked_at_first_and_in_its_own_words(bench: Bench) -> None:
    case = opened(bench)
    first = case.choice.step
    assert isinstance(first, See)
    assert (first.kind, first.load) == ("verify", "G1")
    words = [one.word for one in first.outcomes(bench, case.belief.share, case.course.situation).outcomes]
    assert words == [TOO_MUCH, AS_BUILT]
    assert "asleep" in cautions(bench, first)


def test_millivolts_across_a_fuse_are_its_cold_resistance_times_what_it_carries(bench: Bench) -> None:
    """40 W at 12 V are 3.3 A; the model has the fuse's cold resistance from its table."""
    fault = read_fault("stuck S4 on")
    assert fault is not None
    red, black = (Point("F1", pin, layer="pin") for pin in ("in", "out"))
    lead = next(wire.a for wire in bench.vehicle.wires if wire.a.part == "G1" and wire.a.pin == "-")
    setups = [Setup(asleep(bench), red, black, "millivoltmeter"), Setup(asleep(bench), lead, None, "clamp")]
    found = predict(bench.vehicle, setups, [(), (fault,)]).values
    assert abs(found[0, 0]) < 1e-6
    assert abs(found[0, 1]) < 1e-3
    assert found[1, 0] == pytest.approx(cold_resistance_ohm(10.0, "blade") * abs(found[1, 1]), rel=1e-3)


def test_a_clamp_and_millivolts_are_for_a_flat_battery_only(bench: Bench) -> None:
    case = opened(bench)
    meters = {step.setup.meter for step in case.plan if isinstance(step, Measure)}
    assert {"clamp", "millivoltmeter"} <= meters
    lamp = bench_for(vehicle(LAMP))
    state = read_condition(lamp.vehicle, "S4=on").value
    told = Complaint("E7", "dead", state, "E7 dead")
    other = open_case(lamp.vehicle, "0", told, MemoryStore(), "c", TIME, bench=lamp)
    used = {step.setup.meter for step in other.plan if isinstance(step, Measure)}
    assert not used & {"clamp", "millivoltmeter"}


def test_no_clamp_and_no_millivolts_on_an_airbag_circuit() -> None:
    airbag = bench_for(vehicle(AIRBAG))
    told = Complaint("G1", "flat", asleep(airbag), "G1 flat")
    case = open_case(airbag.vehicle, "0", told, MemoryStore(), "c", TIME, bench=airbag)
    assert any("F12" in step.id for step in case.plan)
    assert not any("F40" in step.id or "R40" in step.id for step in case.plan)
    known = nets(airbag.vehicle)
    for meter in ("clamp", "millivoltmeter"):
        assert not touchable(airbag.vehicle, known, Point("R40", "1"), meter)
        assert touchable(airbag.vehicle, known, Point("E7", "1"), meter)
