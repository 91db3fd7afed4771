"""Weighing hypotheses by observations, as far as each one matters.

An observation in a condition that nobody has computed yet is dear, and most hypotheses are out long before. So the
observations are gone through in an order of their own (first those in the states of the complaints, which are computed
for all, and of these what is told and seen), and a hypothesis that has fallen `MARGIN` behind the best is not weighed
by the rest: these count as wrong observations for it. At the end each is given what the best has of the rest, where
that does not suit the best itself, what anything has of it, and where nothing weighed does, what a hypothesis could
have of it at most. One that would so have come within the margin, because the best has fallen back too, is weighed by
one more, in the next round by two more, then four, until none is left. Thus what is left out would have to suit the
rest better than the best does by more than the margin. Order of entry makes no difference.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import RESISTIVE, error_of, tolerance
from loombench.diagnose.likelihood import at_supplies, log_likelihood, log_wrong
from loombench.diagnose.observation import (
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
from loombench.diagnose.scores import Part, Running, Table
from loombench.vehicle.condition import Condition

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
    told = {_condition(one) for one in observations if isinstance(one, LoadSeen | FuseSeen) and _is_told(one)}

    def turn(place: int) -> tuple[bool, int, str]:
        one = observations[place]
        condition = _condition(one)
        return condition is not None and condition not in told, _turn(one), repr(one)

    order = sorted(range(len(observations)), key=turn)
    least = np.where(bench.hypotheses.unexplained, len(observations), 0)
    known = _known(bench, observations)
    first = {} if bench.first is None else _known(bench.first, observations)
    found: _Gone | None = None
    more = 1
    while True:
        found = _gone_through(bench, observations, order, margin, least, known, first, found)
        back = _back(bench, observations, found, margin)
        if not back.any():
            return _best(found.scores, [found.parts[place] for place in range(len(observations))])
        least[back] = found.count[back] + more
        more *= 2


def _known(bench: Bench, observations: Sequence[Observation]) -> dict[Observation, Table]:
    """The tables of the same hypotheses that were made before; those of other observations are let go."""
    known: dict[Observation, Table] = bench.weights.of(
        bench.hypotheses, bench.forecast, bench.forecast.taken_back(), bench.presence, bench.provoked_by,
        bench.outlier_share,
    )  # fmt: skip
    for one in known.keys() - set(observations):
        del known[one]
    return known


@dataclass(frozen=True, eq=False)
class _Gone:
    """`scores` [supplies, hypotheses] log weights; `count` [hypotheses] by how many of the observations in order each
    was weighed; `parts` what each observation says, by its place, those gone through first at first."""

    scores: FloatArray
    count: npt.NDArray[np.intp]
    parts: Mapping[int, Part]


def _gone_through(
    bench: Bench,
    observations: Sequence[Observation],
    order: Sequence[int],
    margin: float,
    least: npt.NDArray[np.intp],
    known: dict[Observation, Table],
    first: Mapping[Observation, Table],
    before: _Gone | None,
) -> _Gone:
    """Weigh each hypothesis by the `least` [hypotheses] first observations, and by those after for as long as it stays
    within the margin. `known` are the tables of the rounds before, by observation; new ones are put there, and `first`
    those of the hypotheses that come first. A few hypotheses alone are weighed by more than in the round `before`, so
    most of what that found still holds."""
    running = Running(bench.hypotheses.log_prior, _of_supplies(observations))
    parts: dict[int, Part] = {}
    every = np.ones(len(least), dtype=np.bool_)
    for number, place in enumerate(order):
        one = observations[place]
        used = running.narrowed(number < least, margin)
        # What is told of the history weighs all.
        right = every if isinstance(one, Told) else used
        source = known.get(one)
        if source is None or (right & ~source.right).any():
            known[one] = source = _beside(one, bench, right, first.get(one))
        part = None if before is None else before.parts[place]
        if part is None or part.source is not source or not np.array_equal(part.used, right):
            part = _part(source, right, log_wrong(one, bench), bench)
        parts[place] = part
        running.add(part)
    return _Gone(running.whole(), running.count, parts)


def _beside(one: Observation, bench: Bench, right: BoolArray, first: Table | None) -> Table:
    """What an observation says of the hypotheses that are `right` [hypotheses]; of those that come `first` what is
    known, where that is of all of them that are right."""
    count = 0 if first is None else len(first.right)
    if first is None or (right[:count] & ~first.right).any():
        return Table(right, _table(one, bench, right)[..., right])
    known, others = first.values[..., right[:count][first.right]], right.copy()
    others[:count] = False
    if not others.any():
        return Table(right, known)
    return Table(right, np.concatenate((known, _table(one, bench, others)[..., others]), axis=-1))


def _part(source: Table, used: BoolArray, wrong: float, bench: Bench) -> Part:
    values = source.of(used)
    explained = ~bench.hypotheses.unexplained[used]
    return Part(source, used, values, float(values[..., explained].max(initial=-np.inf)), wrong)


def _back(bench: Bench, observations: Sequence[Observation], found: _Gone, margin: float) -> BoolArray:
    """[hypotheses] those not weighed by everything that may be within the margin all the same."""
    at_best = found.scores.max(axis=0)
    leader = int(np.argmax(np.where(bench.hypotheses.unexplained, -np.inf, at_best)))
    supply = int(np.argmax(found.scores[:, leader]))
    missed = np.zeros(len(at_best))
    for place, part in found.parts.items():
        of_leader = part.at(supply, leader)
        suits = of_leader > part.wrong + np.log(2.0)
        # What nothing that was weighed explains may be just what one of the others says.
        odd = part.most <= part.wrong + np.log(2.0)
        most = of_leader if suits else _peak(observations[place]) if odd else part.most
        missed += np.where(part.used, 0.0, max(most - part.wrong, 0.0))
    result: BoolArray = (missed > 0.0) & (at_best + missed >= at_best[leader] - margin)
    return result


def _peak(one: Observation) -> float:
    """The log likelihood of an observation under what says just that."""
    if not isinstance(one, MeterRead) or isinstance(one, MeterBand):
        return 0.0
    least, share = error_of(one.setup)
    ohms = one.setup.meter in RESISTIVE
    error = tolerance("ohms-decades").value if ohms else np.hypot(least, share * abs(one.value))
    return float(-np.log(np.sqrt(2.0 * np.pi) * error))


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


def _best(scores: FloatArray, parts: Sequence[Part]) -> Weighed:
    if len(scores) == 1:
        return Weighed(tuple(part.over(None) for part in parts), None, None)
    best = np.argmax(scores, axis=0)
    likely = -0.5 * ((np.array(SUPPLIES) - 1.0) / tolerance("supply-share").value) ** 2
    return Weighed(tuple(part.over(best) for part in parts), best, likely[best])


def _is_told(one: LoadSeen | FuseSeen) -> bool:
    return one.told if isinstance(one, FuseSeen) else not one.verified


def _condition(one: Observation) -> Condition | None:
    """The state it was made in; None where that makes no difference."""
    match one:
        case MeterRead() | InputSeen():
            return one.setup.condition
        case LoadSeen() | FuseSeen() | BatteryFlat():
            return one.condition
    return None


def _turn(one: Observation) -> int:
    """What comes first: what costs nothing, what was told, what was seen on purpose, then the rest."""
    match one:
        case Told() | PositionSeen() | GripFelt():
            return 0
        case BatteryFlat() | CodeSeen():
            return 1
        case LoadSeen():
            return 2 if one.verified else 1
        case FuseSeen():
            return 1 if one.told else 3
    return 4
