"""Which step next: what it tells about the place of the fault, per second it costs.

The frozen question is `choose(belief, situation, steps)`; a roll-out of the best may come to stand behind it. What
counts is information about *groups* (what would be put right), not about modes: that a wire has 2 ohm rather than 5
saves nobody a minute. The complaint is verified before anything else, since all that follows leans on it, and controls
are looked at before a meter is fetched.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.diagnose.belief import Belief, by_group, contradicted, strikes
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED
from loombench.diagnose.measuring import MOST_CUTS
from loombench.diagnose.observation import LoadSeen
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import MATTERS, Outcomes, Step

FloatArray = npt.NDArray[np.float64]

TELLS_NOTHING = 1e-3
"""Nats; a step that tells less is not offered."""
TELLS_LITTLE = 0.02
"""The same for a step that is to prove a leader: what it could speak against must be worth the while."""
LEADS = 0.95
"""From this share on the first suspect is to be proven, which is another question than finding it."""
ENOUGH_STRIKES = 2
"""Readings against a suspect before it is out; one may be wrong."""
FREE_S = 60.0
"""A control that can be looked at within this time comes before any measurement."""


@dataclass(frozen=True)
class Ranked:
    """A step with what it tells (nats) and costs (seconds)."""

    step: Step
    tells: float
    cost_s: float

    @property
    def rate(self) -> float:
        """What it tells per second."""
        return self.tells / max(self.cost_s, 1.0)


@dataclass(frozen=True)
class Choice:
    """The step to take (None where none tells anything), those that were worked out and tell something,
    best first, and why this one:
    verify, free-check, best-rate, confirm or nothing-left."""

    step: Step | None
    ranking: tuple[Ranked, ...]
    reason: str


def choose(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The next step among those not done; of two that rank alike the one given first."""
    share, reason = question(belief)
    left = [step for step in steps if step.id not in situation.done]
    verify = next((step for step in left if step.kind == "verify"), None)
    if verify is not None:
        return Choice(verify, (), "verify")
    ranked = _rank(belief, situation, left, share)
    least = TELLS_LITTLE if reason == "confirm" else TELLS_NOTHING
    useful = tuple(sorted((one for one in ranked if one.tells > least), key=lambda one: -one.rate))
    if not useful:
        return Choice(None, (), "nothing-left")
    free = next((one for one in useful if one.step.kind == "position" and one.cost_s <= FREE_S), None)
    if free is not None:
        return Choice(free.step, (free, *(one for one in useful if one is not free)), "free-check")
    return Choice(useful[0].step, useful, reason)


def _rank(belief: Belief, situation: Situation, steps: Sequence[Step], share: FloatArray) -> list[Ranked]:
    """Cheap steps first; a step that could not overtake the best so far, whatever it told, is not worked out.

    No step tells more than there is to know, nor more than the logarithm of the number of its outcomes.
    """
    to_know = _entropy(by_group(belief.hypotheses, np.where(belief.hypotheses.unexplained, 0.0, share)))
    costs = [step.cost_s(belief.bench, situation) for step in steps]
    ranked: list[Ranked] = []
    best = 0.0
    for place in sorted(range(len(steps)), key=lambda one: costs[one]):
        step = steps[place]
        most = min(to_know, np.log(MOST_CUTS + 1 if step.number else 3))
        if step.kind != "position" and most / max(costs[place], 1.0) < best:
            continue
        tells = information(belief, share, step.outcomes(belief.bench, share, situation))
        ranked.append(Ranked(step, tells, costs[place]))
        if tells > TELLS_LITTLE:
            best = max(best, ranked[-1].rate)
    return ranked


def _entropy(weights: FloatArray) -> float:
    some = weights[weights > 0.0] / weights.sum()
    return float(-np.sum(some * np.log(some)))


def question(belief: Belief) -> tuple[FloatArray, str]:
    """The weights [hypotheses] to tell apart, and the reason a step is then chosen for.

    While no suspect leads it is the belief itself. Once one does, half the weight is the leader's and the other half
    is shared, by how near they still are, among those that too few readings speak against.
    """
    best = belief.best()
    if belief.group_share[best] < LEADS:
        return belief.share, "best-rate"
    leader = belief.hypotheses.group == best
    rival = ~leader & (strikes(belief) < ENOUGH_STRIKES) & ~belief.hypotheses.unexplained
    if not rival.any() and not touched(belief):
        # Only told and seen from afar: one reading must show the fault itself.
        rival = ~leader & ~belief.hypotheses.unexplained
    if not rival.any():
        return belief.share, "best-rate"
    softened = np.where(rival, np.exp(0.25 * np.log(np.maximum(belief.share, 1e-300))), 0.0)
    own = np.where(leader, belief.share, 0.0)
    result: FloatArray = 0.5 * own / own.sum() + 0.5 * softened / softened.sum()
    return result, "confirm"


def touched(belief: Belief) -> bool:
    """Whether something was measured or looked at closely that fits the leader and not a sound vehicle."""
    best, sound = belief.best(), belief.hypotheses.groups.index(SOUND)
    odd = contradicted(belief)
    for row, one in enumerate(belief.observations):
        of_leader = odd[row, belief.hypotheses.group == best]
        of_sound = odd[row, belief.hypotheses.group == sound]
        if not isinstance(one, LoadSeen) and of_sound.all() and not of_leader.all():
            return True
    return False


def information(belief: Belief, share: FloatArray, outcomes: Outcomes) -> float:
    """Mutual information between the group and the outcome under the weights given, in nats."""
    # What nothing explains expects everything alike: it would make any look at anything seem worth while.
    used = (share > MATTERS) & ~belief.hypotheses.unexplained
    weight = share[used] / share[used].sum()
    groups = belief.hypotheses.group[used]
    table = outcomes.table[used]
    per_outcome = weight @ table
    spent = 0.0
    for column in range(table.shape[1]):
        joint = np.bincount(groups, weights=weight * table[:, column])
        some = joint > 0.0
        spent += float(np.sum(joint[some] * np.log(joint[some])))
    per_group = np.bincount(groups, weights=weight)
    base = float(np.sum(per_group[per_group > 0.0] * np.log(per_group[per_group > 0.0])))
    out = float(np.sum(per_outcome[per_outcome > 0.0] * np.log(per_outcome[per_outcome > 0.0])))
    return max(spent - base - out, 0.0)


def surviving(belief: Belief) -> tuple[int, ...]:
    """The groups that too few readings speak against, largest share first; unexplained left out."""
    kept = (strikes(belief) < ENOUGH_STRIKES) & ~belief.hypotheses.unexplained
    alive = by_group(belief.hypotheses, kept.astype(float)) > 0.0
    order = np.argsort(-belief.group_share, kind="stable")
    return tuple(int(group) for group in order if alive[group] and belief.hypotheses.groups[group] != UNEXPLAINED)
