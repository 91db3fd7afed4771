"""How likely an observation is under each hypothesis.

A reading is right up to the meter and the parts, or wrong altogether with a small share: density
(1 - e) N(predicted, error) + e / range. What is seen on purpose is wrong far more rarely than a reading, or the far
larger number of innocent suspects would outvote it. Nothing is ever impossible. The hypothesis that nothing explains
the case expects anything alike.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import Hypotheses
from loombench.diagnose.observation import (
    DEAD,
    DIM,
    SEEN,
    WORKS,
    FuseSeen,
    LoadSeen,
    MeterRead,
    Observation,
    PositionSeen,
)  # fmt: skip
from loombench.diagnose.smear import below, density
from loombench.facts.typical import Typical, typical
from loombench.vehicle.condition import Setup

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.intp]

OPEN_OHM = 1e8
"""An ohmmeter shows its end of range from here on."""
RESISTIVE = ("ohmmeter", "buzzer")
SPAN = 1.5
"""A wrong reading is taken as even over this many times the nominal volts, up to 1.25 times."""


def tolerance(name: str) -> Typical:
    """A figure of `reading_tolerance.csv`."""
    return typical("reading_tolerance", name)


@dataclass(frozen=True, eq=False)
class Expected:
    """[hypotheses, setups] what each hypothesis expects on the scale readings are compared on, and the error there.

    Volts are compared as they are, ohms as decades. `anything` is True where a hypothesis has no answer.
    """

    low: FloatArray
    high: FloatArray
    error: FloatArray
    anything: npt.NDArray[np.bool_]
    span: FloatArray
    floor: FloatArray
    """[setups] where the scale begins; it ends `span` further on."""


def on_scale(setup: Setup, value: float) -> float:
    """A reading on the scale it is compared on."""
    if setup.meter in RESISTIVE:
        return float(np.log10(min(max(value, 0.0), OPEN_OHM) + tolerance("ohms-floor").value))
    return value


def expected(
    bench: Bench, setups: tuple[Setup, ...], repaired: tuple[str, ...], used: BoolArray | None = None
) -> Expected:
    """What each hypothesis expects under each set-up, after the repair of some groups.

    Only the hypotheses `used` [hypotheses] have to be right; None = all.
    """
    hypotheses, nominal_v = bench.hypotheses, bench.nominal_v
    one, two = rows(hypotheses, repaired)
    readings = bench.forecast.readings(setups, _needed(one, two, used))
    ohms = np.array([setup.meter in RESISTIVE for setup in setups])
    ends = [
        _between(table[one], table[two], at)
        for table in (_scaled(readings.low, ohms), _scaled(readings.high, ohms))
        for at in (hypotheses.start, hypotheses.end)
    ]
    low, high = np.minimum.reduce(ends), np.maximum.reduce(ends)
    anything = np.isnan(low) | np.isnan(high) | hypotheses.unexplained[:, None]
    low, high = np.where(anything, 0.0, low), np.where(anything, 0.0, high)
    share, floor_v = tolerance("volts-share").value, tolerance("volts-floor").value
    error = np.hypot(floor_v, share * np.maximum(np.abs(low), np.abs(high)))
    lead = tolerance("ohms-floor").value
    error = np.where(ohms, tolerance("ohms-decades").value, error)
    span = np.where(ohms, _decades(), SPAN * nominal_v)
    floor = np.where(ohms, np.log10(lead), -(SPAN - 1.25) * nominal_v)
    return Expected(low, high, error, anything, span, floor)


def _needed(one: IntArray, two: IntArray, used: BoolArray | None) -> IntArray | None:
    return None if used is None else np.unique(np.concatenate([[0], one[used], two[used]]))


def _scaled(values: FloatArray, ohms: npt.NDArray[np.bool_]) -> FloatArray:
    result: FloatArray = np.where(
        ohms, np.log10(np.clip(values, 0.0, OPEN_OHM) + tolerance("ohms-floor").value), values
    )
    return result


def _between(low: FloatArray, high: FloatArray, at: FloatArray) -> FloatArray:
    """[hypotheses, ...] between the values at the two ends of each cell."""
    share = at.reshape((-1,) + (1,) * (low.ndim - 1))
    result: FloatArray = low + share * (high - low)
    return result


def rows(hypotheses: Hypotheses, repaired: tuple[str, ...]) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """The rows of the two ends of each hypothesis; those of the sound vehicle where it has been put right."""
    if not repaired:
        return hypotheses.low, hypotheses.high
    cured = hypotheses.repaired(repaired)
    return np.where(cured, 0, hypotheses.low), np.where(cured, 0, hypotheses.high)


def log_likelihood(observation: Observation, bench: Bench) -> FloatArray:
    """[hypotheses] log likelihood of one observation."""
    match observation:
        case MeterRead():
            likelihood = _reading(observation, bench)
        case LoadSeen():
            wrong = tolerance("verified-wrong" if observation.verified else "sight-wrong").value
            table = load_table(bench, observation)
            likelihood = _mixed(table[:, SEEN.index(observation.seen)], wrong, len(SEEN), bench.hypotheses)
        case FuseSeen():
            blown = fuse_table(bench, observation)
            seen = blown if observation.blown else 1.0 - blown
            likelihood = _mixed(seen, tolerance("look-wrong").value, 2, bench.hypotheses)
        case PositionSeen():
            as_believed = position_table(bench, observation)
            seen = as_believed if observation.as_believed else 1.0 - as_believed
            likelihood = _mixed(seen, tolerance("look-wrong").value, 2, bench.hypotheses)
    result: FloatArray = np.log(likelihood)
    return result


def wrong_likelihood(observation: Observation, nominal_v: float) -> float:
    """The part of every hypothesis' likelihood that stands for the observation being wrong altogether."""
    match observation:
        case MeterRead():
            ohms = observation.setup.meter in RESISTIVE
            span = _decades() if ohms else SPAN * nominal_v
            return tolerance("volts-wrong").value / span
        case LoadSeen():
            return tolerance("verified-wrong" if observation.verified else "sight-wrong").value / len(SEEN)
        case FuseSeen() | PositionSeen():
            return tolerance("look-wrong").value / 2.0


