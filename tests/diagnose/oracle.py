"""An independent judge of beliefs: every hypothesis with every combination of right and wrong observations is listed,
weighed one by one in plain Python, and summed. Only the stated model is shared with the code it judges, no function.

The model: an observation is right with probability 1 - e. A right reading is the predicted value, even between the two
ends where these differ, plus a normal error; a wrong one is even over 1.5 times the nominal volts. A right sight is
drawn from soft borders (dead below 0.25 +- 0.1 of the sound share, working above 0.9 +- 0.05), a wrong one even over
the three words. "Nothing explains" gives every observation even chances. All readings of a hypothesis may be so many
times larger or smaller together, as the supply is; the likeliest supply counts, with a normal weight for how far it is
from the one reckoned with.
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
SUPPLIES, SUPPLY_SPREAD = (0.88, 0.9, 0.92, 0.94, 0.96, 0.98, 1.0, 1.02, 1.04, 1.06), 0.03


def reading_density(value: float, low: float, high: float) -> float:
    error = math.hypot(0.01, 0.015 * max(abs(low), abs(high)))
    pieces = 800 if high > low else 1
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
    supplies = SUPPLIES if any(isinstance(one, Read) for one in seen) else (1.0,)
    weights = []
    for h, start in enumerate(prior):
        found = []
        for supply in supplies:
            right = [_right(one, h, supply) for one in seen]
            total = 0.0
            for flags in product((False, True), repeat=len(seen)):
                chance = start
                for k, one in enumerate(seen):
                    chance *= _chance(one, right[k], flags[k], h == unexplained, nominal_v)
                total += chance
            found.append(total * math.exp(-0.5 * ((supply - 1.0) / SUPPLY_SPREAD) ** 2))
        weights.append(max(found))
    whole = sum(weights)
    return [weight / whole for weight in weights]


def _right(one: Read | Saw, h: int, supply: float) -> float:
    if isinstance(one, Read):
        return reading_density(one.value, one.low[h] * supply, one.high[h] * supply)
    return word_chance(one.word, one.share[h])


def _chance(one: Read | Saw, right: float, wrong: bool, unexplained: bool, nominal_v: float) -> float:
    if isinstance(one, Read):
        even, e = 1.0 / (1.5 * nominal_v), WRONG_READING
    else:
        even, e = 1.0 / 3.0, WRONG_SEEN if one.verified else WRONG_TOLD
    if unexplained:
        return even * (e if wrong else 1.0 - e)
    return e * even if wrong else (1.0 - e) * right
