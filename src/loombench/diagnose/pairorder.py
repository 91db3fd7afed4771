"""In which order pairs of faults are gone through: which are like to explain what was seen, before any is computed.

What was put right comes first as one half: where its repair changed what is seen it was wrong, so that pairs of it with
anything that is not spoken against since then are all there are; where it did not, it is as likely a half as it was
likely to be wrong before. Then the first half is one of the single faults that the fewest observations speak against;
first come pairs of which one or the other alone would explain each observation, then pairs of which one or the other at
least changes what the sound vehicle would show there, then the others, which only together show anything (two ways to
ground in parallel); within each by the product of the weights.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief, contradicted
from loombench.diagnose.hypothesis import Hypotheses
from loombench.diagnose.putright import since

IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
Pair = tuple[int, int]

MOST_FIRST = 120
"""Single faults, cells counted one by one, that are tried as the first half."""
MOST_PAIRS = 800
"""Pairs of cells that are computed in one search."""
MOST_OF_VAIN = 400
"""Of these so many at most with what was put right in vain."""
CHANGES = 0.05
"""A fault changes an observation where it makes it likelier or less likely than the sound vehicle by so many nats."""


@dataclass(frozen=True, eq=False)
class Form:
    """One single fault, or one whole cell of it: what halves of pairs are made of."""

    group: str
    fault: Fault
    low: int
    high: int
    weight: float
    members: tuple[int, ...]

    @property
    def cell(self) -> bool:
        """Whether it has a range of ohms."""
        return self.low != self.high


def forms_of(known: Hypotheses) -> list[Form]:
    """The single faults and cells of some hypotheses."""
    found: dict[tuple[str, int, int], list[int]] = {}
    for number, member in enumerate(known.members):
        if member.fault is not None:
            found.setdefault((member.group, member.low, member.high), []).append(number)
    return [
        Form(group, fault, low, high, sum(known.members[one].weight for one in members), tuple(members))
        for (group, low, high), members in found.items()
        if (fault := known.members[members[0]].fault) is not None
    ]


def with_known(belief: Belief, forms: Sequence[Form], groups: Sequence[str]) -> list[Pair]:
    """Pairs of which one half is a form of one of `groups`, all of which were put right, and the other anything that
    nothing observed since speaks against; those that show alone first."""
    tier = _Tiers(belief, forms)
    found: dict[Pair, tuple[int, float]] = {}
    for name in groups:
        later = contradicted(since(belief, name))
        free = [k for k, form in enumerate(forms) if not later[:, form.members].any(axis=0).all()]
        for one in (k for k, form in enumerate(forms) if form.group == name):
            others = np.array([two for two in free if forms[two].group != name], dtype=np.intp)
            for two, turn in zip(others.tolist(), tier.of(one, others).tolist(), strict=True):
                pair = (min(one, two), max(one, two))
                found[pair] = (turn, -forms[one].weight * forms[two].weight)
    return sorted(found, key=lambda pair: (*found[pair], pair))


def ordered(belief: Belief, forms: Sequence[Form], before: Iterable[Pair] = ()) -> tuple[list[Pair], list[Pair]]:
    """The pairs of forms to be computed: first those that show alone, with those that come `before` all others, then
    those that show only together."""
    tiers = _Tiers(belief, forms)
    weight = np.array([form.weight for form in forms])
    group = np.unique([form.group for form in forms], return_inverse=True)[1]
    order = np.lexsort((np.arange(len(forms)), -weight, tiers.against.sum(axis=0)))
    first = order[:MOST_FIRST]
    tier = np.stack([tiers.of(one, np.arange(len(forms))) for one in first.tolist()])
    place = np.empty(len(forms), dtype=np.intp)
    place[order] = np.arange(len(forms))
    # Of two that are both tried as the first half, the pair is there once.
    once = (place[first][:, None] < place[None, :]) & (group[first][:, None] != group[None, :])
    one, two = np.nonzero(once)
    product = weight[first][one] * weight[two]
    some = np.lexsort((two, first[one], -product, tier[one, two]))[:MOST_PAIRS]
    pairs = [(min(a, b), max(a, b)) for a, b in zip(first[one[some]].tolist(), two[some].tolist(), strict=True)]
    shown = int(np.count_nonzero(tier[one, two][some] < 2))
    known = list(before)[:MOST_OF_VAIN]
    kept = list(dict.fromkeys((*known, *pairs[:shown])))[:MOST_PAIRS]
    return kept, pairs[shown:]


class _Tiers:
    """0 for pairs of which one or the other alone explains each observation, 1 where one of the two at least changes
    it, 2 for the others."""

    def __init__(self, belief: Belief, forms: Sequence[Form]) -> None:
        """`against` [observations, forms]: whether it speaks against all of a form."""
        odd = contradicted(belief)
        support = np.array(belief.support)
        sound = next(k for k, member in enumerate(belief.hypotheses.members) if member.fault is None)
        differs = np.abs(support - support[:, [sound]]) > CHANGES
        self.against: BoolArray = np.stack([odd[:, form.members].all(axis=1) for form in forms], axis=1)
        changes = np.stack([differs[:, form.members].any(axis=1) for form in forms], axis=1)
        self._quiet: BoolArray = self.against & ~changes

    def of(self, one: int, others: IntArray) -> IntArray:
        """[others] the tier of each pair with one form."""
        neither = (self.against[:, [one]] & self.against[:, others]).any(axis=0)
        nor_changed = (self._quiet[:, [one]] & self._quiet[:, others]).any(axis=0)
        return np.where(~neither, 0, np.where(~nor_changed, 1, 2))
