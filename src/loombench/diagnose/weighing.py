"""Weighing hypotheses by observations, as far as each one matters.

An observation in a condition that nobody has computed yet is dear, and most hypotheses are out long before. So the
observations are gone through in an order of their own (what is told and seen first), and a hypothesis that has fallen
`MARGIN` behind the best is not weighed by the rest: these count as wrong observations for it. At the end each is held
to what it could have had at best. One that could have come within the margin after all, because the best has fallen
back too, is weighed by everything. So what is left out is less likely than the best by more than the margin whatever
the rest would have said of it. Order of entry makes no difference.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import RESISTIVE, tolerance
from loombench.diagnose.likelihood import at_supplies, log_likelihood, wrong_likelihood
from loombench.diagnose.observation import (
    BatteryFlat,
    FuseSeen,
    GripFelt,
    LoadSeen,
    MeterRead,
    Observation,
    PositionSeen,
    Told,
)

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
SUPPLIES = (1.0, 0.98, 1.02, 0.96, 1.04, 0.94, 1.06, 0.92, 0.9, 0.88)
"""Shares of the reckoned volts that are tried, the likeliest first; closer ones a reading does not tell apart."""
MARGIN = 16.0
"""In nats: one in nine million. Two readings that do not fit, or a look on purpose and what was told, are more."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """[hypotheses] log likelihood of each observation with the supply (its place in `SUPPLIES`) that suits a hypothesis
    best; None where no reading hangs on the supply. `of_supply` is the log of how likely that supply is."""

    support: tuple[FloatArray, ...]
    supply: npt.NDArray[np.intp] | None
    of_supply: FloatArray | None


def weighed(bench: Bench, observations: Sequence[Observation], margin: float = MARGIN) -> Weighed:
    """Weigh the hypotheses of a bench by observations, in whatever order they come."""
    order = sorted(range(len(observations)), key=lambda place: (_turn(observations[place]), repr(observations[place])))
    whole = bench.hypotheses.unexplained.copy()
    while True:
        scores, tables, missed = _gone_through(bench, observations, order, margin, whole)
        final = scores.max(axis=0)
        back = ~whole & (missed > 0.0) & (final + missed >= final.max() - margin)
        if not back.any():
            return _best(scores, [tables[place] for place in range(len(observations))])
        whole |= back


def _gone_through(
    bench: Bench, observations: Sequence[Observation], order: Sequence[int], margin: float, whole: BoolArray
) -> tuple[FloatArray, Mapping[int, FloatArray], FloatArray]:
    """[supplies, hypotheses] log weights; by place of an observation [hypotheses] or [supplies, hypotheses] its log
    likelihood; [hypotheses] how much more each could have at most."""
    scores = bench.hypotheses.log_prior + _of_supplies(observations)[:, None]
    tables: dict[int, FloatArray] = {}
    missed = np.zeros(scores.shape[1])
    used = np.ones(scores.shape[1], dtype=np.bool_)
    for place in order:
        one = observations[place]
        now = scores.max(axis=0)
        used &= whole | (now >= now.max() - margin)
        table = _table(one, bench, used)
        if not isinstance(one, Told):
            wrong = float(np.log(wrong_likelihood(one, bench.nominal_v)))
            most = float(table[..., used].max())
            table = np.where(used, table, wrong)
            missed += np.where(used, 0.0, max(most - wrong, 0.0))
        tables[place] = table
        scores = scores + table
    return scores, tables, missed


def _table(one: Observation, bench: Bench, used: BoolArray) -> FloatArray:
    if _hangs_on_supply(one) and isinstance(one, MeterRead):
        return at_supplies(one, bench, SUPPLIES, used)
    return log_likelihood(one, bench, used)


def _hangs_on_supply(one: Observation) -> bool:
    return isinstance(one, MeterRead) and one.setup.meter not in RESISTIVE


def _of_supplies(observations: Sequence[Observation]) -> FloatArray:
    """[supplies] log of how likely each is; only the reckoned one where no reading hangs on it."""
    if not any(_hangs_on_supply(one) for one in observations):
        return np.zeros(1)
    result: FloatArray = -0.5 * ((np.array(SUPPLIES) - 1.0) / tolerance("supply-share").value) ** 2
    return result


def _best(scores: FloatArray, tables: Sequence[FloatArray]) -> Weighed:
    if len(scores) == 1:
        return Weighed(tuple(tables), None, None)
    best = np.argmax(scores, axis=0)
    column = np.arange(len(best))
    support = tuple(table[best, column] if table.ndim > 1 else table for table in tables)
    likely = -0.5 * ((np.array(SUPPLIES) - 1.0) / tolerance("supply-share").value) ** 2
    return Weighed(support, best, likely[best])


def _turn(one: Observation) -> int:
    """What comes first: what costs nothing, what was told, what was seen on purpose, then the rest."""
    match one:
        case Told() | PositionSeen() | GripFelt():
            return 0
        case BatteryFlat():
            return 1
        case LoadSeen():
            return 2 if one.verified else 1
        case FuseSeen():
            return 1 if one.told else 3
    return 4
