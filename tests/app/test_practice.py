"""Each fault that gives a complaint is hidden in turn; the tool's own steps must lead to it.

Counted honestly: `named` are cases where, when the first repair is proposed, the hidden fault is among the suspects
proposed; a verdict of proof names one group and must be right every time; `cured` is how they end.
"""

from collections import Counter
from collections.abc import Iterator

import numpy as np
import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, open_case, verdict
from loombench.app.practice import (
    PRACTICE_TIME,
    PracticeVehicle,
    auto,
    complaint_of,
    hide,
    usual_conditions,
)
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.region import works_when
from loombench.diagnose.suspect import group_of
from loombench.diagnose.verdict import PROVEN
from loombench.evidence.complaint import Complaint
from loombench.evidence.events import ReadingTaken, RepairDone
from loombench.record.memory import MemoryStore
from loombench.vehicle.model import Vehicle
from tests.diagnose.vehicles import AIRBAG, LAMP, RELAY, vehicle

MOST = 40


def complained(car: Vehicle, every: int) -> Iterator[tuple[Fault, Case]]:
    bench: Bench = bench_for(car)
    usual = usual_conditions(car)
    for fault in single_faults(car)[::every]:
        complaint = complaint_of(car, fault, usual)
        if complaint is not None:
            store = MemoryStore()
            yield fault, open_case(car, "0" * 64, complaint, store, "p", PRACTICE_TIME, bench=bench)


def until_repair(case: Case, practice: PracticeVehicle) -> Case:
    """Take steps until a repair is proposed that is not a trial fuse."""
    for _ in range(MOST):
        card = next_step(case)
        if card is None or (card.kind == "mend" and verdict(case).state != "searching"):
            return case
        step = case.offered(card.id)
        case = answer(case, card.id, practice.reply(step, case.course.situation.repaired), PRACTICE_TIME)
    raise AssertionError("no end")


def test_cases_on_one_bench_go_as_each_on_its_own() -> None:
    """What was believed and chosen in one case serves the next with the same complaint."""
    car = vehicle(LAMP)
    shared = list(complained(car, 12))
    assert len({case.course.complaints for _, case in shared}) < len(shared)
    for fault, case in shared:
        practice = PracticeVehicle(car, fault, seed=3, error=0.004)
        alone = open_case(
            car, "0" * 64, case.course.complaints[0], MemoryStore(), "p", PRACTICE_TIME, bench=bench_for(car)
        )
        ends = [until_repair(one, practice) for one in (case, alone)]
        assert ends[0].course.observations == ends[1].course.observations
        np.testing.assert_allclose(ends[0].belief.share, ends[1].belief.share, rtol=1e-12)
        assert ends[0].verdict == ends[1].verdict


@pytest.mark.parametrize(("text", "every"), [(LAMP, 8), (RELAY, 9)], ids=["lamp", "relay"])
def test_each_hidden_fault_is_named_and_cured(text: str, every: int) -> None:
    car = vehicle(text)
    count: Counter[str] = Counter()
    for number, (fault, case) in enumerate(complained(car, every)):
        practice = PracticeVehicle(car, fault, number, error=0.004)
        truth = group_of(car, fault)
        found = until_repair(case, practice)
        said = verdict(found)
        count["cases"] += 1
        count["named"] += truth in said.groups or truth in found.course.situation.repaired
        if said.state == PROVEN:
            count["proven"] += 1
            assert said.groups == (truth,), fault
        ended = verdict(auto(found, practice))
        count["cured"] += ended.state == "cured" and ended.groups == (truth,)
    assert count["cases"] >= 8
    assert count["named"] == count["cured"] == count["cases"], count
    assert count["proven"] > 0


def test_a_drawn_fault_is_the_same_for_the_same_seed_and_gives_a_complaint() -> None:
    car = vehicle(LAMP)
    usual = usual_conditions(car)
    first, again = hide(car, 7, usual), hide(car, 7, usual)
    assert first == again
    assert first is not None
    assert first[1].symptom in ("dead", "dim", "always-on")
    assert len({str(hide(car, seed, usual)) for seed in range(4)}) > 1


def test_a_drawn_fault_is_found() -> None:
    car = vehicle(LAMP)
    drawn = hide(car, 3, usual_conditions(car))
    assert drawn is not None
    fault, complaint = drawn
    practice = PracticeVehicle(car, fault)
    said = verdict(auto(open_case(car, "0" * 64, complaint, MemoryStore(), "p1", PRACTICE_TIME), practice))
    assert said.proven
    assert practice.left(said.groups) == ()


def test_a_fuse_that_blows_is_followed_to_its_short() -> None:
    car = vehicle(LAMP)
    on = works_when(car, "E7")
    complaint = Complaint("F12", "blows-fuse", on, "fuse F12 blows at once")
    practice = PracticeVehicle(car, Fault("short", "S4.2", "ground"))
    case = auto(open_case(car, "0" * 64, complaint, MemoryStore(), "p3", PRACTICE_TIME), practice)
    assert verdict(case).groups == (group_of(car, practice.hidden),)
    names = [event.payload.fault for event in case.events if isinstance(event.payload, RepairDone)]
    ohms = [event for event in case.events if isinstance(event.payload, ReadingTaken) and event.payload.unit == "ohm"]
    # The branch is measured dead before a new fuse is risked.
    assert ohms
    if "F12" in names:
        new_fuse = next(event.number for event in case.events if getattr(event.payload, "fault", "") == "F12")
        assert ohms[0].number < new_fuse


def test_nobody_complains_of_an_open_airbag_circuit_that_shows_nowhere() -> None:
    car = vehicle(AIRBAG)
    wire = next(wire.id for wire in car.wires if wire.a.part == "R40" and wire.b.part == "W3")
    assert complaint_of(car, Fault("open", wire), usual_conditions(car)) is None


def test_a_relay_load_works_with_the_controls_of_its_coil_set() -> None:
    assert str(works_when(vehicle(RELAY), "B7")) == "S7=push"
