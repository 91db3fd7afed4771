"""The belief on a real vehicle against joint enumeration: every hypothesis with every combination of right and wrong
observations, on what plain prediction says of each row; and no order of entry changes it."""

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.app.case import bench_for
from loombench.circuit.lower import lower
from loombench.circuit.observe import observe
from loombench.circuit.predict import predict
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.hypothesis import UNEXPLAINED
from loombench.diagnose.observation import FuseSeen, LoadSeen, MeterRead, Observation, PositionSeen
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose import oracle
from tests.diagnose.vehicles import vehicle

CAR = vehicle(
    """loombench 1
vehicle "Two lamps on one switch" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 95Ah
fuse F1 15A
switch S1 off | on: 1=2
lamp E1 12V 55W
lamp E2 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 4mm2 0.6m) F1 (RD 1.5mm2 1m) S1 (GY 1.5mm2 2m) SP1
SP1 (GY 1.5mm2 1m) E1 (BN 1.5mm2 0.5m) W1/b
SP1 (GY 1.5mm2 1m) E2 (BN 1.5mm2 0.5m) W1/c
"""
)
BENCH = bench_for(CAR)
KNOWN = BENCH.hypotheses
ON = Condition((Operation("set", "S1", "on"),))
MINUS = Point("G1", "-", layer="pin")
SETUPS = (
    Setup(ON, Point("F1", "out"), MINUS),
    Setup(ON, Point("S1", "2"), MINUS),
    Setup(ON, Point("E1", "1"), MINUS),
    Setup(ON, Point("E1", "2"), MINUS),
    Setup(ON, Point("S1", "1"), Point("S1", "2")),
)


@pytest.fixture(name="plain", scope="module")
def _plain() -> tuple[np.ndarray, np.ndarray]:
    """[rows, set-ups] lowest and highest readings, each row lowered and solved anew."""
    found = predict(CAR, SETUPS, KNOWN.faults, lower)
    return found.low, found.high


@pytest.fixture(name="lit", scope="module")
def _lit() -> np.ndarray:
    """[rows] share of its sound volts that E1 has."""
    seen = observe(CAR, ON, KNOWN.faults, lower)
    shares = np.array([next(load.share for load in one.loads if load.id == "E1") for one in seen])
    return np.asarray(shares / shares[0])


@pytest.fixture(name="steady", scope="module")
def _steady() -> np.ndarray:
    """[hypotheses] whether the same fuses are blown at both ends of a cell: where not, what is read jumps in between,
    and is not judged here (`test_jumps.py` is about that)."""
    blown = [frozenset((*one.blown, *one.may_blow)) for one in observe(CAR, ON, KNOWN.faults, lower)]
    return np.array([blown[one.low] == blown[one.high] for one in KNOWN.members])


def told(setup: int, value: float, plain: tuple[np.ndarray, np.ndarray]) -> oracle.Read:
    """A reading with what each hypothesis has from end to end of its part of a cell."""
    low, high = [], []
    for one in KNOWN.members:
        ends = [(plain[0][row, setup], plain[1][row, setup]) for row in (one.low, one.high)]
        at = [tuple(ends[0][k] + (ends[1][k] - ends[0][k]) * where for k in (0, 1)) for where in (one.start, one.end)]
        least, most = min(min(pair) for pair in at), max(max(pair) for pair in at)
        low.append(float(least))
        high.append(float(most) if most - least > 1e-6 else float(least))
    return oracle.Read(value, tuple(low), tuple(high))


def enumerated(seen: list[oracle.Read | oracle.Saw]) -> np.ndarray:
    """The posterior by the oracle, with its slow density worked out once for each reading and hypothesis."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(oracle, "reading_density", cache(oracle.reading_density))
        unexplained = [one.group for one in KNOWN.members].index(UNEXPLAINED)
        return np.array(oracle.posterior([one.weight for one in KNOWN.members], seen, unexplained, 12.0))


def shown(row: int, plain: tuple[np.ndarray, np.ndarray], setup: int, off: float) -> float:
    return round(float(plain[0][row, setup]) * (1.0 + off), 2)


@pytest.mark.parametrize("seed", range(5))
def test_readings_are_weighed_as_joint_enumeration_weighs_them(
    seed: int, plain: tuple[np.ndarray, np.ndarray], steady: np.ndarray
) -> None:
    draw = np.random.default_rng(seed)
    row = int(draw.integers(1, len(KNOWN.faults)))
    chosen = [int(one) for one in draw.choice(len(SETUPS), 3, replace=False)]
    values = [shown(row, plain, setup, float(draw.normal(0.0, 0.008))) for setup in chosen]
    if seed % 2:
        values[0] = round(float(draw.uniform(0.0, 13.0)), 2)
    belief = update(Belief(BENCH), [MeterRead(SETUPS[k], value) for k, value in zip(chosen, values, strict=True)])
    expected = enumerated([told(k, value, plain) for k, value in zip(chosen, values, strict=True)])
    ours, theirs = belief.share[steady], expected[steady]
    np.testing.assert_allclose(ours / ours.sum(), theirs / theirs.sum(), rtol=0.05, atol=1e-5)
    assert steady.mean() > 0.9


@pytest.mark.parametrize("verified", [False, True])
@pytest.mark.parametrize("word", ["dead", "dim", "works"])
def test_sights_and_readings_together(
    word: str, verified: bool, plain: tuple[np.ndarray, np.ndarray], lit: np.ndarray
) -> None:
    """Among hypotheses that are one state and no cell: how sights go between the ends of a cell is not judged."""
    value = 12.2 if word == "works" else 0.03
    seen: list[Observation] = [LoadSeen("E1", word, ON, verified), MeterRead(SETUPS[2], value)]
    belief = update(Belief(BENCH), seen)
    share = tuple(float(lit[one.low]) for one in KNOWN.members)
    expected = enumerated([oracle.Saw(word, share, verified), told(2, value, plain)])
    single = np.array([one.low == one.high for one in KNOWN.members])
    ours, theirs = belief.share[single], expected[single]
    np.testing.assert_allclose(ours / ours.sum(), theirs / theirs.sum(), rtol=0.05, atol=1e-6)
    assert single.sum() > 40


OBSERVED: tuple[Observation, ...] = (
    LoadSeen("E1", "dead", ON),
    LoadSeen("E1", "dead", ON, verified=True),
    LoadSeen("E2", "works", ON, verified=True),
    MeterRead(SETUPS[2], 12.31),
    MeterRead(SETUPS[3], 12.4),
    FuseSeen("F1", False, ON),
    PositionSeen("S1", True),
)


@settings(max_examples=25, deadline=None)
@given(st.permutations(OBSERVED), st.lists(st.booleans(), min_size=len(OBSERVED), max_size=len(OBSERVED)))
def test_belief_does_not_hang_on_the_order_of_entry(order: list[Observation], together: list[bool]) -> None:
    """Entered one by one or several at a time, in any order."""
    expected = update(Belief(BENCH), OBSERVED)
    belief, waiting = Belief(BENCH), list[Observation]()
    for one, wait in zip(order, together, strict=True):
        waiting.append(one)
        if not wait:
            belief, waiting = update(belief, waiting), []
    belief = update(belief, waiting)
    np.testing.assert_allclose(belief.share, expected.share, rtol=1e-9)
    assert math.isclose(belief.unexplained, expected.unexplained, rel_tol=1e-9)
