"""In which order pairs of faults are gone through: which are like to explain what was seen, before any is computed.

What was put right comes first as one half: where its repair changed what is seen it was wrong, so that pairs of it with
anything that is not spoken against since then are all there are; where it did not, it is as likely a half as it was
likely to be wrong before. Then the first half is one of the single faults that the fewest observations speak against,
and pairs go by the product of their weights and by how well the two serve what was observed: an observation that
neither half alone would explain is a price, since it has to come out of both; one that neither half even changes beside
the sound vehicle is a high one, as only what shows together (two ways to ground in parallel) can explain it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief, contradicted
from loombench.diagnose.changes import changes
from loombench.diagnose.hypothesis import Hypotheses
from loombench.diagnose.putright import since

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
Pair = tuple[int, int]

MOST_FIRST = 400
"""Single faults, cells counted one by one, that are tried as the first half."""
MOST_PAIRS = 3200
"""Pairs of cells that are gone through in one search."""
MOST_OF_VAIN = 400
"""Of these so many at most with what was put right in vain."""
NEITHER, UNCHANGED = 2.0, 10.0
"""In nats: the price of an observation that neither half explains, and the further one where neither changes it."""


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
    nothing observed since speaks against; the likeliest first."""
    service = _Service(belief, forms)
    found: dict[Pair, float] = {}
    for name in groups:
        later = contradicted(since(belief, name))
        free = [k for k, form in enumerate(forms) if not later[:, form.members].any(axis=0).all()]
        own = np.array([k for k, form in enumerate(forms) if form.group == name], dtype=np.intp)
        for one, worth in zip(own.tolist(), service.worth(own), strict=True):
            for two in (two for two in free if forms[two].group != name):
                found[min(one, two), max(one, two)] = float(worth[two])
    return sorted(found, key=lambda pair: (-found[pair], pair))


def ordered(belief: Belief, forms: Sequence[Form], before: Iterable[Pair] = ()) -> list[Pair]:
    """The pairs of forms to be gone through: those that come `before` all others, then the likeliest."""
    service = _Service(belief, forms)
    group = np.unique([form.group for form in forms], return_inverse=True)[1]
    order = np.lexsort((np.arange(len(forms)), -service.weight, service.against.sum(axis=0)))
    first = order[:MOST_FIRST]
    place = np.empty(len(forms), dtype=np.intp)
    place[order] = np.arange(len(forms))
    # Of two that are both tried as the first half, the pair is there once.
    once = (place[first][:, None] < place[None, :]) & (group[first][:, None] != group[None, :])
    worth = np.where(once, service.worth(first), -np.inf).ravel()
    some = np.flatnonzero(once.ravel())
    if len(some) > MOST_PAIRS:
        least = np.partition(worth, len(worth) - MOST_PAIRS)[len(worth) - MOST_PAIRS]
        some = np.flatnonzero(worth >= least)
    one, two = np.divmod(some, len(forms))
    ranked = np.lexsort((two, first[one], -worth[some]))
    pairs = ((min(a, b), max(a, b)) for a, b in zip(first[one[ranked]].tolist(), two[ranked].tolist(), strict=True))
    return list(dict.fromkeys((*list(before)[:MOST_OF_VAIN], *pairs)))[:MOST_PAIRS]


class _Service:
    """How well two forms together serve what was observed."""

    def __init__(self, belief: Belief, forms: Sequence[Form]) -> None:
        """`against` [observations, forms]: whether it speaks against all of a form; `weight` [forms]."""
        odd, shown = contradicted(belief), changes(belief)
        # One column a form of what holds for all or any of its members, which need not stand side by side.
        members = np.array([member for form in forms for member in form.members], dtype=np.intp)
        starts = np.cumsum([0, *(len(form.members) for form in forms)])[:-1]
        self.against: BoolArray = np.logical_and.reduceat(odd[:, members], starts, axis=1)
        self._quiet: BoolArray = self.against & ~np.logical_or.reduceat(shown[:, members], starts, axis=1)
        self.weight: FloatArray = np.array([form.weight for form in forms])

    def worth(self, first: IntArray) -> npt.NDArray[np.float32]:
        """[first, forms] the log of the product of the weights, less the prices; of each pair of `first` and any."""
        neither = self.against[:, first].T.astype(np.float32) @ self.against.astype(np.float32)
        unchanged = self._quiet[:, first].T.astype(np.float32) @ self._quiet.astype(np.float32)
        weight = np.log(self.weight).astype(np.float32)
        # In place and in single precision: of a large vehicle these are ten million pairs.
        neither *= -NEITHER
        neither -= UNCHANGED * unchanged
        neither += weight[first, None]
        neither += weight[None, :]
        return neither
