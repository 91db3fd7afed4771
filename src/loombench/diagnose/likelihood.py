"""How likely an observation is under each hypothesis.

A reading is right up to the meter and the parts, or wrong altogether with a small share: density
(1 - e) N(predicted, error) + e / range. What is seen on purpose is wrong far more rarely than a reading, or the far
larger number of innocent suspects would outvote it. Nothing is ever impossible. The hypothesis that nothing explains
the case expects anything alike.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.codes import WAYS, code_likelihood
from loombench.diagnose.excerpt import excerpt
from loombench.diagnose.expected import (
    RESISTIVE,
    SPAN,
    Expected,
    decades,
    expected,
    interval_table,
    needed_rows,
    on_scale,
    scale_of,
    supplied,
    tolerance,
)
from loombench.diagnose.history import history_weights
from loombench.diagnose.hypothesis import Hypotheses, halves
from loombench.diagnose.looks import chance_of, glow_chance, look_table
from loombench.diagnose.observation import (
    DEAD,
    DIM,
    GLOWS,
    PLAIN,
    SCANNED,
    SEEN,
    WORKS,
    BatteryFlat,
    CodeSeen,
    FuseSeen,
    GripFelt,
    InputSeen,
    LoadSeen,
    MeterBand,
    MeterRead,
    Observation,
    PositionSeen,
    Told,
)
from loombench.diagnose.presence import now_and_then
from loombench.diagnose.smear import density
from loombench.diagnose.told import drain_table, flat_table, fuse_table
from loombench.vehicle.condition import PROVOKING, Condition

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
LEAST_SHARE = 1e-6
"""A band of readings outside the meter's scale counts as so much of it."""
SAID = (1.0, 0.0, -1.0)
"""What `circuit.meter` gives for each of `SCANNED`."""


def log_likelihood(observation: Observation, bench: Bench, used: BoolArray | None = None) -> FloatArray:
    """[hypotheses] log likelihood of one observation; those not `used` (None: all are) have that of a wrong one. What
    is told of the history weighs all of them."""
    some = excerpt(bench, None if isinstance(observation, Told) else used)
    return some.over(np.log(_likelihood(observation, some.bench)), log_wrong(observation, bench))


def _likelihood(observation: Observation, bench: Bench) -> FloatArray:
    match observation:
        case MeterRead():
            return _fits(observation, expected(bench, (observation.setup,), observation.repaired), bench)[:, 0]
        case LoadSeen():
            wrong = tolerance("verified-wrong" if observation.verified else "sight-wrong").value
            return _mixed(_look_chance(bench, observation), wrong, len(PLAIN), bench.hypotheses)
        case FuseSeen():
            blown = fuse_table(bench, observation)
            seen = blown if observation.blown else 1.0 - blown
            return _mixed(seen, tolerance("look-wrong").value, 2, bench.hypotheses)
        case PositionSeen():
            as_believed = position_table(bench, observation)
            seen = as_believed if observation.as_believed else 1.0 - as_believed
            return _mixed(seen, tolerance("look-wrong").value, 2, bench.hypotheses)
        case GripFelt():
            firm = grip_table(bench, observation)
            felt = firm if observation.firm else 1.0 - firm
            return _mixed(felt, tolerance("grip-wrong").value, 2, bench.hypotheses)
        case InputSeen():
            said = input_table(bench, observation)[:, SCANNED.index(observation.seen)]
            return _mixed(said, tolerance("look-wrong").value, len(SCANNED), bench.hypotheses)
        case BatteryFlat():
            return _mixed(flat_table(bench, observation), tolerance("sight-wrong").value, 2, bench.hypotheses)
        case CodeSeen():
            return code_likelihood(bench, observation)
        case Told():
            return history_weights(bench, observation)


def log_wrong(observation: Observation, bench: Bench) -> float:
    """The log of `wrong_likelihood`."""
    return float(np.log(wrong_likelihood(observation, bench)))


