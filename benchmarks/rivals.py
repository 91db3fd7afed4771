"""Other ways to choose the next step, by the same steps, the same belief and the same end of the search.

Each has the signature of `diagnose.choose.choose`. All verify the complaint first, question a reading that fits nothing
(without that there is no proof), and take only steps that tell something of the question at hand, by the same measure
and from the same threshold as the planner's own: they differ in nothing but which of these comes next.

half split    of the volts along the way, the point that parts the surviving suspects most evenly by their number, the
              cheaper of two alike; where none on the way tells anything, the same over all other steps
half any      the same over all steps from the beginning, looks and section drops too
walk          from the battery on: the first point along the way that tells something, else the first other step
cheapest      the step of the least cost that tells something
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from loombench.diagnose.belief import Belief, survives
from loombench.diagnose.choose import (
    TELLS_LITTLE,
    TELLS_NOTHING,
    Choice,
    Ranked,
    choose,
    information,
    question,
)
from loombench.diagnose.doubt import doubted, questions
from loombench.diagnose.measuring import Measure
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import FloatArray, Outcomes, Step

Chooser = Callable[[Belief, Situation, Sequence[Step]], Choice]


def half_split(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The evenest split of the surviving suspects by a point on the way."""
    return _evenest(belief, situation, steps, way_first=True)


def half_any(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The evenest split of the surviving suspects by any step."""
    return _evenest(belief, situation, steps, way_first=False)


def walk(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The next point from the battery on that still tells something."""
    left = _left(situation, steps)
    on_way = [step for step in left if _on_way(step)]
    return _first(belief, situation, left, [*on_way, *(step for step in left if not _on_way(step))])


def cheapest(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The step of the least cost that tells something."""
    left = _left(situation, steps)
    return _first(belief, situation, left, sorted(left, key=lambda step: step.cost_s(belief.bench, situation)))


POLICIES: Mapping[str, Chooser] = MappingProxyType(
    {"own": choose, "half_split": half_split, "half_any": half_any, "walk": walk, "cheapest": cheapest}
)
"""All policies by name, the planner's own first."""


def no_look_ahead(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The planner's own choice, but the step that tells most per second where it looks ahead."""
    choice = choose(belief, situation, steps)
    if choice.reason != "best-rate":
        return choice
    best = max(choice.ranking, key=lambda one: one.rate)
    return replace(choice, step=best.step)


def no_cost(belief: Belief, situation: Situation, steps: Sequence[Step]) -> Choice:
    """The planner's own choice, but the step that tells most, whatever it costs, where it looks ahead or proves."""
    choice = choose(belief, situation, steps)
    if choice.reason not in ("best-rate", "confirm"):
        return choice
    share, _, _ = _asked(belief)
    left = _left(situation, steps)
    tells = [information(belief, share, step.outcomes(belief.bench, share, situation)) for step in left]
    return replace(choice, step=left[int(np.argmax(tells))])


def _left(situation: Situation, steps: Sequence[Step]) -> list[Step]:
    return [step for step in steps if step.id not in situation.done]


def _on_way(step: Step) -> bool:
    """Volts at a point on the way against battery minus, plugged and loaded."""
    return isinstance(step, Measure) and step.kind == "measure" and not step.drop


def _first(belief: Belief, situation: Situation, left: Sequence[Step], order: Iterable[Step]) -> Choice:
    due = _due(belief, situation, left)
    if due is not None:
        return due
    share, reason, least = _asked(belief)
    for step in order:
        outcomes = step.outcomes(belief.bench, share, situation)
        tells = information(belief, share, outcomes)
        if tells > least:
            return Choice(step, (Ranked(step, tells, step.cost_s(belief.bench, situation)),), reason)
    return Choice(None, (), "nothing-left")


def _due(belief: Belief, situation: Situation, left: Sequence[Step]) -> Choice | None:
    """What comes before any choice: to verify the complaint, to question a reading."""
    verify = next((step for step in left if step.kind == "verify"), None)
    if verify is not None:
        return Choice(verify, (), "verify")
    odd = doubted(belief)
    asked = questions(odd, left) if odd is not None else ()
    if not asked:
        return None
    first = min(asked, key=lambda step: step.cost_s(belief.bench, situation))
    return Choice(first, (Ranked(first, 0.0, first.cost_s(belief.bench, situation)),), "doubted")


def _asked(belief: Belief) -> tuple[FloatArray, str, float]:
    share, reason = question(belief)
    return share, reason, TELLS_LITTLE if reason == "confirm" else TELLS_NOTHING


def _evenest(belief: Belief, situation: Situation, steps: Sequence[Step], way_first: bool) -> Choice:
    left = _left(situation, steps)
    due = _due(belief, situation, left)
    if due is not None:
        return due
    share, reason, least = _asked(belief)
    on_way = [step for step in left if _on_way(step)]
    tiers = [on_way, [step for step in left if not _on_way(step)]] if way_first else [left]
    for tier in tiers:
        found: list[tuple[float, float, Ranked]] = []
        for step in tier:
            outcomes = step.outcomes(belief.bench, share, situation)
            tells = information(belief, share, outcomes)
            if tells > least:
                cost_s = step.cost_s(belief.bench, situation)
                found.append((largest_part(belief, share, outcomes), cost_s, Ranked(step, tells, cost_s)))
        if found:
            best = min(found, key=lambda one: one[:2])[2]
            return Choice(best.step, (best,), reason)
    return Choice(None, (), "nothing-left")


def largest_part(belief: Belief, share: FloatArray, outcomes: Outcomes) -> float:
    """Of the suspects that survive, the number that the likeliest of the outcomes would leave."""
    alive = (share > 0.0) & survives(belief)
    if not alive.any():
        return 0.0
    groups = belief.hypotheses.group[alive]
    names, place = np.unique(groups, return_inverse=True)
    votes = np.zeros((len(names), outcomes.table.shape[1]))
    np.add.at(votes, place, outcomes.table[alive])
    counts = np.bincount(votes.argmax(axis=1), minlength=outcomes.table.shape[1])
    return float(counts.max())
