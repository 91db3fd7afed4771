"""Belief: a weight for every hypothesis, given what was observed. The order of observations does not matter."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import UNEXPLAINED, Hypotheses
from loombench.diagnose.likelihood import log_likelihood, wrong_likelihood
from loombench.diagnose.observation import LoadSeen, Observation, PositionSeen

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Belief:
    """Weights over hypotheses after some observations.

    `support[i]` [hypotheses] is the log likelihood of observation i; the weights are their sum with the prior.
    """

    bench: Bench
    observations: tuple[Observation, ...] = ()
    support: tuple[FloatArray, ...] = ()

    @property
    def hypotheses(self) -> Hypotheses:
        """What is believed about."""
        return self.bench.hypotheses

    @cached_property
    def share(self) -> FloatArray:
        """[hypotheses] probability, summing to one."""
        total = self.hypotheses.log_prior + sum(self.support, np.zeros(len(self.hypotheses.members)))
        weights = np.exp(total - total.max())
        result: FloatArray = weights / weights.sum()
        return result

    @cached_property
    def group_share(self) -> FloatArray:
        """[groups] probability of each group."""
        return by_group(self.hypotheses, self.share)

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


def update(belief: Belief, observations: Sequence[Observation]) -> Belief:
    """The belief after more observations."""
    more = tuple(log_likelihood(one, belief.bench) for one in observations)
    return replace(belief, observations=belief.observations + tuple(observations), support=belief.support + more)


def contradicted(belief: Belief) -> npt.NDArray[np.bool_]:
    """[observations, hypotheses] True where an observation fits a hypothesis only as a wrong one.

    That is where more than half of its likelihood is the share of wrong observations; for a reading this is beyond
    about four standard errors.
    """
    table = np.zeros((len(belief.support), len(belief.hypotheses.members)), dtype=bool)
    for row, (observation, support) in enumerate(zip(belief.observations, belief.support, strict=True)):
        table[row] = (
            support < np.log(2.0 * wrong_likelihood(observation, belief.bench.nominal_v))
        ) & ~belief.hypotheses.unexplained
    return table


WEIGHT_OF_PURPOSE = 2
"""An observation made on purpose of a whole function counts as two readings against a suspect."""


def strikes(belief: Belief) -> npt.NDArray[np.intp]:
    """[hypotheses] how many observations speak against each, as readings."""
    counts = np.array(
        [
            WEIGHT_OF_PURPOSE if isinstance(one, PositionSeen) or (isinstance(one, LoadSeen) and one.verified) else 1
            for one in belief.observations
        ],
        dtype=np.intp,
    )
    if not len(counts):
        return np.zeros(len(belief.hypotheses.members), dtype=np.intp)
    result: npt.NDArray[np.intp] = counts @ contradicted(belief).astype(np.intp)
    return result