def wrong_likelihood(observation: Observation, bench: Bench) -> float:
    """The part of every hypothesis' likelihood that stands for the observation being wrong altogether."""
    match observation:
        case MeterRead():
            ohms = observation.setup.meter in RESISTIVE
            span = decades() if ohms else SPAN * bench.nominal_v
            wrong = bench.outlier_share
            # Of a band it is a probability, of a reading a density.
            return wrong * _even(observation, bench.nominal_v) if isinstance(observation, MeterBand) else wrong / span
        case LoadSeen():
            return tolerance("verified-wrong" if observation.verified else "sight-wrong").value / len(PLAIN)
        case FuseSeen() | PositionSeen():
            return tolerance("look-wrong").value / 2.0
        case GripFelt():
            return tolerance("grip-wrong").value / 2.0
        case InputSeen():
            return tolerance("look-wrong").value / len(SCANNED)
        case BatteryFlat():
            return tolerance("sight-wrong").value / 2.0
        case CodeSeen():
            return tolerance("code-wrong").value / WAYS
        case Told():
            # It speaks against nothing.
            return float(np.finfo(np.float64).tiny)


def _mixed(seen: FloatArray, wrong: float, ways: int, hypotheses: Hypotheses) -> FloatArray:
    result: FloatArray = np.where(hypotheses.unexplained, 1.0 / ways, (1.0 - wrong) * seen + wrong / ways)
    return result


def at_supplies(read: MeterRead, bench: Bench, supplies: Sequence[float], used: BoolArray | None = None) -> FloatArray:
    """[supplies, hypotheses] log likelihood of a reading with each share of the supply; those not `used` (None: all
    are) have that of a wrong one."""
    ohms = np.array([read.setup.meter in RESISTIVE])
    some = excerpt(replace(bench, supply=None), used)
    wanted = expected(some.bench, (read.setup,), read.repaired)
    fits = _fits(read, supplied(wanted, ohms, np.array(supplies)[None, :]), some.bench)
    # Adding up goes along the hypotheses.
    return np.ascontiguousarray(some.over(np.log(fits), log_wrong(read, bench)).T)


def _even(band: MeterBand, nominal_v: float) -> float:
    """The share of the scale that a band covers; never nothing."""
    floor, span = scale_of(band.setup, nominal_v)
    low, high = (min(max((edge - floor) / span, 0.0), 1.0) for edge in _edges(band))
    return max(high - low, LEAST_SHARE)


def _edges(band: MeterBand) -> tuple[float, float]:
    """The ends of a band on the scale of its set-up."""
    low, high = (edge if math.isinf(edge) else on_scale(band.setup, edge) for edge in (band.low, band.high))
    return low, high


def _columns(wanted: Expected) -> list[Expected]:
    """What is expected of one set-up, column by column."""
    parts = zip(wanted.low.T, wanted.high.T, wanted.error.T, strict=True)
    return [replace(wanted, low=a[:, None], high=b[:, None], error=error[:, None]) for a, b, error in parts]


def _within(band: MeterBand, wanted: Expected, bench: Bench) -> FloatArray:
    """As `_fits`."""
    edges = np.array(_edges(band))
    finite, part = edges[np.isfinite(edges)], 1 if np.isfinite(edges[0]) else 0
    tables = [interval_table(one, 0, finite, bench.outlier_share) for one in _columns(wanted)]
    inside = np.stack([table[:, part] for table in tables], axis=1)
    wrong = wrong_likelihood(band, bench)
    return now_and_then(bench, np.maximum(inside, wrong))


def _fits(read: MeterRead, wanted: Expected, bench: Bench) -> FloatArray:
    """[hypotheses, columns] how likely a reading is by each column of what is expected of its set-up."""
    if isinstance(read, MeterBand):
        return _within(read, wanted, bench)
    value = np.array([on_scale(read.setup, read.value)])
    wrong = bench.outlier_share
    right = density(value, wanted.low, wanted.high, wanted.error)
    mixed = np.where(wanted.anything, 1.0 / wanted.span, (1.0 - wrong) * right + wrong / wanted.span)
    return now_and_then(bench, mixed)


def _look_chance(bench: Bench, seen: LoadSeen) -> FloatArray:
    """[hypotheses] probability of the word a load was given."""
    chance = chance_of(seen.seen, load_table(bench, seen))
    if seen.seen != GLOWS:
        return chance
    ends = bench.hypotheses.rows_after(seen.repaired)
    sights = bench.forecast.sights(seen.condition, needed_rows(ends))
    if seen.load not in sights.loads:
        return chance
    return np.maximum(chance, glow_chance(sights, seen.load, bench.hypotheses, ends, bench.vehicle))


