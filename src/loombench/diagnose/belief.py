"""Belief: a weight for every hypothesis, given what was observed. The order of observations does not matter.

No battery has just the volts that a vehicle is reckoned with, and all readings share what it has. So each hypothesis is
judged with the supply that suits it best, at the price of how unlikely that supply is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import UNEXPLAINED, Hypotheses
from loombench.diagnose.likelihood import wrong_likelihood
from loombench.diagnose.observation import CodeSeen, LoadSeen, Observation, PositionSeen
from loombench.diagnose.weighing import MARGIN, SUPPLIES, weighed

FloatArray = npt.NDArray[np.float64]


WEIGHT_OF_PURPOSE = 2
"""An observation made on purpose of a whole function counts as two readings against a suspect."""


@dataclass(frozen=True, eq=False)
class Belief:
    """Weights over hypotheses after some observations.

    `support[i]` [hypotheses] is the log likelihood of observation i with the supply that `bench` then holds for each
    hypothesis; `of_supply` [hypotheses] the log of how likely that supply is. The weights are their sum with the prior.
    """

    bench: Bench
    observations: tuple[Observation, ...] = ()
    support: tuple[FloatArray, ...] = ()
    of_supply: FloatArray | None = None

    @property
    def hypotheses(self) -> Hypotheses:
        """What is believed about."""
        return self.bench.hypotheses

    @cached_property
    def total(self) -> FloatArray:
        """[hypotheses] log weights, not made to sum to one."""
        start = np.zeros(len(self.hypotheses.members)) if self.of_supply is None else self.of_supply
        return np.asarray(self.hypotheses.log_prior + sum(self.support, start))

    @cached_property
    def share(self) -> FloatArray:
        """[hypotheses] probability, summing to one."""
        weights = np.exp(self.total - self.total.max())
        result: FloatArray = weights / weights.sum()
        return result

    @cached_property
    def group_share(self) -> FloatArray:
        """[groups] probability of each group."""
        return by_group(self.hypotheses, self.share)

    @cached_property
    def _contradicted(self) -> npt.NDArray[np.bool_]:
        """What `contradicted` says: half a dozen questions about a belief start from it."""
        table = np.zeros((len(self.support), len(self.hypotheses.members)), dtype=bool)
        for row, (observation, support) in enumerate(zip(self.observations, self.support, strict=True)):
            if isinstance(observation, CodeSeen):
                # It may be old: no suspect is out by it.
                continue
            table[row] = (
                support < np.log(2.0 * wrong_likelihood(observation, self.bench))
            ) & ~self.hypotheses.unexplained
        table.flags.writeable = False
        return table

    @cached_property
    def _strikes(self) -> npt.NDArray[np.intp]:
        """What `strikes` says."""
        counts = np.zeros(len(self.hypotheses.members), dtype=np.intp)
        for one, against in zip(self.observations, self._contradicted, strict=True):
            purposely = isinstance(one, PositionSeen) or (isinstance(one, LoadSeen) and one.verified)
            counts[against] += WEIGHT_OF_PURPOSE if purposely else 1
        counts.flags.writeable = False
        return counts

    @property
    def unexplained(self) -> float:
        """Probability that nothing in the model explains the case."""
        return float(self.group_share[self.hypotheses.groups.index(UNEXPLAINED)])

    def best(self) -> int:
        """The group with the largest share, the first where several have it."""
        return int(np.argmax(self.group_share))


def by_group(hypotheses: Hypotheses, values: FloatArray) -> FloatArray:
    """[groups] sums of [hypotheses] values."""
    result: FloatArray = np.bincount(hypotheses.group, weights=values, minlength=len(hypotheses.groups)).astype(float)
    return result


def leading(hypotheses: Hypotheses, weight: FloatArray, least: float) -> tuple[str, ...]:
    """The groups that have at least this share of a weight [hypotheses], the largest first; none of a weight of 0."""
    of_group = by_group(hypotheses, weight)
    total = float(of_group.sum())
    some = np.flatnonzero(of_group >= least * total) if total > 0.0 else np.zeros(0, dtype=np.intp)
    return tuple(hypotheses.groups[group] for group in some[np.argsort(-of_group[some], kind="stable")].tolist())


def update(belief: Belief, observations: Sequence[Observation], margin: float = MARGIN) -> Belief:
    """The belief after more observations. Of hypotheses that fall farther than `margin` (nats) behind the best not
    everything is weighed (see `diagnose.weighing`)."""
    every = belief.observations + tuple(observations)
    found = weighed(belief.bench, every, margin)
    supply = None if found.supply is None else np.array(SUPPLIES)[found.supply]
    return Belief(replace(belief.bench, supply=supply), every, found.support, found.of_supply)


def contradicted(belief: Belief) -> npt.NDArray[np.bool_]:
    """[observations, hypotheses] True where an observation fits a hypothesis only as a wrong one.

    That is where more than half of its likelihood is the share of wrong observations; for a reading this is beyond
    about four standard errors.
    """
    return belief._contradicted


def strikes(belief: Belief) -> npt.NDArray[np.intp]:
    """[hypotheses] how many observations speak against each, as readings."""
    return belief._strikes


ENOUGH_STRIKES = 1
"""Readings against a suspect before it is out."""
HELD = 0.01
"""From this share on a suspect is kept in spite of one reading against it, where one speaks against the leader too."""


def survives(belief: Belief) -> npt.NDArray[np.bool_]:
    """[hypotheses] True for those that too few readings speak against; never for what nothing explains.

    Where the likeliest suspect of all has itself no more than one reading against it, that reading is more likely wrong
    than all the others, so one is forgiven: to the leader, and to those that are near it.
    """
    known = belief.hypotheses
    against = strikes(belief)
    clean = (against < ENOUGH_STRIKES) & ~known.unexplained
    fault = ~known.no_fault
    if not fault.any():
        return clean
    leader = int(np.argmax(by_group(known, np.where(fault, belief.share, 0.0))))
    if against[known.group == leader].min() != ENOUGH_STRIKES:
        return clean
    held = (belief.group_share > HELD)[known.group] | (known.group == leader)
    result: npt.NDArray[np.bool_] = clean | (fault & held & (against == ENOUGH_STRIKES))
    return result


def against_leader(belief: Belief) -> tuple[int, ...]:
    """The observations, by number, that speak against every form of the likeliest suspect; none where one form has
    nothing against it."""
    of_leader = belief.hypotheses.group == belief.best()
    if strikes(belief)[of_leader].min() < ENOUGH_STRIKES:
        return ()
    best = int(np.argmax(np.where(of_leader, belief.share, -1.0)))
    return tuple(int(row) for row in np.flatnonzero(contradicted(belief)[:, best]))


def spoken_for(belief: Belief) -> bool:
    """Whether what was observed speaks for a single suspect with nothing against it more than for "nothing explains".

    Where that is ahead all the same, it is so by the weights before anything was seen: beside what is rare. Two faults
    at once can be bent to nearly anything, so they are held to their weight.
    """
    known = belief.hypotheses
    if not belief.support:
        return True
    seen = np.sum(belief.support, axis=0)
    single = np.array([member.fault is not None and member.other is None for member in known.members])
    clean = (strikes(belief) < ENOUGH_STRIKES) & single
    return bool(clean.any()) and float(seen[clean].max()) > float(seen[known.unexplained].max())
