"""A fault that comes and goes: what is looked at may be as it should be although the fault is there, so that one good
reading clears nobody. What is seen wrong counts in full."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import tolerance

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]


def often() -> float:
    """The share of looks at which a fault that comes and goes is there."""
    return tolerance("comes-and-goes").value


def now_and_then(bench: Bench, table: FloatArray, spots: Sequence[str] = ()) -> FloatArray:
    """[hypotheses, ...] probabilities, or densities, of what may be seen, mixed with those of the sound vehicle for the
    times at which the fault is away. `spots` are parts and wires that are being moved: a fault there is there more
    often."""
    if bench.presence >= 1.0:
        return table
    there = np.full(len(table), bench.presence)
    if spots:
        moved = np.any([_at(bench, spot) for spot in spots], axis=0)
        there[moved] = max(tolerance("provoked").value, bench.presence)
    share = there.reshape((-1,) + (1,) * (table.ndim - 1))
    result: FloatArray = share * table + (1.0 - share) * table[bench.hypotheses.sound]
    return result


def _at(bench: Bench, spot: str) -> BoolArray:
    """As `_is_at`: gone through once for all, as one step after the other asks it of others of them."""
    if bench.hypotheses.of_all is None:
        return bench.once(_is_at, spot)
    every, numbers = bench.hypotheses.of_all
    return replace(bench, hypotheses=every, supply=None, first=None).once(_is_at, spot)[numbers]


def _is_at(bench: Bench, spot: str) -> BoolArray:
    """[hypotheses] True for those with a fault at a spot."""
    members = bench.hypotheses.members
    return np.array([any(spot in bench.named_at(fault) for fault in one.faults) for one in members])
