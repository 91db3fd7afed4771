"""Single faults with a range of ohms, cut finer, where nothing else explains everything.

Along a cell readings are taken as going evenly from end to end, with one jump at most where a relay falls or a fuse
blows. A short near a battery does more between 5 and 50 milliohm: the supply itself sags, and past the jump what has
fallen sags with it. Before two faults at once are thought of, the cells of the single faults that come nearest to
explaining everything are computed in steps.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief, strikes, update
from loombench.diagnose.hypothesis import PARTS, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.pairorder import Form

IntArray = npt.NDArray[np.intp]

MOST_CELLS = 24
"""Cells that are cut finer, those that the fewest observations speak against."""
MOST_STRIKES = 6
"""Readings against a cell beyond which no finer cut of it is tried."""
STEPS = 6
"""Cells that a cell is cut into: in a cell of a decade each half as many ohms again."""


def finer(belief: Belief, forms: Sequence[Form]) -> Belief | None:
    """The belief with such cells beside the others; None where none of them explains everything."""
    against = strikes(belief)
    least = [int(against[list(form.members)].min()) for form in forms]
    cells = [k for k, form in enumerate(forms) if form.cell and least[k] <= MOST_STRIKES]
    some = sorted(cells, key=lambda k: (least[k], -forms[k].weight, k))[:MOST_CELLS]
    name = repr([(forms[k].group, forms[k].low, forms[k].high) for k in some])
    return explained_by(belief, name, lambda: _stepped(belief.hypotheses, [forms[k] for k in some])) if some else None


def _stepped(known: Hypotheses, forms: Sequence[Form]) -> Hypotheses:
    """The hypotheses with cells cut finer after them."""
    rows: dict[tuple[Fault, ...], int] = {faults: row for row, faults in enumerate(known.faults)}
    added: list[Hypothesis] = []
    for form in forms:
        for low, high, middle in steps(known, form.low, form.high):
            one, other = (rows.setdefault((edge,), len(rows)) for edge in (low, high))
            weight = form.weight / STEPS / PARTS
            added += [
                Hypothesis(form.group, middle, one, other, weight, part / PARTS, (part + 1) / PARTS)
                for part in range(PARTS)
            ]
    return Hypotheses((*known.members, *added), tuple(rows))


def cut(known: Hypotheses, low: int, high: int, at: Sequence[float]) -> tuple[Fault, ...]:
    """The fault between the rows of two ends of a cell, at these shares of the decades between them."""
    (one,), (other,) = known.faults[low], known.faults[high]
    return tuple(replace(one, ohm=one.ohm * (other.ohm / one.ohm) ** share) for share in at)


def steps(known: Hypotheses, low: int, high: int) -> list[tuple[Fault, Fault, Fault]]:
    """The steps of the cell between the rows of two ends: the fault at both ends of each and in its middle."""
    edges = cut(known, low, high, [k / STEPS for k in range(STEPS + 1)])
    middles = cut(known, low, high, [(k + 0.5) / STEPS for k in range(STEPS)])
    return list(zip(edges[:-1], edges[1:], middles, strict=True))


def explained_by(belief: Belief, name: str, make: Callable[[], Hypotheses]) -> Belief | None:
    """The belief with those hypotheses beside its own, which come first in what `make` makes (by `Bench.beside`), that
    no observation speaks against; None where there are none."""
    bench = belief.bench.beside(name, make)
    known = bench.hypotheses
    every = update(Belief(bench), belief.observations)
    own = len(belief.hypotheses.members)
    kept = np.flatnonzero((np.arange(len(known.members)) < own) | (strikes(every) == 0))
    return _only(every, kept) if len(kept) > own else None


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
    bench = replace(belief.bench, hypotheses=some, supply=None if supply is None else supply[kept], first=None)
    of_supply = None if belief.of_supply is None else belief.of_supply[kept]
    return Belief(bench, belief.observations, tuple(support[kept] for support in belief.support), of_supply)
