"""No step that is ever offered touches an airbag, high-voltage or mains circuit, judged by the raw text of its vehicle.

What is forbidden is read by `rawsheet` and not by the program. Half of the marked circuits are reached through splices
and connectors only: the marks stand at the far ends.
"""

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.circuit.fault import read_fault
from loombench.diagnose import plan
from loombench.diagnose.bench import Bench
from loombench.diagnose.measuring import Measure
from loombench.diagnose.region import works_when
from loombench.diagnose.step import Step
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.text.load import load_file, load_text
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
from loombench.vehicle.trace import loads
from tests.finding.fewer import bench_of
from tests.finding.rawsheet import MEETING, Pin, read_sheet, read_text
from tests.finding.unsafe import touches

FORBIDDEN = ("pyro", "hv", "mains")
EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = [*sorted(EXAMPLES.glob("*/vehicle.circuit")), *sorted(EXAMPLES.glob("cases/[0-9]*.circuit"))]
SMALL = [path for path in FILES if path.parent.name not in ("library-van", "cases")]

TEXT = """loombench 1
vehicle "Work lamps beside what nobody may touch" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 95Ah
fuse F1 15A
fuse F2 10A
fuse F3 5A
switch S1 off | on: 1=2
lamp E1 12V 21W
lamp E2 12V 21W
lamp E3 12V 10W
lamp E5 12V 10W class mains
resistor R1 4ohm
resistor R2 40ohm
connector X1 4way front | middle
connector X2 4way middle | rear
class pyro R1.1
class hv R2.2

loom front
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) SP1
SP1 (RD 2.5mm2 0.4m) F1 (RD 1.5mm2 1m) S1.1
S1.2 (GY 1.5mm2 1m) X1.1
SP1 (RD 2.5mm2 0.4m) F2 (YE 1.5mm2 1m) SP2    # two splices and two connectors before the igniter R1
SP2 (YE 1.5mm2 1m) X1.2
SP2 (YE 0.75mm2 0.6m) E3 (BN 1mm2 0.3m) W1/e
X1.4 (BN 1.5mm2 0.8m) SP4 (BN 1.5mm2 0.8m) W1/b
loom middle
X1.1 (GY 1.5mm2 1m) SP5
SP5 (GY 1.5mm2 0.5m) E1 (BN 1.5mm2 1m) W1/c
SP5 (GY 1.5mm2 0.5m) X2.2
X1.2 (YE 1.5mm2 1m) SP3
SP3 (YE 1.5mm2 1m) X2.1
X2.4 (BN 1.5mm2 0.5m) X1.4                    # the return of R2 and E2, marked at R2 alone
X1.3 (WH 1.5mm2 1m) E5 (BN 1.5mm2 1m) W1/g
loom front
SP1 (WH 1.5mm2 0.3m) F3 (WH 1.5mm2 0.7m) X1.3
loom rear
X2.1 (YE 1.5mm2 0.5m) R1 (BN 1.5mm2 0.5m) W1/d
X2.2 (GY 1.5mm2 0.5m) E2 (BN 1.5mm2 0.5m) SP6
X2.2 (GY 1.5mm2 1m) R2 (BN 1mm2 0.5m) SP6
SP6 (BN 1.5mm2 0.5m) X2.4
"""
ON = Condition((Operation("set", "S1", "on"),))
CASES = (
    ("E1", "dead", "open contact X1.1@front", 8),
    ("F1", "blows-fuse", "short SP5 to ground", 5),
    ("E2", "dim", "", 1),
    ("E3", "dead", "", 1),
    ("F2", "blows-fuse", "", 1),
)
"""Complaint, what is hidden, and how many steps are taken; the last three are about a forbidden circuit itself."""
STANDING = Condition((Operation("wait", "", "3600"),))


def car_of(text: str) -> Vehicle:
    loaded = load_text(text)
    assert loaded.problems == ()
    return loaded.value


CAR = car_of(TEXT)
DANGEROUS = read_text(TEXT).marked(*FORBIDDEN)


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(CAR)


def opened(bench: Bench, target: str, symptom: str) -> Case:
    complaint = Complaint(target, symptom, ON, f"{target} {symptom}")
    return open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)


def offered(bench: Bench, target: str, symptom: str, hidden: str, most: int) -> Iterator[Step]:
    """Each step that a case offers on its way, those not chosen too."""
    case, fault = opened(bench, target, symptom), read_fault(hidden) if hidden else None
    for _ in range(most):
        yield from (*case.plan, *case.repairs, *case.retests)
        card = next_step(case)
        if card is None or fault is None:
            break
        said = PracticeVehicle(bench.vehicle, fault).reply(case.offered(card.id), case.course.situation.repaired)
        case = answer(case, card.id, said, PRACTICE_TIME)


def test_the_marks_reach_through_splices_and_connectors() -> None:
    assert {part for part, _ in DANGEROUS if part.startswith("SP")} == {"SP2", "SP3", "SP4", "SP6"}
    cavities = {("X1", "2"), ("X1", "3"), ("X1", "4"), ("X2", "1"), ("X2", "4")}
    assert {one for one in DANGEROUS if one[0].startswith("X")} == cavities
    assert {("F2", "out"), ("F3", "out"), ("E2", "2"), ("W1", "b"), ("W1", "g")} <= DANGEROUS
    assert not {("E1", "1"), ("E1", "2"), ("F1", "out"), ("F2", "in"), ("S1", "2"), ("W1", "a")} & DANGEROUS


