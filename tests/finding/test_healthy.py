"""Healthy things stay healthy: what looks odd and is not is never named, and no fault is found where there is none."""

from dataclasses import dataclass

import pytest

from loombench.app.case import Case
from loombench.app.finding import open_case, see, suspects, take, verdict
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.practice import PracticeVehicle, auto
from loombench.circuit.fault import Fault
from loombench.circuit.predict import predict
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import UNEXPLAINED
from loombench.diagnose.verdict import CURED, NOT_REPRODUCED, judge
from loombench.evidence.complaint import Complaint
from loombench.evidence.events import RepairDone
from loombench.record.memory import MemoryStore
from loombench.text.load import load_text
from loombench.text.names import find_point, read_condition
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from tests.finding import healthy
from tests.finding.fewer import bench_of

MINUS = Point("G1", "-", layer="pin")
BROKEN = Fault("open", "contact E1.1")
TRUTH = "contact E1.1"


@dataclass(frozen=True)
class Odd:
    """A healthy thing: what is read and seen at it, in which state, and what a customer wrongly says of it. Where it
    takes `long`, all phases being solved for each suspect, no whole case is played with it."""

    text: str
    state: str
    points: tuple[str, ...]
    load: str
    parts: tuple[str, ...]
    said: tuple[str, ...] = ("dead", "dim")
    long: bool = False


ODD = {
    "flasher": Odd(healthy.FLASHER, "S2=on", ("K9.49a", "E9.1"), "E9", ("K9", "E9", "E10", "S2", "SP2"), long=True),
    "interval": Odd(
        healthy.INTERVAL, "S2=on", ("K8.53e", "M9.+"), "M9", ("K8", "M9", "S2"), ("dead", "slow"), long=True
    ),
    "pwm": Odd(healthy.PWM, "S2=on", ("A2.4", "E9.1"), "E9", ("A2", "E9", "S2"), long=True),
    "cycling breaker": Odd(healthy.CYCLING, "S2=on", ("Q1.out", "R9.1"), "R9", ("Q1", "R9", "S2", "F2"), long=True),
    "long ground": Odd(healthy.LONG_GROUND, "S2=on", ("E9.2", "E9.1"), "E9", ("E9", "S2", "F2", "W1/c")),
    "leaking output": Odd(healthy.LEAK, "", ("A2.4", "E9.1"), "E9", ("A2", "E9", "S2"), ("always-on",), long=True),
    "two filaments": Odd(
        healthy.TWO_FILAMENTS, "S2=dip", ("E9.56b", "E9.56a"), "E9.56a-31", ("E9", "S2"), ("always-on",)
    ),
}


class Sound(PracticeVehicle):
    """A vehicle with nothing wrong."""

    def left(self, repaired: tuple[str, ...]) -> tuple[Fault, ...]:  # noqa: ARG002
        return ()


@pytest.fixture(name="odd", scope="module", params=ODD.values(), ids=ODD)
def _odd(request: pytest.FixtureRequest) -> Odd:
    odd: Odd = request.param
    return odd


@pytest.fixture(name="bench", scope="module")
def _bench(odd: Odd) -> Bench:
    """With all that may be wrong of the healthy thing, and of the rest no resistances."""
    loaded = load_text(odd.text)
    assert loaded.problems == ()
    return bench_of(loaded.value, lambda fault: fault.mode != "resistance" or names(odd, fault.target))


def state(car: Vehicle, text: str) -> Condition:
    return read_condition(car, text).value if text else Condition()


def point_of(car: Vehicle, text: str) -> Point:
    point = find_point(car, text).value
    assert point is not None
    return point


def opened(bench: Bench, target: str, symptom: str, text: str) -> Case:
    complaint = Complaint(target, symptom, state(bench.vehicle, text), f"{target} {symptom} when {text or 'at rest'}")
    return open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), "c", TIME, bench=bench)


def names(odd: Odd, group: str) -> bool:
    """Whether a suspect is something of the healthy thing: one of its parts, their contacts or wires."""
    words = group.replace("~", " ").replace("<", " ").split()
    return any(word.partition(".")[0] in odd.parts or word in odd.parts for word in words)


def test_a_complaint_elsewhere_is_not_laid_on_it(odd: Odd, bench: Bench) -> None:
    car = bench.vehicle
    practice = PracticeVehicle(car, BROKEN, 3, error=0.003)
    case = opened(bench, "E1", "dead", "S1=on")
    now = state(car, odd.state)
    setups = [Setup(now, point_of(car, text), MINUS) for text in odd.points]
    for setup, value in zip(setups, predict(car, setups, [(BROKEN,)]).values[0], strict=True):
        case = take(case, setup, round(float(value), 2), TIME)
    case = see(case, odd.load, now, practice.look(odd.load, now), TIME)
    told = {one.group: one.share for one in suspects(case)}
    assert not names(odd, max(told, key=lambda group: told[group]))
    assert sum(share for group, share in told.items() if names(odd, group)) < 0.01
    assert told.get(UNEXPLAINED, 0.0) < 0.01
    if odd.long:
        for at, shown in (("E1.1", 12.6), ("E1.2", 0.0), ("S1.2", 12.6)):
            case = take(case, Setup(state(car, "S1=on"), point_of(car, at), MINUS), shown, TIME)
        groups = judge(case.belief, True, True).groups
        assert TRUTH in groups
        assert not [group for group in groups if names(odd, group)]
        return
    ended = auto(case, practice)
    assert verdict(ended).state == CURED
    repaired = [one.payload.fault for one in ended.events if isinstance(one.payload, RepairDone)]
    assert repaired[-1] == TRUTH
    assert not [group for group in repaired if names(odd, group)]


def test_a_false_complaint_about_it_ends_without_a_fault(odd: Odd, bench: Bench) -> None:
    for symptom in odd.said:
        case = opened(bench, odd.load, symptom, odd.state)
        if odd.long:
            word = Sound(bench.vehicle, BROKEN).look(odd.load, case.complaint.condition)
            case = see(case, odd.load, case.complaint.condition, word, TIME)
            said = judge(case.belief, case.reproduced, True)
        else:
            case = auto(case, Sound(bench.vehicle, BROKEN))
            said = case.verdict
        assert said.state == NOT_REPRODUCED, symptom
        assert not said.proven
        assert not [one for one in case.events if isinstance(one.payload, RepairDone)]
