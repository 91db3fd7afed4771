"""Which step next: the one with the least expected seconds to a proven, repaired vehicle.

The frozen question is `choose(belief, situation, steps)`. Steps are ranked by information per second, and the best of
them are tried out to the end (`diagnose.rollout`): information per cost alone does not see that an open cover or a
clipped lead serves the steps after it, nor that two fair halvings may beat one good guess. What counts is information
about *groups* (what would be put right), not about modes: that a wire has 2 ohm rather than 5 saves nobody a minute.
The complaint is verified before anything else, since all that follows leans on it; a reading that fits nothing is
questioned before it is believed. A look at a control is a step like any other: taken first whenever it told no less
than a meter, it cost 2 to 5 % more on the example vehicles than the best plan.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.diagnose.belief import Belief, by_group, contradicted, survives
from loombench.diagnose.doubt import ALL_BUT, ALL_BUT_PROVEN, doubted, questions, symptom, trial
from loombench.diagnose.ending import ending
from loombench.diagnose.excerpt import mattering
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED
from loombench.diagnose.measuring import MOST_CUTS
from loombench.diagnose.observation import LoadSeen
from loombench.diagnose.quick import quick
from loombench.diagnose.rollout import Rollout
from loombench.diagnose.rows import rows_of
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Outcomes, Step, matters

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.intp]

TELLS_NOTHING = 0.01
"""Nats; a step that tells less is not offered."""
TELLS_LITTLE = 0.02
"""The same for a step that is to prove a leader: what it could speak against must be worth the while."""
LEADS = 0.95
"""From this share on the first suspect is to be proven, which is another question than finding it."""
CERTAIN = 0.99
"""Below this share of the leader one more reading is asked for, even where each other suspect has one against it."""
NEGLIGIBLE = 1e-4
"""A suspect below this share of the belief is not waited for, even if no reading speaks against it."""
FREE_S = 60.0
"""A control that is seen within this time is said to cost nothing but a look."""
CLOSE = 0.01
"""Of steps whose outlook is the best but for this share, the one that tells most per second is taken, where anything in
the outlook was left to the roll-out."""
HOPELESS = 0.5
"""A step that could not reach this share of the best information per cost, whatever it told, is not worked out."""
FEW, HOPELESS_OF_FEW = 24, 0.05
"""Of so few suspects all but the dearest steps are worked out: it takes little, and the plan to the end needs them."""
SHOWN = 2
"""So many of the steps that would follow are put first in the ranking, so that tools are fetched once."""


@dataclass(frozen=True)
class Ranked:
    """A step with what it tells (nats) and costs (seconds); `ahead_s` are the seconds expected from now to the end if
    it is taken, not a number where that was not looked into."""

    step: Step
    tells: float
    cost_s: float
    ahead_s: float = float("nan")

    @property
    def rate(self) -> float:
        """What it tells per second."""
        return self.tells / max(self.cost_s, 1.0)


@dataclass(frozen=True)
class Choice:
    """The step to take (None where none tells anything), those that were worked out and tell something,
    best first, and why this one:
    verify, free-check, doubted, best-rate, confirm or nothing-left."""

    step: Step | None
    ranking: tuple[Ranked, ...]
    reason: str


def choose(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The next step among those not done; of two that come out alike the one that tells more per second."""
    left = [step for step in steps if step.id not in situation.done]
    verify = next((step for step in left if step.kind == "verify"), None)
    if verify is not None:
        return Choice(verify, (), "verify")
    share, reason = question(belief)
    if reason == "best-rate":
        share = quick(belief, share, situation.repaired)
    least = TELLS_LITTLE if reason == "confirm" else TELLS_NOTHING
    worked = _rank(belief, situation, left, share)
    ranked = sorted((one for one in worked if one[0].tells > least), key=lambda one: -one[0].rate)
    useful = tuple(one for one, _ in ranked)
    odd = doubted(belief, ALL_BUT_PROVEN if alone(belief) else ALL_BUT)
    asked = questions(odd, left) if odd is not None else ()
    if asked:
        costs = [step.cost_s(belief.bench, situation) for step in asked]
        least_cost = int(np.argmin(costs))
        first = Ranked(asked[least_cost], 0.0, costs[least_cost])
        return Choice(first.step, (first, *useful), "doubted")
    fuse = symptom(belief)
    tried = trial(fuse, [step for step in left if step.kind in ("mend", "ohms")]) if fuse and alone(belief) else ()
    if tried:
        ways = [Ranked(step, 0.0, step.cost_s(belief.bench, situation)) for step in tried]
        first = min(ways, key=lambda one: one.cost_s)
        return Choice(first.step, (first, *useful), "confirm")
    if not useful:
        return Choice(None, (), "nothing-left")
    ordered = _looked_ahead(belief, situation, share, ranked)
    free = ordered[0].step.kind == "position" and ordered[0].cost_s <= FREE_S
    return Choice(ordered[0].step, ordered, "free-check" if free else reason)


