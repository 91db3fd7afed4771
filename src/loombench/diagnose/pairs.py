"""Two faults at once, as hypotheses, where no single suspect survives what was seen.

Nothing is added up: each row of a pair is the circuit with both faults in it. All pairs are far too many, so they are
gone through in an order and only so far (`diagnose.pairorder`). A pair that explains every observation becomes a
hypothesis; the others stay part of "nothing in the model explains this", whose share is kept.

Where a repair has changed what is seen, one half is known: pairs with it are looked for before all others, and where
none of them explains everything, what was put right is taken as good, and the rest is searched for by what was observed
since alone.

How a pair of cells is computed stands in `diagnose.pairrows`. Which pairs there are follows from the set of
observations, not from their order. A fault that comes and goes is not paired.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.belief import Belief, contradicted, spoken_for, survives, update
from loombench.diagnose.bench import FEW, Bench
from loombench.diagnose.expected import RESISTIVE
from loombench.diagnose.finer import explained_by, finer
from loombench.diagnose.hypothesis import UNEXPLAINED, Hypotheses
from loombench.diagnose.likelihood import at_supplies, log_likelihood, wrong_likelihood
from loombench.diagnose.observation import BatteryFlat, CodeSeen, FuseSeen, LoadSeen, MeterRead, Observation, Told
from loombench.diagnose.pairorder import Form, Pair, forms_of, ordered, with_known
from loombench.diagnose.pairrows import beside, boxes
from loombench.diagnose.putright import helped, put_right, since, still_wrong
from loombench.diagnose.weighing import SUPPLIES

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]

MOST_WITH_KNOWN = 2400
"""Pairs of cells that are computed where one half is known: in a large vehicle a few forms of it with some hundred."""
MOST_KEPT = 60
"""Pairs of cells that become hypotheses, the likeliest."""
MOST_KEPT_WITH_KNOWN = 150
"""The same where one half is known."""
AT_ONCE = 800
"""Pairs of cells that are computed before it is seen whether any of them explains everything."""
MOST_FINER = 10
"""Pairs whose cells are computed in steps where they fit every observation alone and not all together."""
SECOND_MARGIN = 60.0
"""In nats: half a dozen observations that do not fit."""
MATTERS = 1e-4
"""A single suspect with less than this share of the belief does not keep pairs from being looked for."""


def believed(bench: Bench, observations: Sequence[Observation]) -> Belief:
    """What is believed of a bench after some observations, two faults at once included where they are wanted.

    In a large vehicle what was put right and helped is taken as good before its pairs are gone through, if what was
    seen since is explained by one more fault: its pairs are thousands, and what was seen of it says little of the rest.
    """
    if bench.grow is not None and bench.presence >= 1.0 and _large(bench):
        sure = helped(bench, observations)
        of_rest = sure[-1:] if still_wrong(bench, observations) else sure[-2:-1]
        for name in of_rest:
            rest = since(Belief(bench, tuple(observations)), name)
            if not wanted(rest):
                return rest
    return with_pairs(update(Belief(bench), observations))


def _large(bench: Bench) -> bool:
    return len(bench.hypotheses.members) > FEW


def with_pairs(belief: Belief) -> Belief:
    """The belief with the pairs that explain every observation beside the single faults; as it is where they are not
    wanted or there are none, and with one of these cut finer where that explains every observation."""
    grow = belief.bench.grow
    if grow is None or belief.bench.presence < 1.0 or not wanted(belief):
        return belief
    sure = helped(belief.bench, belief.observations)
    beside_it = bool(sure) and bool(still_wrong(belief.bench, belief.observations))
    # The second of two faults may be far behind: what was seen of the first speaks against it.
    margin = SECOND_MARGIN if _large(belief.bench) else np.inf
    belief = update(Belief(replace(belief.bench, supply=None)), belief.observations, margin)
    forms = forms_of(belief.hypotheses)
    single = finer(belief, forms)
    if single is not None:
        return single
    found = _explaining(belief, forms, with_known(belief, forms, sure)[:MOST_WITH_KNOWN]) if sure else []
    if found:
        both = _believed(belief, forms, _of_all(forms, found)[:MOST_KEPT_WITH_KNOWN], sure)
        if both is not None:
            return both
    if beside_it and not wanted(rest := since(belief, sure[-1])):
        # What was seen of the fault put right may fit no pair, as where it was none of the model: the rest does.
        return rest
    vain = [name for name in put_right(belief.observations) if name not in sure]
    pairs = ordered(belief, forms, with_known(belief, forms, vain))
    turns = (pairs[start : start + AT_ONCE] for start in range(0, len(pairs), AT_ONCE))
    explaining = (some[:MOST_KEPT] for turn in turns if (some := _explaining(belief, forms, turn)))
    return next((both for some in explaining if (both := _believed(belief, forms, some)) is not None), belief)


def _of_all(forms: Sequence[Form], pairs: Sequence[Pair]) -> list[Pair]:
    """Some pairs so that the likeliest of each two groups comes before the second of any, else in their order."""
    seen: dict[frozenset[str], int] = {}
    turns: list[tuple[int, Pair]] = []
    for pair in pairs:
        groups = frozenset(forms[one].group for one in pair)
        seen[groups] = seen.get(groups, 0) + 1
        turns.append((seen[groups], pair))
    return [pair for _, pair in sorted(turns, key=lambda one: one[0])]


def _believed(
    belief: Belief, forms: Sequence[Form], pairs: Sequence[Pair], sure: Sequence[str] = ()
) -> Belief | None:  # fmt: skip
    """The belief with some pairs beside the single faults; None where none of them explains everything, their cells
    computed in steps or not."""

    def with_some(some: Sequence[Pair], fine: bool) -> Belief | None:
        return explained_by(
            belief, repr((some, sure, fine)), lambda: beside(belief.hypotheses, forms, some, sure, fine)
        )  # fmt: skip

    return with_some(pairs, fine=False) or with_some(pairs[:MOST_FINER], fine=True)


def wanted(belief: Belief) -> bool:
    """Whether no single suspect survives that matters, or nothing explains the case better than any does. One reading
    against a leader makes no second fault: it is more likely wrong and is questioned first. Nor is one looked for as
    long as all that was looked at on purpose is as in the sound vehicle, whatever was told."""
    known = belief.hypotheses
    purposely = [_on_purpose(one) for one in belief.observations]
    if not contradicted(belief)[purposely, known.sound].any():
        return False
    alive = survives(belief) & (belief.group_share[known.group] > MATTERS)
    return not alive.any() or (known.groups[belief.best()] == UNEXPLAINED and not spoken_for(belief))


def _on_purpose(one: Observation) -> bool:
    """Whether it was looked at or measured, and is not only told."""
    if isinstance(one, LoadSeen):
        return one.verified
    return not isinstance(one, Told | BatteryFlat | CodeSeen) and not (isinstance(one, FuseSeen) and one.told)


def _explaining(
    belief: Belief, forms: Sequence[Form], pairs: Sequence[Pair]
) -> list[Pair]:  # fmt: skip
    """Those that no observation speaks against anywhere between the ends of their cells, the likeliest first."""
    bench, left = belief.bench, list(pairs)
    assert bench.grow is not None
    # Pairs of forms of the same hypotheses are the same at the next entry, and mostly asked about again.
    known = bench.fits.of(
        belief.hypotheses, bench.grow, bench.grow.taken_back(), bench.presence, bench.provoked_by, bench.outlier_share
    )
    for gone in known.keys() - set(belief.observations):
        del known[gone]
    # What speaks against most single faults leaves fewest pairs to be computed for the rest.
    spoken = contradicted(belief).sum(axis=1)
    for place in np.argsort(-spoken, kind="stable").tolist():
        observation = belief.observations[place]
        fits = known.setdefault(observation, {})
        new = [pair for pair in left if pair not in fits]
        if new:
            fits.update(zip(new, _fitting(observation, belief, forms, new), strict=True))
        left = [pair for pair in left if fits[pair]]
    return sorted(left, key=lambda pair: (-forms[pair[0]].weight * forms[pair[1]].weight, pair))


def _fitting(observation: Observation, belief: Belief, forms: Sequence[Form], pairs: Sequence[Pair]) -> list[bool]:
    """Of each pair whether an observation fits it somewhere between the ends of its cells."""
    members, owner, rows = boxes(belief.hypotheses, forms, pairs)
    known, grow = Hypotheses(tuple(members), tuple(rows)), belief.bench.grow
    assert grow is not None
    fits = np.zeros(len(pairs), dtype=np.bool_)
    np.logical_or.at(fits, owner, allowed(observation, belief.bench.of(known, grow.of(known.faults))))
    return fits.tolist()


def allowed(observation: Observation, bench: Bench) -> BoolArray:
    """[hypotheses] whether an observation fits each other than as a wrong one, with the supply that suits it best."""
    if isinstance(observation, CodeSeen):
        return np.ones(len(bench.hypotheses.members), dtype=np.bool_)
    if isinstance(observation, MeterRead) and observation.setup.meter not in RESISTIVE:
        likely = at_supplies(observation, bench, SUPPLIES).max(axis=0)
    else:
        likely = log_likelihood(observation, bench)
    return np.asarray(likely >= np.log(2.0 * wrong_likelihood(observation, bench)))
