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


@dataclass(frozen=True, eq=False)
class _Table:
    """Log likelihoods of an observation, `values` [..., those that are `right`]."""

    right: BoolArray
    values: FloatArray

    def of(self, some: BoolArray) -> FloatArray:
        """[..., some] those of some of them."""
        return self.values if len(some) == np.count_nonzero(some) else self.values[..., some[self.right]]


def _known(bench: Bench, observations: Sequence[Observation]) -> dict[Observation, _Table]:
    """The tables of the same hypotheses that were made before; those of other observations are let go."""
    known: dict[Observation, _Table] = bench.weights.of(
        bench.hypotheses, bench.forecast, bench.forecast.taken_back(), bench.presence, bench.provoked_by,
        bench.outlier_share,
    )  # fmt: skip
    for one in known.keys() - set(observations):
        del known[one]
    return known


@dataclass(frozen=True, eq=False)
class _Part:
    """What one observation says: `values` [used] or [supplies, used] the log likelihood of those that are `used`
    [hypotheses], `wrong` that of a wrong one, which it is for the others; `most` the highest of these, without what
    nothing explains, which takes anything alike. It is made of `source`."""

    source: _Table
    used: BoolArray
    values: FloatArray
    most: float
    wrong: float

    def at(self, supply: int, number: int) -> float:
        """That of a hypothesis with a supply."""
        if not self.used[number]:
            return self.wrong
        place = np.count_nonzero(self.used[:number])
        return float(self.values[supply, place] if self.values.ndim > 1 else self.values[place])

    def over(self, supply: npt.NDArray[np.intp] | None) -> FloatArray:
        """[hypotheses] those of all, each with its own supply."""
        whole = np.full(len(self.used), self.wrong)
        if self.values.ndim > 1 and supply is not None:
            whole[self.used] = self.values[supply[self.used], np.arange(self.values.shape[1])]
        else:
            whole[self.used] = self.values
        return whole


@dataclass(frozen=True, eq=False)
class _Gone:
    """`scores` [supplies, hypotheses] log weights; `count` [hypotheses] by how many of the observations in order each
    was weighed; `parts` what each observation says, by its place, those gone through first at first."""

    scores: FloatArray
    count: npt.NDArray[np.intp]
    parts: Mapping[int, _Part]


def _gone_through(
    bench: Bench,
    observations: Sequence[Observation],
    order: Sequence[int],
    margin: float,
    least: npt.NDArray[np.intp],
    known: dict[Observation, _Table],
    first: Mapping[Observation, _Table],
    before: _Gone | None,
) -> _Gone:
    """Weigh each hypothesis by the `least` [hypotheses] first observations, and by those after for as long as it stays
    within the margin. `known` are the tables of the rounds before, by observation; new ones are put there, and `first`
    those of the hypotheses that come first. A few hypotheses alone are weighed by more than in the round `before`, so
    most of what that found still holds."""
    running = _Running(bench.hypotheses.log_prior + _of_supplies(observations)[:, None])
    parts: dict[int, _Part] = {}
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


class _Running:
    """The scores of the hypotheses while they are gone through. Those that are out have but wrong observations from
    there on, which are added up for all of them together: in a large vehicle they are nearly all."""

    def __init__(self, scores: FloatArray) -> None:
        """`scores` [supplies, hypotheses] before anything is seen."""
        self.used = np.ones(scores.shape[1], dtype=np.bool_)
        self.count = np.zeros(scores.shape[1], dtype=np.intp)
        self._scores, self._of_used = scores, scores
        self._owed, self._paid = 0.0, np.zeros(scores.shape[1])
        self._best_out = -np.inf

    def narrowed(self, kept: BoolArray, margin: float) -> BoolArray:
        """[hypotheses] those that are weighed by one observation more: of the ones left those within the margin, and
        those that are `kept` [hypotheses]."""
        now = self._of_used.max(axis=0)
        stays = kept[self.used] | (now >= max(now.max(initial=-np.inf), self._best_out) - margin)
        if not stays.all():
            numbers = np.flatnonzero(self.used)
            gone = numbers[~stays]
            self._scores[:, gone] = self._of_used[:, ~stays]
            self._paid[gone] = self._owed
            self._best_out = max(self._best_out, float(now[~stays].max()))
            self._of_used = self._of_used[:, stays]
            self.used = self.used.copy()
            self.used[gone] = False
        self.count += self.used
        return self.used

    def add(self, part: _Part) -> None:
        """One observation more."""
        if np.array_equal(part.used, self.used):
            self._of_used = self._of_used + part.values
            self._owed += part.wrong
            self._best_out += part.wrong
            return
        scores = self.whole()
        scores[:, part.used] += part.values
        scores[:, ~part.used] += part.wrong
        self._scores, self._of_used = scores, scores[:, self.used]
        self._paid[:] = self._owed
        self._best_out = float(scores[:, ~self.used].max(initial=-np.inf))

    def whole(self) -> FloatArray:
        """[supplies, hypotheses] all scores."""
        found = self._scores + (self._owed - self._paid)
        found[:, self.used] = self._of_used
        return found


def _beside(one: Observation, bench: Bench, right: BoolArray, first: _Table | None) -> _Table:
    """What an observation says of the hypotheses that are `right` [hypotheses]; of those that come `first` what is
    known, where that is of all of them that are right."""
    count = 0 if first is None else len(first.right)
    if first is None or (right[:count] & ~first.right).any():
        return _Table(right, _table(one, bench, right)[..., right])
    known, others = first.values[..., right[:count][first.right]], right.copy()
    others[:count] = False
    if not others.any():
        return _Table(right, known)
    return _Table(right, np.concatenate((known, _table(one, bench, others)[..., others]), axis=-1))


def _part(source: _Table, used: BoolArray, wrong: float, bench: Bench) -> _Part:
    values = source.of(used)
    explained = ~bench.hypotheses.unexplained[used]
    return _Part(source, used, values, float(values[..., explained].max(initial=-np.inf)), wrong)


def _back(bench: Bench, observations: Sequence[Observation], found: _Gone, margin: float) -> BoolArray:
    """[hypotheses] those not weighed by everything that may be within the margin all the same."""
    explained = np.where(bench.hypotheses.unexplained, -np.inf, found.scores)
    supply, leader = np.unravel_index(np.argmax(explained), explained.shape)
    at_best = found.scores.max(axis=0)
    missed = np.zeros(len(at_best))
    for place, part in found.parts.items():
        of_leader = part.at(int(supply), int(leader))
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


def _best(scores: FloatArray, parts: Sequence[_Part]) -> Weighed:
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