def _looked_ahead(
    belief: Belief, situation: Situation, share: FloatArray, ranked: list[tuple[Ranked, FloatArray]]
) -> tuple[Ranked, ...]:
    """The step with the least seconds to the end first, then those that would follow it, then the rest. The tables are
    of the hypotheses that are looked ahead for."""
    used = _looked_ahead_for(belief, share)
    # What counts in the end is how likely each is, even where the question is who is left beside the leader.
    share = np.where(share > 0.0, belief.share, 0.0)
    if not used.any():
        # Nothing in the model is left to be looked ahead for.
        return tuple(one for one, _ in ranked)
    group = belief.hypotheses.group[used]
    rows = rows_of(
        share[used],
        group,
        [table for _, table in ranked],
        [one.step for one, _ in ranked],
        [one.cost_s for one, _ in ranked],
    )
    rollout = Rollout(belief.bench, rows, ending(belief.bench, np.unique(group)))
    by_id = {one.step.id: one for one, _ in ranked}
    values = rollout.values(situation)
    if not values:
        return tuple(one for one, _ in ranked)
    # What was guessed about rare branches is no ground to prefer a step by a second.
    least_s = min(value for _, value in values)
    close = 1.0 + (CLOSE if rollout.cut else 1e-9)
    first = next(column for column, value in values if value <= close * least_s)
    ahead = {rows.steps[column].id: value for column, value in values}
    names = [rows.steps[first].id, *(rows.steps[column].id for column in rollout.then(first, situation)[:SHOWN])]
    order = dict.fromkeys([*names, *by_id])
    return tuple(
        Ranked(one.step, one.tells, one.cost_s, ahead.get(name, float("nan")))
        for name, one in ((name, by_id[name]) for name in order)
    )


def _looked_ahead_for(belief: Belief, share: FloatArray) -> BoolArray:
    """[hypotheses] which of them a step is looked ahead for."""
    explained = np.where(belief.hypotheses.unexplained, 0.0, share)
    used: BoolArray = matters(explained) & (explained > NEGLIGIBLE * explained.max())
    return used


def _rank(
    belief: Belief, situation: Situation, steps: Sequence[Step], share: FloatArray
) -> list[tuple[Ranked, FloatArray]]:
    """Steps with the probabilities [hypotheses looked ahead for, outcomes] of what may come of them, cheap ones first;
    a step that could not come near the best so far, whatever it told, is not worked out.

    No step tells more than there is to know, nor more than the logarithm of the number of its outcomes.
    """
    used = _looked_ahead_for(belief, share)
    # What nothing explains expects everything alike: it would make any look at anything seem worth while.
    share = np.where(belief.hypotheses.unexplained, 0.0, share)
    to_know = _entropy(by_group(belief.hypotheses, share))
    some = mattering(belief.bench, share)
    of_some = some.numbers[some.used]
    group, weight, used = belief.hypotheses.group[of_some], share[of_some], used[some.numbers]
    hopeless = HOPELESS if len(np.unique(group)) > FEW else HOPELESS_OF_FEW
    costs = [step.cost_s(belief.bench, situation) for step in steps]
    ranked: list[tuple[Ranked, FloatArray]] = []
    best = 0.0
    for place in sorted(range(len(steps)), key=lambda one: costs[one]):
        step = steps[place]
        most = min(to_know, np.log(MOST_CUTS + 1)) if step.number else to_know
        if step.kind != "position" and most / max(costs[place], 1.0) < hopeless * best:
            continue
        table = step.outcomes(belief.bench, share, situation).of(some.numbers)
        ranked.append((Ranked(step, _told(group, weight, table[some.used]), costs[place]), table[used]))
        if ranked[-1][0].tells > TELLS_LITTLE:
            best = max(best, ranked[-1][0].rate)
    return ranked


def _entropy(weights: FloatArray) -> float:
    return -_order(weights[weights > 0.0] / weights.sum())


def question(belief: Belief) -> tuple[FloatArray, str]:
    """The weights [hypotheses] to tell apart, and the reason a step is then chosen for.

    While no suspect leads it is the belief itself. Once one does, half the weight is the leader's and the other half
    is shared, by how near they still are, among those that too few readings speak against.
    """
    best = belief.best()
    # With none but what nothing explains beside the leader there is nothing left to find, only to prove.
    others = 1.0 - belief.group_share[best] - belief.unexplained
    leads = bool(belief.group_share[best] >= LEADS or others < NEGLIGIBLE)
    if not leads or belief.hypotheses.groups[best] in (SOUND, UNEXPLAINED):
        return belief.share, "best-rate"
    leader = belief.hypotheses.group == best
    rest = ~leader & ~belief.hypotheses.unexplained
    near = belief.group_share[belief.hypotheses.group] > NEGLIGIBLE
    rival = rest & near & survives(belief)
    if not rival.any() and (belief.group_share[best] < CERTAIN or not touched(belief)):
        # Only told and seen from afar, or by too few readings: one more must show the fault itself.
        rival = rest
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
    some = mattering(belief.bench, share)
    used = some.numbers[some.used & ~some.bench.hypotheses.unexplained]
    return _told(belief.hypotheses.group[used], share[used], outcomes.of(used))


def _told(groups: IntArray, share: FloatArray, table: FloatArray) -> float:
    """The same of some hypotheses by their groups, with their share and the probabilities [some, outcomes]."""
    weight = share / share.sum()
    spent = sum(_order(np.bincount(groups, weights=weight * column)) for column in table.T)
    return max(spent - _order(np.bincount(groups, weights=weight)) - _order(weight @ table), 0.0)


def _order(weights: npt.NDArray[np.generic]) -> float:
    """The sum of w log w, nought where w is."""
    found = weights.astype(float)
    some = found[found > 0.0]
    return float(np.sum(some * np.log(some)))


def alone(belief: Belief) -> bool:
    """Whether nothing but the leader survives."""
    left = [group for group in surviving(belief) if belief.group_share[group] > NEGLIGIBLE]
    best = belief.best()
    return left == [best] and bool(belief.group_share[best] >= CERTAIN) and touched(belief)


def surviving(belief: Belief) -> tuple[int, ...]:
    """The groups that too few readings speak against, largest share first; unexplained left out."""
    alive = by_group(belief.hypotheses, survives(belief).astype(float)) > 0.0
    order = np.argsort(-belief.group_share, kind="stable")
    return tuple(int(group) for group in order if alive[group] and belief.hypotheses.groups[group] != UNEXPLAINED)
