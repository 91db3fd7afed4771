"""Two faults at once, as hypotheses, where no single suspect survives what was seen.

Nothing is added up: each row of a pair is the circuit with both faults in it. All pairs are far too many, so they are
gone through in an order and only so far (`MOST_PAIRS`): the first half is one of the single faults that the fewest
observations speak against; first come pairs of which one or the other alone would explain each observation, then
pairs of which one or the other at least changes what the sound vehicle would show there, then the others, which only
together show anything (two ways to ground in parallel); within each by the product of the weights. A pair that explains
every observation becomes a hypothesis; the others stay part of "nothing in the model explains this", whose share is
kept.

Of a pair of which both halves have a range of ohms, one half is cut into points (`POINTS` a cell), the other stays a
cell: what two readings ask of it is then asked of the same point. Which pairs there are follows from the set of
observations, not from their order. A fault that comes and goes is not paired.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief, contradicted, spoken_for, strikes, survives, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import RESISTIVE
from loombench.diagnose.hypothesis import PARTS, UNEXPLAINED, Hypotheses, Hypothesis, paired
from loombench.diagnose.likelihood import at_supplies, log_likelihood, wrong_likelihood
from loombench.diagnose.observation import BatteryFlat, CodeSeen, FuseSeen, LoadSeen, MeterRead, Observation, Told
from loombench.diagnose.weighing import SUPPLIES
from loombench.facts.weight import fault_weight

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
Rows = dict[tuple[Fault, ...], int]

MOST_FIRST = 120
"""Single faults, cells counted one by one, that are tried as the first half."""
MOST_PAIRS = 800
"""Pairs of cells that are computed in one search."""
MOST_KEPT = 60
"""Pairs of cells that become hypotheses, the likeliest."""
POINTS = 6
"""Points in a cell of the second half: an eighth at most beside what it may really have."""
SECOND_MARGIN = 60.0
"""In nats: half a dozen observations that do not fit."""
MATTERS = 1e-4
"""A single suspect with less than this share of the belief does not keep pairs from being looked for."""
CHANGES = 0.05
"""A fault changes an observation where it makes it likelier or less likely than the sound vehicle by so many nats."""


@dataclass(frozen=True, eq=False)
class _Form:
    """One single fault, or one whole cell of it: what halves of pairs are made of."""

    group: str
    fault: Fault
    low: int
    high: int
    weight: float
    members: tuple[int, ...]

    @property
    def cell(self) -> bool:
        return self.low != self.high


def with_pairs(belief: Belief) -> Belief:
    """The belief with the pairs that explain every observation beside the single faults; as it is where they are not
    wanted or there are none."""
    grow = belief.bench.grow
    if grow is None or belief.bench.presence < 1.0 or not wanted(belief):
        return belief
    # The second of two faults may be far behind: what was seen of the first speaks against it.
    belief = update(Belief(replace(belief.bench, supply=None)), belief.observations, SECOND_MARGIN)
    forms = _forms(belief.hypotheses)
    tiers = _ordered(belief, forms)
    # What shows only together is looked for where nothing else is left to explain the case.
    found = next((some for tier in tiers if (some := _explaining(belief, forms, tier))), [])[:MOST_KEPT]
    if not found:
        return belief
    known = _more(belief.hypotheses, forms, found)
    bench = replace(belief.bench, hypotheses=known, forecast=grow.of(known.faults), supply=None)
    every = update(Belief(bench), belief.observations)
    single = len(belief.hypotheses.members)
    kept = np.flatnonzero((np.arange(len(known.members)) < single) | (strikes(every) == 0))
    return _only(every, kept) if len(kept) > single else belief


def wanted(belief: Belief) -> bool:
    """Whether no single suspect survives that matters, or nothing explains the case better than any does. One reading
    against a leader makes no second fault: it is more likely wrong and is questioned first."""
    known = belief.hypotheses
    if not any(_on_purpose(one) for one in belief.observations):
        return False
    alive = survives(belief) & (belief.group_share[known.group] > MATTERS)
    return not alive.any() or (known.groups[belief.best()] == UNEXPLAINED and not spoken_for(belief))


def _on_purpose(one: Observation) -> bool:
    """Whether it was looked at or measured, and is not only told."""
    if isinstance(one, LoadSeen):
        return one.verified
    return not isinstance(one, Told | BatteryFlat | CodeSeen) and not (isinstance(one, FuseSeen) and one.told)


def _forms(known: Hypotheses) -> list[_Form]:
    found: dict[tuple[str, int, int], list[int]] = {}
    for number, member in enumerate(known.members):
        if member.fault is not None:
            found.setdefault((member.group, member.low, member.high), []).append(number)
    return [
        _Form(group, fault, low, high, sum(known.members[one].weight for one in members), tuple(members))
        for (group, low, high), members in found.items()
        if (fault := known.members[members[0]].fault) is not None
    ]


def _ordered(belief: Belief, forms: Sequence[_Form]) -> tuple[list[tuple[int, int]], ...]:
    """The pairs of forms to be computed: first those that show alone, then the others."""
    against, changes = _against(belief, forms)
    weight = np.array([form.weight for form in forms])
    group = np.unique([form.group for form in forms], return_inverse=True)[1]
    order = np.lexsort((np.arange(len(forms)), -weight, against.sum(axis=0)))
    first = order[:MOST_FIRST]
    neither = against[:, first].T.astype(float) @ against.astype(float)
    quiet = against & ~changes
    nor_changed = quiet[:, first].T.astype(float) @ quiet.astype(float)
    tier = np.where(neither == 0, 0, np.where(nor_changed == 0, 1, 2))
    place = np.empty(len(forms), dtype=np.intp)
    place[order] = np.arange(len(forms))
    # Of two that are both tried as the first half, the pair is there once.
    once = (place[first][:, None] < place[None, :]) & (group[first][:, None] != group[None, :])
    one, two = np.nonzero(once)
    product = weight[first][one] * weight[two]
    some = np.lexsort((two, first[one], -product, tier[one, two]))[:MOST_PAIRS]
    ordered = [(min(a, b), max(a, b)) for a, b in zip(first[one[some]].tolist(), two[some].tolist(), strict=True)]
    shown = int(np.count_nonzero(tier[one, two][some] < 2))
    return ordered[:shown], ordered[shown:]


def _against(belief: Belief, forms: Sequence[_Form]) -> tuple[BoolArray, BoolArray]:
    """[observations, forms] each: whether it speaks against all of a form, and whether a form changes it at all."""
    odd = contradicted(belief)
    support = np.array(belief.support)
    sound = next(k for k, member in enumerate(belief.hypotheses.members) if member.fault is None)
    differs = np.abs(support - support[:, [sound]]) > CHANGES
    against = np.stack([odd[:, form.members].all(axis=1) for form in forms], axis=1)
    changes = np.stack([differs[:, form.members].any(axis=1) for form in forms], axis=1)
    return against, changes


def _explaining(
    belief: Belief, forms: Sequence[_Form], pairs: Sequence[tuple[int, int]]
) -> list[tuple[int, int]]:  # fmt: skip
    """Those that no observation speaks against anywhere between the ends of their cells, the likeliest first."""
    left = list(pairs)
    # What speaks against most single faults leaves fewest pairs to be computed for the rest.
    spoken = contradicted(belief).sum(axis=1)
    for place in np.argsort(-spoken, kind="stable").tolist():
        observation = belief.observations[place]
        if not left:
            return []
        members, owner, rows = _boxes(belief.hypotheses, forms, left)
        known = Hypotheses(tuple(members), tuple(rows))
        grow = belief.bench.grow
        assert grow is not None
        bench = replace(belief.bench, hypotheses=known, forecast=grow.of(known.faults), supply=None)
        fits = np.zeros(len(left), dtype=np.bool_)
        np.logical_or.at(fits, owner, allowed(observation, bench))
        left = [pair for pair, fit in zip(left, fits, strict=True) if fit]
    return sorted(left, key=lambda pair: (-forms[pair[0]].weight * forms[pair[1]].weight, pair))


def allowed(observation: Observation, bench: Bench) -> BoolArray:
    """[hypotheses] whether an observation fits each other than as a wrong one, with the supply that suits it best."""
    if isinstance(observation, CodeSeen):
        return np.ones(len(bench.hypotheses.members), dtype=np.bool_)
    if isinstance(observation, MeterRead) and observation.setup.meter not in RESISTIVE:
        likely = at_supplies(observation, bench, SUPPLIES).max(axis=0)
    else:
        likely = log_likelihood(observation, bench)
    return np.asarray(likely >= np.log(2.0 * wrong_likelihood(observation, bench.nominal_v)))


def _boxes(
    known: Hypotheses, forms: Sequence[_Form], pairs: Sequence[tuple[int, int]]
) -> tuple[list[Hypothesis], IntArray, Rows]:
    """Each pair as one hypothesis, or where both are cells as the two diagonals: what a reading does between the four
    corners is between the ends of one of them."""
    rows: Rows = {(): 0}
    members: list[Hypothesis] = []
    owner: list[int] = []
    for number, (one, two) in enumerate(pairs):
        a, b = forms[one], forms[two]
        ends = [((a.low, b.low), (a.high, b.high))]
        ends += [((a.low, b.high), (a.high, b.low))] if a.cell and b.cell else []
        for low, high in ends:
            at = [_row(rows, (*known.faults[x], *known.faults[y])) for x, y in (low, high)]
            alone = tuple(
                (_row(rows, known.faults[form.low]), _row(rows, known.faults[form.high])) for form in (a, b)
            )  # fmt: skip
            members.append(_member(a, b, (at[0], at[1]), 1.0, (0.0, 1.0), b.fault, alone))
            owner.append(number)
    return members, np.array(owner, dtype=np.intp), rows


def _more(known: Hypotheses, forms: Sequence[_Form], pairs: Sequence[tuple[int, int]]) -> Hypotheses:
    """The hypotheses with those of some pairs after them; "nothing explains" keeps its share."""
    rows: Rows = {faults: row for row, faults in enumerate(known.faults)}
    single = sum(member.weight for member in known.members if member.fault is not None)
    both = fault_weight("nothing", "second").weight / 100.0
    added: list[Hypothesis] = []
    for one, two in pairs:
        a, b = forms[one], forms[two]
        # Two drawn by their weights, in either order.
        weight = 2.0 * both * a.weight * b.weight / single
        points = _points(known, b) if a.cell and b.cell else ()
        cut: list[tuple[tuple[Fault, ...], tuple[Fault, ...]]] = [((point,), (point,)) for point in points]
        ends = cut or [(known.faults[b.low], known.faults[b.high])]
        parts = PARTS if a.cell or b.cell else 1
        for low, high in ends:
            at = _row(rows, (*known.faults[a.low], *low)), _row(rows, (*known.faults[a.high], *high))
            alone = ((a.low, a.high), (_row(rows, low), _row(rows, high)))
            named = low[0] if points else b.fault
            added += [
                _member(a, b, at, weight / len(ends) / parts, (k / parts, (k + 1) / parts), named, alone)
                for k in range(parts)
            ]
    whole = sum(member.weight for member in known.members)
    more = sum(member.weight for member in added)
    kept = tuple(
        replace(member, weight=member.weight * (1.0 + more / (whole - member.weight)))
        if member.group == UNEXPLAINED
        else member
        for member in known.members
    )
    return Hypotheses((*kept, *added), tuple(rows))


def _member(
    a: _Form, b: _Form, at: tuple[int, int], weight: float, part: tuple[float, float], named: Fault,
    alone: tuple[tuple[int, int], ...],
) -> Hypothesis:  # fmt: skip
    return Hypothesis(paired(a.group, b.group), a.fault, *at, weight, *part, named, alone)


def _points(known: Hypotheses, form: _Form) -> tuple[Fault, ...]:
    """Ohms in the middle of even shares of the decades of a cell."""
    (low,), (high,) = known.faults[form.low], known.faults[form.high]
    ratio = high.ohm / low.ohm
    return tuple(replace(low, ohm=low.ohm * ratio ** ((k + 0.5) / POINTS)) for k in range(POINTS))


def _row(rows: Rows, faults: tuple[Fault, ...]) -> int:
    return rows.setdefault(faults, len(rows))


def _only(belief: Belief, kept: IntArray) -> Belief:
    """The belief with some of its hypotheses left out; what they weighed is not handed to "nothing explains"."""
    known = belief.hypotheses
    members = [known.members[one] for one in kept]
    some = Hypotheses(tuple(members), known.faults)
    whole = sum(member.weight for member in known.members)
    share = sum(member.weight for member in known.members if member.group == UNEXPLAINED) / whole
    rest = sum(member.weight for member in members if member.group != UNEXPLAINED)
    again = tuple(
        replace(member, weight=rest * share / (1.0 - share)) if member.group == UNEXPLAINED else member
        for member in some.members
    )
    some = Hypotheses(again, known.faults)
    supply = belief.bench.supply
    bench = replace(belief.bench, hypotheses=some, supply=None if supply is None else supply[kept])
    of_supply = None if belief.of_supply is None else belief.of_supply[kept]
    return Belief(bench, belief.observations, tuple(support[kept] for support in belief.support), of_supply)
