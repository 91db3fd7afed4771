"""An independent judge of beliefs: every hypothesis with every combination of right and wrong observations is listed,
weighed one by one in plain Python, and summed. Only the stated model is shared with the code it judges, no function.

The model: an observation is right with probability 1 - e. A right reading is the predicted value, even between the two
ends where these differ, plus a normal error; a wrong one is even over 1.5 times the nominal volts. A right sight is
drawn from soft borders (dead below 0.25 +- 0.1 of the sound share, working above 0.9 +- 0.05), a wrong one even over
the three words. "Nothing explains" gives every observation even chances.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product


@dataclass(frozen=True)
class Read:
    value: float
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class Saw:
    word: str
    share: tuple[float, ...]
    verified: bool


WRONG_READING, WRONG_TOLD, WRONG_SEEN = 0.02, 0.02, 1e-5


def reading_density(value: float, low: float, high: float) -> float:
    error = math.hypot(0.01, 0.015 * max(abs(low), abs(high)))
    pieces = 2000 if high > low else 1
    total = 0.0
    for piece in range(pieces):
        middle = low + (high - low) * (piece + 0.5) / pieces
        total += math.exp(-0.5 * ((value - middle) / error) ** 2) / (error * math.sqrt(2.0 * math.pi))
    return total / pieces


def word_chance(word: str, share: float) -> float:
    lit = min(max((share - 0.15) / 0.2, 0.0), 1.0)
    bright = min(max((share - 0.85) / 0.1, 0.0), 1.0)
    return {"dead": 1.0 - lit, "dim": lit - min(lit, bright), "works": min(lit, bright)}[word]


def posterior(prior: Sequence[float], seen: Sequence[Read | Saw], unexplained: int, nominal_v: float) -> list[float]:
    """Weights of the hypotheses; `low`, `high` and `share` are per hypothesis, share already of the sound one."""
    weights = []
    for h, start in enumerate(prior):
        total = 0.0
        for flags in product((False, True), repeat=len(seen)):
            chance = start
            for wrong, one in zip(flags, seen, strict=True):
                chance *= _chance(one, h, wrong, h == unexplained, nominal_v)
            total += chance
        weights.append(total)
    whole = sum(weights)
    return [weight / whole for weight in weights]


def _chance(one: Read | Saw, h: int, wrong: bool, unexplained: bool, nominal_v: float) -> float:
    if isinstance(one, Read):
        even, e = 1.0 / (1.5 * nominal_v), WRONG_READING
        right = reading_density(one.value, one.low[h], one.high[h])
    else:
        even, e = 1.0 / 3.0, WRONG_SEEN if one.verified else WRONG_TOLD
        right = word_chance(one.word, one.share[h])
    if unexplained:
        return even * (e if wrong else 1.0 - e)
    return e * even if wrong else (1.0 - e) * right
