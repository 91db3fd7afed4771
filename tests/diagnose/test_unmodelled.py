"""What nothing explains: what is expected of it, that vain repairs do not speak against it, and that it is not said
before what speaks for it has been questioned. What the mixture of readings is, `oracle` holds."""

import numpy as np
import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import open_case, see, take
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.doubt import doubted, questions
from loombench.diagnose.hypothesis import UNEXPLAINED
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import LoadSeen, MeterRead
from loombench.diagnose.unmodelled import told_before
from loombench.diagnose.verdict import NOTHING_EXPLAINS, SEARCHING, judge
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.fakes import ON as AT_REST
from tests.diagnose.fakes import at, chain
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))
MINUS = Point("G1", "-", layer="pin")


def share_of(belief: Belief, group: str) -> float:
    return float(belief.group_share[belief.hypotheses.groups.index(group)])


def test_a_repair_that_changed_nothing_does_not_speak_against_what_nothing_explains() -> None:
    dead = LoadSeen("E1", "dead", AT_REST, True)
    before = update(Belief(chain(6)), [dead])
    vain = [dead, *(LoadSeen("E1", "dead", AT_REST, True, tuple(f"L{k}" for k in range(n))) for n in (1, 2, 3))]
    after = update(Belief(chain(6)), vain)
    for left in ("L3", "L5"):
        ratio = share_of(before, UNEXPLAINED) / share_of(before, left)
        assert share_of(after, UNEXPLAINED) / share_of(after, left) == pytest.approx(ratio, rel=1e-3)
    assert after.unexplained > before.unexplained
    assert told_before(vain) == {1, 2, 3}
    # A look that is another, or the first of its kind, is a surprise as any.
    assert not told_before([dead, LoadSeen("E1", "dim", AT_REST, True, ("L0",))])
    assert not told_before([LoadSeen("E1", "dead", AT_REST), dead])
    # Nor is what is still wrong beside what a repair has put right.
    other = [LoadSeen("E2", "dead", AT_REST, True), LoadSeen("E2", "works", AT_REST, True, ("L0",))]
    assert not told_before([dead, *other, LoadSeen("E1", "dead", AT_REST, True, ("L0",))])


def test_each_reading_that_fits_a_suspect_speaks_against_what_nothing_explains() -> None:
    """Also where it is as in the sound vehicle, or a plain nothing."""
    seen: list[LoadSeen | MeterRead] = [LoadSeen("E1", "dead", AT_REST, True)]
    left = []
    for point, volts in (("P1", 12.0), ("P2", 12.05), ("P4", 0.0), ("P3", 0.01)):
        seen.append(MeterRead(at(point), volts))
        belief = update(Belief(chain(6)), seen)
        left.append(share_of(belief, UNEXPLAINED) / share_of(belief, "L2"))
    assert (np.diff(np.log(left)) < -0.5).all()


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(vehicle(LAMP))


def opened(bench: Bench) -> Case:
    told = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(bench.vehicle, "0" * 64, told, MemoryStore(), "c", TIME, bench=bench)
    return see(case, "E7", ON, "dead", TIME)


def test_nothing_is_said_to_explain_it_before_the_reading_that_says_so_has_been_questioned(bench: Bench) -> None:
    """Half the volts the wrong way round, at one point to either of two others; then elsewhere too."""
    case = opened(bench)
    for black in (MINUS, Point("E7", "2")):
        case = take(case, Setup(ON, Point("E7", "1"), black), -6.0, TIME)
    assert judge(case.belief, True, True).state == NOTHING_EXPLAINS
    assert case.verdict.state == SEARCHING
    assert case.choice.reason == "doubted"
    case = take(case, Setup(ON, Point("F12", "out"), MINUS), -6.0, TIME)
    assert case.verdict.state == NOTHING_EXPLAINS


def test_both_ends_of_a_reading_between_two_points_are_questioned(bench: Bench) -> None:
    drop = Setup(ON, Point("E7", "1"), Point("E7", "2"))
    case = take(opened(bench), drop, -6.0, TIME)
    asked = []
    for _ in range(4):
        if drop not in [one.setup for one in doubted(case.belief)]:
            break
        step = questions(case.belief, case.plan)[0]
        assert isinstance(step, Measure)
        asked.append(step.setup)
        case = take(case, step.setup, 0.0, TIME)
    touched = {point for setup in asked for point in (setup.red, setup.black)}
    assert {drop.red, drop.black} <= touched
    assert drop not in asked
