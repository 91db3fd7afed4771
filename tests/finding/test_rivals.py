"""The rivals choose by their own rule, verify first, and come to the same end."""

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.findcases import drawn
from benchmarks.finding import fewer_than, wilson_low
from benchmarks.findplay import play
from benchmarks.rivals import POLICIES
from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.suspect import group_of
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

CAR = vehicle(LAMP)
ON = Condition((Operation("set", "S4", "on"),))
HIDDEN = Fault("open", "contact E7.1")


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(CAR)


def opened(bench: Bench) -> Case:
    complaint = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    return open_case(CAR, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)


def test_all_verify_first_and_then_go_their_own_way(bench: Bench) -> None:
    chosen = {}
    for name, policy in POLICIES.items():
        case = replace(opened(bench), chooser=policy)
        first = case.choice.step
        assert first is not None
        assert first.kind == "verify"
        after = answer(case, first.id, "dead", PRACTICE_TIME)
        assert after.chooser is policy
        assert after.choice.step is not None
        chosen[name] = after.choice.step
    case = answer(opened(bench), f"see E7 when {ON}", "dead", PRACTICE_TIME)
    way = [step.id for step in case.plan if step.kind == "measure" and not getattr(step, "drop", False)]
    place = {name: way.index(step.id) for name, step in chosen.items() if step.id in way}
    assert place["walk"] < place["half_split"]
    situation = case.course.situation
    assert chosen["cheapest"].cost_s(bench, situation) == min(
        chosen[name].cost_s(bench, situation) for name in ("walk", "half_split", "half_any", "cheapest")
    )


def test_each_finds_an_open_terminal_and_the_steps_are_counted(bench: Bench) -> None:
    for policy in POLICIES:
        truth = frozenset((group_of(CAR, HIDDEN),))
        found = play(opened(bench), PracticeVehicle(CAR, HIDDEN).reply, truth, policy)
        assert found.right, (policy, found)
        assert not found.wrong_part
        assert found.steps == len(found.trail) > 1
        assert 0.0 < found.minutes <= found.minutes_repairs
        assert found.unsafe == ()


def test_a_verdict_on_another_part_is_not_right(bench: Bench) -> None:
    found = play(opened(bench), PracticeVehicle(CAR, HIDDEN).reply, frozenset(("F12",)), "own")
    assert not found.right
    assert found.wrong_part


def test_the_same_seed_draws_the_same_cases() -> None:
    file = "examples/cases/1-blower.circuit"
    first, again = (tuple(drawn(file, 3, 2)) for _ in range(2))
    assert first == again
    assert len(first) == 2
    assert first != tuple(drawn(file, 4, 2))


def test_statistics() -> None:
    # Newcombe 1998, Statistics in Medicine 17, 857-872, table I, method 3 (from memory): 81 of 263, 0.2553 to 0.3662.
    assert wilson_low(81, 263) == pytest.approx(0.2553, abs=5e-5)
    fewer, low, high = fewer_than(np.array([[8.0, 10.0]] * 5))
    assert (fewer, low, high) == pytest.approx((0.2, 0.2, 0.2))