def _decades() -> float:
    return float(np.log10(OPEN_OHM) - np.log10(tolerance("ohms-floor").value))


def _mixed(seen: FloatArray, wrong: float, ways: int, hypotheses: Hypotheses) -> FloatArray:
    result: FloatArray = np.where(hypotheses.unexplained, 1.0 / ways, (1.0 - wrong) * seen + wrong / ways)
    return result


def _reading(read: MeterRead, bench: Bench) -> FloatArray:
    wanted = expected(bench, (read.setup,), read.repaired)
    value = np.array([on_scale(read.setup, read.value)])
    wrong = tolerance("volts-wrong").value
    right = density(value, wanted.low, wanted.high, wanted.error)
    mixed = np.where(wanted.anything, 1.0 / wanted.span, (1.0 - wrong) * right + wrong / wanted.span)
    result: FloatArray = mixed[:, 0]
    return result


def interval_table(wanted: Expected, column: int, edges: FloatArray) -> FloatArray:
    """[hypotheses, len(edges) + 1] probability that a reading falls between the edges, in the column of a set-up."""
    low, high = wanted.low[:, column, None], wanted.high[:, column, None]
    inner = below(edges[None, :], low, high, wanted.error[:, column, None])
    start, span = wanted.floor[column], wanted.span[column]
    even = np.clip((edges - start) / span, 0.0, 1.0)[None, :]
    wrong = tolerance("volts-wrong").value
    mixed = np.where(wanted.anything[:, column, None], even, (1.0 - wrong) * inner + wrong * even)
    ends = np.ones((len(mixed), 1))
    steps = np.diff(np.hstack([0.0 * ends, mixed, ends]), axis=1)
    result: FloatArray = np.maximum(steps, 0.0)
    return result


def load_table(bench: Bench, seen: LoadSeen, used: BoolArray | None = None) -> FloatArray:
    """[hypotheses, 3] probability to see a load dead, dim or working; even where nothing is forecast for it."""
    one, two = rows(bench.hypotheses, seen.repaired)
    sights = bench.forecast.sights(seen.condition, _needed(one, two, used))
    if seen.load not in sights.loads:
        return np.full((len(bench.hypotheses.members), len(SEEN)), 1.0 / len(SEEN))
    share = np.abs(sights.share[:, sights.loads.index(seen.load)])
    sound = share[0]
    # A load is judged against how it is when all is well, not against its rating.
    share = share / sound if sound > tolerance("dead-below").value else share
    ends = [_between(share[one], share[two], at) for at in (bench.hypotheses.start, bench.hypotheses.end)]
    return np.asarray((look_of(ends[0]) + look_of(ends[1])) / 2.0)


def look_of(share: FloatArray) -> FloatArray:
    """[n, 3] how a load with this share of its volts is called: dead, dim or works, with soft borders."""
    dead, full = tolerance("dead-below"), tolerance("full-above")
    clean = np.nan_to_num(share, nan=0.0)
    lit = np.clip((clean - dead.low) / (dead.high - dead.low), 0.0, 1.0)
    bright = np.clip((clean - full.low) / (full.high - full.low), 0.0, 1.0)
    table = np.zeros((len(clean), len(SEEN)))
    table[:, SEEN.index(DEAD)] = 1.0 - lit
    table[:, SEEN.index(DIM)] = lit - np.minimum(lit, bright)
    table[:, SEEN.index(WORKS)] = np.minimum(lit, bright)
    return table


def fuse_table(bench: Bench, seen: FuseSeen, used: BoolArray | None = None) -> FloatArray:
    """[hypotheses] probability that a fuse is found blown."""
    one, two = rows(bench.hypotheses, seen.repaired)
    sights = bench.forecast.sights(seen.condition, _needed(one, two, used))
    if seen.fuse not in sights.fuses:
        return np.full(len(bench.hypotheses.members), 0.5)
    blown = sights.blown[:, sights.fuses.index(seen.fuse)]
    ends = [_between(blown[one], blown[two], at) for at in (bench.hypotheses.start, bench.hypotheses.end)]
    return np.nan_to_num((ends[0] + ends[1]) / 2.0, nan=0.5)


def position_table(bench: Bench, seen: PositionSeen) -> FloatArray:
    """[hypotheses] 1 where the control is in the position that the condition believes, 0 where not."""

    def as_believed(fault: Fault | None) -> bool:
        return fault is None or fault.mode != "position" or fault.target != seen.control

    right = np.array([as_believed(member.fault) for member in bench.hypotheses.members], dtype=float)
    return np.where(bench.hypotheses.repaired(seen.repaired), 1.0, right)
