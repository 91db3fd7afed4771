"""What a step is most likely to be answered with: of a reading not the middle of a band, but what the suspect that is
likeliest there makes the meter show."""

import numpy as np

from loombench.diagnose.belief import Belief
from loombench.diagnose.choose import question
from loombench.diagnose.excerpt import mattering
from loombench.diagnose.expected import RESISTIVE, expected, off_scale
from loombench.diagnose.measuring import Measure
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import FloatArray, Outcomes, Step


def likely_answers(belief: Belief, situation: Situation, step: Step) -> tuple[tuple[float | str, float], ...]:
    """One answer for each outcome with its probability, likeliest first."""
    share, _ = question(belief)
    found = step.outcomes(belief.bench, share, situation)
    chance = belief.share @ found.table
    if isinstance(step, Measure):
        values: list[float | str] = list(_readings(belief, situation, step, share, found))
    else:
        values = [one.word for one in found.outcomes]
    order = np.argsort(-chance, kind="stable")
    return tuple((values[place], float(chance[place])) for place in order)


def _readings(
    belief: Belief, situation: Situation, step: Measure, share: FloatArray, found: Outcomes
) -> tuple[float, ...]:
    """[outcomes] a reading inside each."""
    some = mattering(belief.bench, share)
    wanted = expected(some.bench, (step.setup,), situation.repaired)
    middle = off_scale(step.setup, (wanted.low[:, 0] + wanted.high[:, 0]) / 2.0)
    weight = (belief.share[some.numbers, None] * found.table[some.numbers]) * ~wanted.anything
    inside = [(middle >= one.low) & (middle <= one.high) for one in found.outcomes]
    likeliest = np.argmax(np.where(np.stack(inside, axis=1), weight, -1.0), axis=0)
    return tuple(
        float(middle[place]) if here[place] else _between(one.low, one.high, step.setup.meter in RESISTIVE)
        for one, here, place in zip(found.outcomes, inside, likeliest.tolist(), strict=True)
    )


def _between(low: float, high: float, ohms: bool) -> float:
    """The middle of a band nobody expects a value in; beyond its end where it is open."""
    if np.isinf(low) and np.isinf(high):
        return 0.0
    if np.isinf(high):
        return np.inf if ohms else low + 1.0
    return high - 1.0 if np.isinf(low) and not ohms else (max(low, 0.0) + high) / 2.0