def load_table(bench: Bench, seen: LoadSeen) -> FloatArray:
    """[hypotheses, SEEN] probability of each look of a load; even where nothing is forecast for it.

    What comes and goes need not do so when its spot is moved.
    """
    spots = tuple(operation.target for operation in seen.condition.operations if operation.verb in PROVOKING)
    if spots:
        still = tuple(operation for operation in seen.condition.operations if operation.verb not in PROVOKING)
        share = tolerance("provoked").value
        beside = _of_many_spots(bench, replace(seen, condition=Condition(still)))
        moved = share * _of_many_spots(bench, seen) + (1.0 - share) * beside
    else:
        moved = _load_table(bench, seen)
    # What is told, not seen on purpose, was there when it was seen.
    return now_and_then(bench, moved, spots) if seen.verified else moved


def _of_many_spots(bench: Bench, seen: LoadSeen) -> FloatArray:
    """As `_load_table`, worked out once where one spot after the other is moved and the forecast has no other looks."""
    sights = bench.forecast.sights(seen.condition, needed_rows(bench.hypotheses.rows_after(seen.repaired)))
    known = bench.looks.of(
        bench.hypotheses, sights, bench.forecast.taken_back(), bool(seen.condition.pause), str(seen.repaired)
    )
    if seen.load not in known:
        known[seen.load] = _load_table(bench, seen)
    return known[seen.load]


def _load_table(bench: Bench, seen: LoadSeen) -> FloatArray:
    ends = bench.hypotheses.rows_after(seen.repaired)
    sights = bench.forecast.sights(seen.condition, needed_rows(ends))
    if seen.load in sights.batteries:
        much = drain_table(bench, seen)
        return np.stack([{DIM: much, WORKS: 1.0 - much}.get(word, 0.0 * much) for word in SEEN], axis=1)
    if seen.load not in sights.loads:
        even = np.array([1.0 / len(PLAIN) if word in PLAIN else 0.0 for word in SEEN])
        return np.tile(even, (len(bench.hypotheses.members), 1))
    return look_table(sights, seen.load, bench.hypotheses, ends, bool(seen.condition.pause))


def sound_look(bench: Bench, load: str, condition: Condition) -> str:
    """How a load is in the sound vehicle: dead, dim or works; works where nothing is forecast for it."""
    sights = bench.forecast.sights(condition, np.zeros(1, dtype=np.intp))
    if load not in sights.loads:
        return WORKS
    share = abs(float(sights.share[0, sights.loads.index(load)]))
    return WORKS if share > tolerance("dead-below").value else DEAD


def position_table(bench: Bench, seen: PositionSeen) -> FloatArray:
    """[hypotheses] probability that the control is in the position that the condition believes.

    One that is stuck may have its knob where its contacts are, or not.
    """

    def as_believed(fault: Fault) -> float:
        if fault.target != seen.control:
            return 1.0
        return {"position": 0.0, "stuck": 1.0 - tolerance("stuck-shows").value}.get(fault.mode, 1.0)

    chance = np.ones(len(bench.hypotheses.members))
    for number in bench.hypotheses.by_target.get(seen.control, ()):
        left = bench.hypotheses.members[number].left(seen.repaired)
        chance[number] = math.prod(as_believed(fault) for fault in left)
    return chance


def grip_table(bench: Bench, felt: GripFelt) -> FloatArray:
    """[hypotheses] probability that a contact grips: for certain where it is sound, less where it is the suspect."""
    groups = bench.hypotheses.groups
    suspect = np.array([felt.group in halves(group) for group in groups])[bench.hypotheses.group]
    suspect &= felt.group not in felt.repaired
    return np.where(suspect, 1.0 - tolerance("grip-shows").value, 1.0)


def input_table(bench: Bench, seen: InputSeen) -> FloatArray:
    """[hypotheses, 3] probability that a module says on, off or nothing of an input; even where nothing is forecast."""
    ends = bench.hypotheses.rows_after(seen.repaired)
    readings = bench.forecast.readings((seen.setup,), needed_rows(ends))
    low, high = readings.low[:, 0], readings.high[:, 0]
    table = np.stack([np.isclose(low, said) / 2.0 + np.isclose(high, said) / 2.0 for said in SAID], axis=1)
    table = np.where(np.isnan(low + high)[:, None], 1.0 / len(SCANNED), table)
    return now_and_then(bench, np.asarray((table[ends.low] + table[ends.high]) / 2.0))
