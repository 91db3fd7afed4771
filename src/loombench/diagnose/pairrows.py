"""Pairs of faults as rows and hypotheses: what is computed of two cells of ohms at once.

Of a pair of which both halves have a range of ohms, one half is cut into points (`POINTS` a cell), the other stays a
cell: what two readings ask of it is then asked of the same point. Where that is too coarse the points stand closer
(`FINE_POINTS`), and the other cell is cut in steps.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.finer import cut, steps
from loombench.diagnose.hypothesis import PARTS, UNEXPLAINED, Hypotheses, Hypothesis, paired
from loombench.diagnose.pairorder import Form, Pair
from loombench.facts.weight import fault_weight

IntArray = npt.NDArray[np.intp]
Rows = dict[tuple[Fault, ...], int]
Span = tuple[tuple[Fault, ...], tuple[Fault, ...], Fault]
"""The faults at both ends of a part of a cell, and what it is called."""

POINTS = 6
"""Points in a cell of the second half: an eighth at most beside what it may really have."""
FINE_POINTS = 24
"""The same where that is too coarse: four hundredths at most, about what the readings of such a fault leave open."""


def boxes(known: Hypotheses, forms: Sequence[Form], pairs: Sequence[Pair]) -> tuple[list[Hypothesis], IntArray, Rows]:
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
            parts = PARTS if a.cell or b.cell else 1
            shares = [(k / parts, (k + 1) / parts) for k in range(parts)]
            members += [_member(a, b, (at[0], at[1]), 1.0, share, b.fault, alone) for share in shares]
            owner += [number] * parts
    return members, np.array(owner, dtype=np.intp), rows


def beside(
    known: Hypotheses, forms: Sequence[Form], pairs: Sequence[Pair], sure: Sequence[str] = (), fine: bool = False
) -> Hypotheses:
    """The hypotheses with those of some pairs after them, their cells in steps where `fine`; "nothing explains" keeps
    its share. Of a group that is `sure` it is only asked what is wrong beside it."""
    rows: Rows = {faults: row for row, faults in enumerate(known.faults)}
    single = sum(member.weight for member in known.members if member.fault is not None)
    both = fault_weight("nothing", "second").weight / 100.0
    own = {name: sum(form.weight for form in forms if form.group == name) for name in sure}
    added: list[Hypothesis] = []
    for one, two in pairs:
        a, b = forms[one], forms[two]
        # Two drawn by their weights, in either order; where one is known, the other by its weight.
        drawn = [both * a.weight * b.weight / own[form.group] for form in (a, b) if form.group in own]
        weight = max(drawn, default=2.0 * both * a.weight * b.weight / single)
        first, second = _spans(known, a, b, fine)
        parts = PARTS if a.cell or b.cell else 1
        share = weight / len(first) / len(second) / parts
        for one_low, one_high, name in first:
            for low, high, other in second:
                at = _row(rows, (*one_low, *low)), _row(rows, (*one_high, *high))
                alone = (
                    (_row(rows, one_low), _row(rows, one_high)),
                    (_row(rows, low), _row(rows, high)),
                )
                added += [
                    _member(replace(a, fault=name), b, at, share, (k / parts, (k + 1) / parts), other, alone)
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
    a: Form, b: Form, at: tuple[int, int], weight: float, part: tuple[float, float], named: Fault,
    alone: tuple[tuple[int, int], ...],
) -> Hypothesis:  # fmt: skip
    return Hypothesis(paired(a.group, b.group), a.fault, *at, weight, *part, named, alone)


def _spans(known: Hypotheses, a: Form, b: Form, fine: bool) -> tuple[list[Span], list[Span]]:
    """What is computed of each half: points of the second where both are cells."""
    if not (a.cell and b.cell):
        return _span(known, a, fine), _span(known, b, fine)
    count = FINE_POINTS if fine else POINTS
    points = cut(known, b.low, b.high, [(k + 0.5) / count for k in range(count)])
    return _span(known, a, fine), [((point,), (point,), point) for point in points]


def _span(known: Hypotheses, form: Form, fine: bool) -> list[Span]:
    """A cell, or the steps of it; what has no range as it is."""
    if not (form.cell and fine):
        return [(known.faults[form.low], known.faults[form.high], form.fault)]
    return [((low,), (high,), middle) for low, high, middle in steps(known, form.low, form.high)]


def _row(rows: Rows, faults: tuple[Fault, ...]) -> int:
    return rows.setdefault(faults, len(rows))
