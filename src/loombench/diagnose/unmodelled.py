"""What is seen and read where nothing in the model explains the vehicle.

Nobody knows what that is, so it cannot be computed. But such a vehicle is not one in which everything reads alike: most
of it is sound, and where it is not a wire is mostly dead or has all the volts. So what nothing explains is a part even
over all that there is to see, a part what the sound vehicle shows, and of readings nothing and all the volts. It has to
stay well below what a suspect expects that fits: each reading that fits speaks against it.

Where a repair changed nothing the look after it tells of it what the look before it told: it is no second surprise.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import RESISTIVE, error_of, on_scale, tolerance
from loombench.diagnose.hypothesis import Hypotheses
from loombench.diagnose.observation import LoadSeen, Observation
from loombench.diagnose.smear import density, normal_cdf
from loombench.vehicle.condition import Setup

FloatArray = npt.NDArray[np.float64]

EVEN = 0.8
"""The share that is even over all there is to see (estimate)."""
AS_SOUND = 0.5
"""Of the rest of a reading the share that is as in the sound vehicle (estimate); the others are nothing, or all."""


def of_looks(table: FloatArray, known: Hypotheses, ways: int) -> FloatArray:
    """[hypotheses] probabilities of what was seen, one of so many `ways`, with that of what nothing explains put in."""
    even = 1.0 / ways
    seen = _sound(table, known, even)
    result: FloatArray = np.where(known.unexplained, EVEN * even + (1.0 - EVEN) * seen, table)
    return result


def of_reading(table: FloatArray, bench: Bench, setup: Setup, value: float, span: float) -> FloatArray:
    """[hypotheses] densities of a reading `value` on the scale of its set-up, which is `span` wide, with that of what
    nothing explains put in."""
    even = 1.0 / span
    if np.isnan(value):
        return np.where(bench.hypotheses.unexplained, even, table)
    sound = _sound(table, bench.hypotheses, even)
    at = np.array([value])
    usual = sum(share * float(density(at, middle, middle, error)[0]) for middle, error, share in _usual(bench, setup))
    return _mixed(table, bench.hypotheses, even, sound, usual)


def of_band(
    table: FloatArray, bench: Bench, setup: Setup, band: tuple[float, float], even: float
) -> FloatArray:  # fmt: skip
    """[hypotheses] probabilities of a reading in a band, of which `even` is the share of the scale, in the same way."""
    sound = _sound(table, bench.hypotheses, even)
    edges = np.array(band)
    usual = 0.0
    for middle, error, share in _usual(bench, setup):
        low, high = normal_cdf((edges - middle) / error)
        usual += share * float(high - low)
    return _mixed(table, bench.hypotheses, even, sound, usual)


def _sound(table: FloatArray, known: Hypotheses, even: float) -> float:
    """What the sound vehicle has of a table; `even` where it is none of the hypotheses."""
    found = table[known.sound]
    return float(found[0]) if len(found) else even


def _mixed(table: FloatArray, known: Hypotheses, even: float, sound: float, usual: float) -> FloatArray:
    own = EVEN * even + (1.0 - EVEN) * (AS_SOUND * sound + (1.0 - AS_SOUND) * usual)
    result: FloatArray = np.where(known.unexplained, own, table)
    return result


def _usual(bench: Bench, setup: Setup) -> tuple[tuple[FloatArray, FloatArray, float], ...]:
    """Nothing, and all the volts either way round or an open circuit: middle, error, share."""
    least, _ = error_of(setup)
    all_v = bench.nominal_v
    if setup.meter in RESISTIVE:
        error = tolerance("ohms-decades").value
        some = [(on_scale(setup, 0.0), error, 0.5), (on_scale(setup, np.inf), error, 0.5)]
    else:
        spread = tolerance("supply-share").value * all_v
        some = [(0.0, least, 0.5), (all_v, spread, 0.25), (-all_v, spread, 0.25)]
    return tuple((np.array([middle]), np.array([error]), share) for middle, error, share in some)


def told_before(observations: Sequence[Observation]) -> frozenset[int]:
    """The looks, by number, at which a load was as it had been before something was put right that changed no look."""
    looks = [(number, one) for number, one in enumerate(observations) if isinstance(one, LoadSeen) and one.verified]
    again = [
        (one, before)
        for _, one in looks
        for _, before in looks
        if (one.load, one.condition) == (before.load, before.condition) and set(before.repaired) < set(one.repaired)
    ]
    changed = [set(one.repaired) for one, before in again if one.seen != before.seen]
    same = [one for one, before in again if one.seen == before.seen]
    return frozenset(
        number
        for number, one in looks
        if one in same and not any(repaired <= set(one.repaired) for repaired in changed)
    )
