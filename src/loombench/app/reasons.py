"""Why a suspect stands where it stands: what each entry of a case did to its odds."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from loombench.app.case import Case
from loombench.diagnose.belief import contradicted, strikes

LARGEST = 50.0
"""Beyond this many natural logarithms a factor is not told apart from certainty."""


@dataclass(frozen=True)
class Reason:
    """One observation: by which factor it made the suspect likelier against all others together (below 1: less
    likely), and whether it fits the suspect only as a wrong one. `place` counts the case's observations from 0."""

    place: int
    factor: float
    against: bool


@dataclass(frozen=True)
class Reasons:
    """`prior` and `share` of the belief before any observation and now; odds before times all factors are odds now."""

    prior: float
    share: float
    against: int
    reasons: tuple[Reason, ...]


def why(case: Case, group: str) -> Reasons:
    """What spoke for a suspect and what against it, in the order taken.

    Raises:
        ValueError: there is no such suspect.
    """
    belief = case.belief
    number = belief.hypotheses.groups.index(group)
    own = [bool(one == number) for one in belief.hypotheses.group]
    odd = contradicted(belief)
    weight = [float(one) for one in belief.hypotheses.log_prior]
    before = prior = _log_odds(weight, own)
    if belief.of_supply is not None:
        weight = [have + float(more) for have, more in zip(weight, belief.of_supply, strict=True)]
    found = []
    for place, support in enumerate(belief.support):
        weight = [have + float(more) for have, more in zip(weight, support, strict=True)]
        after = _log_odds(weight, own)
        factor = math.exp(max(-LARGEST, min(LARGEST, after - before)))
        against = all(wrong for wrong, mine in zip(odd[place], own, strict=True) if mine)
        found.append(Reason(place, factor, against))
        before = after
    fewest = min(int(count) for count, mine in zip(strikes(belief), own, strict=True) if mine)
    return Reasons(_share(prior), _share(before), fewest, tuple(found))


def _log_odds(weight: Sequence[float], own: Sequence[bool]) -> float:
    return _log_sum(weight, own, True) - _log_sum(weight, own, False)


def _log_sum(weight: Sequence[float], own: Sequence[bool], wanted: bool) -> float:
    chosen = [one for one, mine in zip(weight, own, strict=True) if mine is wanted]
    top = max(chosen, default=-math.inf)
    return top + math.log(math.fsum(math.exp(one - top) for one in chosen)) if chosen else top


def _share(log_odds: float) -> float:
    return 1.0 / (1.0 + math.exp(-log_odds)) if log_odds > -700.0 else 0.0
