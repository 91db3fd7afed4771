"""How likely what a customer tells is under each hypothesis, beyond looks: how a fuse blows, a flat battery."""

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import between_ends, needed_rows, stretches, tolerance
from loombench.diagnose.forecast import Sights
from loombench.diagnose.hypothesis import Ends
from loombench.diagnose.looks import later
from loombench.diagnose.observation import AT_ONCE, BatteryFlat, FuseSeen, LoadSeen
from loombench.diagnose.presence import now_and_then
from loombench.diagnose.suspect import part_of
from loombench.vehicle.condition import ENGINE, Condition, Operation

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]


def fuse_table(bench: Bench, seen: FuseSeen) -> FloatArray:
    """[hypotheses] probability that a fuse is found blown, and where `seen.soon` says so, that it blows like that."""
    ends = bench.hypotheses.rows_after(seen.repaired)
    sights = bench.forecast.sights(seen.condition, needed_rows(ends))
    if seen.fuse not in sights.fuses:
        return np.full(len(bench.hypotheses.members), 0.5)
    column = sights.fuses.index(seen.fuse)
    blown = sights.blown[:, column] * _soon(sights.opens_s[:, column], seen.soon)
    start, end = stretches(blown[:, None], bench.hypotheses, ends, np.zeros(1))
    found = np.nan_to_num((start + end)[:, 0] / 2.0, nan=0.5)
    # What is told of a fuse was so when it was told.
    return found if seen.told else now_and_then(bench, found)


def _soon(opens_s: FloatArray, soon: str) -> FloatArray:
    """[rows] probability that a fuse taking so long is said to blow at once, or after a time; a fuse that too much
    current does not open does neither, however blown it is."""
    if not soon:
        return np.ones_like(opens_s)
    known = opens_s > 0.0
    late = later(np.where(known, opens_s, 0.0), tolerance("at-once"))
    found = np.where(known, 1.0 - late if soon == AT_ONCE else late, 0.0)
    result: FloatArray = np.where(np.isnan(opens_s), np.nan, found)
    return result


def flat_table(bench: Bench, told: BatteryFlat) -> FloatArray:
    """[hypotheses] probability that a battery goes flat: by what it gives at rest beyond the sound vehicle, by not
    being charged with the engine running, or because the suspect is the battery itself."""
    ends = bench.hypotheses.rows_after(told.repaired)
    needed = needed_rows(ends)
    at_rest = bench.forecast.sights(told.condition, needed)
    flat = _drawn(at_rest, told.battery)
    if any(part.kind == "alternator" for part in bench.vehicle.parts.values()):
        running = bench.forecast.sights(Condition((Operation("set", ENGINE, "run"),)), needed)
        flat = 1.0 - (1.0 - flat) * (1.0 - _uncharged(running, told.battery))
    chance = np.nan_to_num(_mean(flat, bench, ends), nan=0.5)
    left = [member.left(told.repaired) for member in bench.hypotheses.members]
    parts = [[part_of(bench.vehicle, fault) for fault in faults] for faults in left]
    own = np.array([any(part is not None and part.id == told.battery for part in some) for some in parts])
    return np.where(own, np.maximum(chance, 0.5), chance)


def drain_table(bench: Bench, seen: LoadSeen) -> FloatArray:
    """[hypotheses] probability that a battery is seen to give more than it should at rest, or, with the engine running,
    not to be charged."""
    ends = bench.hypotheses.rows_after(seen.repaired)
    sights = bench.forecast.sights(seen.condition, needed_rows(ends))
    running = any(one.target == ENGINE and one.value == "run" for one in seen.condition.operations)
    drain = _uncharged(sights, seen.load) if running else _drawn(sights, seen.load)
    return np.nan_to_num(_mean(drain, bench, ends), nan=0.5)


def _mean(table: FloatArray, bench: Bench, ends: Ends) -> FloatArray:
    """[hypotheses] of [rows], between where each begins and where it ends."""
    known = bench.hypotheses
    begins, at_end = (between_ends(table[ends.low], table[ends.high], at) for at in (known.start, known.end))
    return np.asarray((begins + at_end) / 2.0)


def _drawn(sights: Sights, battery: str) -> FloatArray:
    """[rows] probability to go flat by standing current: that above the sound vehicle's, which it was built to bear."""
    draw_a = sights.draw_a[:, sights.batteries.index(battery)]
    border = tolerance("flat-draw")
    result: FloatArray = np.clip((draw_a - draw_a[0] - border.low) / (border.high - border.low), 0.0, 1.0)
    return result


def _uncharged(sights: Sights, battery: str) -> FloatArray:
    """[rows] 1 where a battery that the sound vehicle charges is not charged."""
    draw_a = sights.draw_a[:, sights.batteries.index(battery)]
    charged = draw_a[0] < -tolerance("flat-draw").high
    result: FloatArray = np.where(np.isnan(draw_a), np.nan, (charged & (draw_a > 0.0)).astype(float))
    return result