@pytest.mark.parametrize(("target", "symptom", "hidden", "most"), CASES, ids=[f"{one[0]} {one[1]}" for one in CASES])
def test_no_step_offered_touches_a_forbidden_circuit(
    bench: Bench, target: str, symptom: str, hidden: str, most: int
) -> None:
    own = target in {part for part, _ in DANGEROUS}
    steps = list(offered(bench, target, symptom, hidden, most))
    assert steps
    assert own == (not hidden)
    for step in steps:
        touched = touches(CAR, DANGEROUS, step)
        assert touched == "", step.id


def test_no_fuse_of_a_forbidden_circuit_is_drawn_for_a_flat_battery(bench: Bench) -> None:
    """Millivolts across fuses, a clamp with fuses drawn: of F1 alone."""
    complaint = Complaint("G1", "flat", STANDING, "battery flat")
    case = open_case(CAR, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)
    assert [step.id for step in case.plan if touches(CAR, DANGEROUS, step)] == []
    assert any("pull F1" in step.id for step in case.plan)


def test_enough_is_offered_to_judge(bench: Bench) -> None:
    """Fuses, leads, an ohmmeter, sights and repairs are among the steps; what is beside is handled freely."""
    steps = [step for case in CASES[:2] for step in offered(bench, *case)]
    assert {"verify", "see", "position", "fuse", "measure", "ohms", "mend"} <= {step.kind for step in steps}
    ids = " ".join(step.id for step in steps)
    assert "pull F1" in ids
    assert "unplug E1" in ids


def test_a_filter_switched_off_is_caught(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Planted: with everything allowed, leads, fuses, sights and repairs on forbidden circuits are offered and seen."""
    monkeypatch.setattr(plan, "allowed", lambda _bench, _step: True)
    caught = {
        step.kind
        for target, symptom, hidden, _ in CASES
        for step in offered(bench, target, symptom, hidden, 1)
        if touches(CAR, DANGEROUS, step)
    }
    assert {"verify", "see", "fuse", "measure"} <= caught


def current_put_on(step: Step, pins: frozenset[Pin]) -> bool:
    """Whether a step drives current of its own, by a meter, into one of these pins."""
    if not isinstance(step, Measure) or step.setup.meter in ("voltmeter", "min-max", "scope", "clamp"):
        return False
    return any(end is not None and (end.part, end.pin) in pins for end in (step.setup.red, step.setup.black))


def test_no_ohmmeter_or_lamp_goes_on_an_interlock() -> None:
    text = TEXT.replace("class pyro R1.1\nclass hv R2.2", "class interlock E2.1").replace(" class mains", "")
    car, marked = car_of(text), read_text(text).marked("interlock")
    assert {("SP5", ""), ("S1", "2"), ("E1", "1"), ("E2", "1"), ("R2", "1")} <= marked
    steps = list(offered(bench_for(car), "E1", "dead", "", 1))
    assert not [step.id for step in steps if current_put_on(step, marked)]
    assert [step.id for step in steps if isinstance(step, Measure)]


def markable(path: Path) -> list[Pin]:
    """Pins of an example that have a wire, by the raw text."""
    plain = read_sheet(path)
    return [
        (part, pin)
        for part in sorted(plain.pins)
        for pin in plain.pins[part]
        if (part, pin) in plain.beside and "::" not in part and plain.kinds.get(part) not in (*MEETING, "carrier")
    ]


def marked(path: Path, count: int, most: int) -> Iterator[tuple[Vehicle, frozenset[Pin], list[Pin]]]:
    """An example with pins drawn by seed marked, what the raw text reaches from them, and these pins."""
    pins, car = markable(path), load_file(path).value
    for seed in range(most):
        chosen = random.Random(seed).sample(pins, count)
        sheet = read_sheet(path, "class hv " + " ".join(f"{part}.{pin}" for part, pin in chosen))
        reached = sheet.marked("hv")
        parts = dict(car.parts)
        for part, pin in chosen:
            parts[part] = replace(parts[part], class_marks=(*parts[part].class_marks, (pin, "hv")))
        yield replace(car, parts=MappingProxyType(parts)), reached, chosen


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(EXAMPLES)) for path in FILES])
def test_marks_drawn_anywhere_reach_as_far_as_the_raw_text_says(path: Path) -> None:
    """Three pins of an example are marked; every pin that the raw text reaches is of that class in the program."""
    judged = 0
    for car, reached, chosen in marked(path, 3, 6):
        known = nets(car)
        for part, pin in reached:
            if car.parts[part].kind not in MEETING:
                judged += 1
                assert "hv" in known.classes_of(Point(part, pin)), (chosen, part, pin)
    assert judged >= 5


@pytest.mark.parametrize("path", SMALL, ids=[path.parent.name for path in SMALL])
def test_no_step_touches_marks_drawn_anywhere_in_an_example(path: Path) -> None:
    """Complaints of loads beside the marked circuits, by a catalogue of breaks: all steps and repairs of the start."""
    judged = 0
    for car, reached, chosen in marked(path, 2, 3):
        known = bench_of(car, lambda fault: fault.mode == "open")
        barred = {part for part, _ in reached}
        beside = [load.via for load in loads(car) if load.via.partition(".")[0] not in barred]
        for name in random.Random(len(chosen)).sample(beside, min(2, len(beside))):
            complaint = Complaint(name, "dead", works_when(car, name), f"{name} dead")
            case = open_case(car, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=known)
            for step in (*case.plan, *case.repairs):
                judged += 1
                assert touches(car, reached, step) == "", (chosen, step.id)
    assert judged > 50
