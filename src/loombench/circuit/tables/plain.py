"""Rows that change one element which follows a line, and move nothing that is bent: most of a table, all in arrays.

Whatever is not as plain as that is left to `rows`, which says the same of these rows too, one by one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray
from loombench.circuit.tables.across import Flat
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.limits import ADMITTED_V, GREATEST_GAIN, GREATEST_V
from loombench.circuit.tables.small import LINEAR, Small, newton
from loombench.circuit.tables.tangents import beyond_tangents

_TOGETHER = 512


@dataclass(frozen=True, eq=False)
class Plain:
    """The rows that are plain, `some` [n] by their place among those asked for: `volts` [n, pairs] that the base
    watches, whether their network has the ends of a pair `apart` [n, pairs], and what their `ports` draw."""

    some: IntArray
    volts: FloatArray
    apart: BoolArray
    ports: Flat


@dataclass(frozen=True, eq=False)
class _Ones:
    """[n] the one element of each row: where it is, whether it conducted and does, and its new law."""

    row: IntArray
    place: IntArray
    a: IntArray
    b: IntArray
    conducted: BoolArray
    conducts: BoolArray
    line: FloatArray
    """[n, 3] siemens, ampere at no volts, and ohms in series."""

    def of(self, some: IntArray) -> "_Ones":
        """Some of them."""
        return _Ones(*(getattr(self, name)[some] for name in self.__dataclass_fields__))


def plain(base: Base, changes: Sequence[Change]) -> Plain:
    """What is seen at a base under the rows that are plain."""
    ones = _ones(base, changes)
    island, watched = base.island, base.watched
    cuts = ones.conducted & (base.behind[ones.place] >= 0)
    draws = (ones.conducted | ones.conducts) & ~cuts
    makes_volts = ones.line[:, 1] != 0.0
    joins = (island[ones.a] != island[ones.b]) & ones.conducts
    kept = np.flatnonzero(~joins & ~(cuts & makes_volts) & ~_feeds(base, ones.place))
    ones, cuts, draws = ones.of(kept), cuts[kept], draws[kept]
    usual_v = base.inner_v[watched.a] - base.inner_v[watched.b]
    volts = np.repeat(usual_v[np.newaxis, :], len(ones.row), axis=0)
    apart = np.repeat((island[watched.a] != island[watched.b])[np.newaxis, :], len(ones.row), axis=0)
    opened = np.flatnonzero(cuts & ~ones.conducts)
    for start in range(0, len(opened), _TOGETHER):
        few = opened[start : start + _TOGETHER]
        apart[few] |= base.parts(ones.place[few], watched.a, watched.b)
    sure = ~draws
    drawn: list[tuple[IntArray, FloatArray, FloatArray]] = []
    asked = np.flatnonzero(draws)
    for start in range(0, len(asked), _TOGETHER):
        few = asked[start : start + _TOGETHER]
        fine, extra_a, current_a, volts[few] = _drawn(base, ones.of(few), usual_v)
        sure[few] = fine
        drawn.append((few, extra_a, current_a))
    line, extra_a, current_a = (np.concatenate(one) for one in zip(*drawn, strict=True)) if drawn else _NOTHING
    counted, known = np.cumsum(sure) - 1, sure[line]
    line, extra_a, current_a = line[known], extra_a[known], current_a[known]
    ports = Flat(int(sure.sum()), counted[line], ones.place[line], ones.a[line], ones.b[line], extra_a, current_a)
    return Plain(ones.row[sure], volts[sure], apart[sure], ports)


_NOTHING = (np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros(0))


def _ones(base: Base, changes: Sequence[Change]) -> _Ones:
    elements = base.p.netlist.elements
    whole: list[tuple[int, int, int, int, bool, bool]] = []
    lines: list[tuple[float, float, float]] = []
    for row, change in enumerate(changes):
        one = change.one
        if one is None:
            continue
        as_before = one.place >= 0 and one.gates == elements[one.place].gates
        if as_before or not one.gates or one.is_never:
            whole.append((row, one.place, one.a, one.b, as_before, not one.gates))
            lines.append(one.line)
    table = np.array(whole, dtype=np.intp).reshape(-1, 6)
    place = table[:, 1]
    conducted = (place >= 0) & base.closed[place]
    conducts = (table[:, 5] == 1) | ((table[:, 4] == 1) & conducted)
    return _Ones(table[:, 0], place, table[:, 2], table[:, 3], conducted, conducts, np.array(lines).reshape(-1, 3))


def _feeds(base: Base, place: IntArray) -> BoolArray:
    """Whether a place is that of a supply that a converter feeds."""
    feeds = [int(base.p.devices.index[supply]) for draw in base.own.draws for supply in draw.feeds]
    return np.isin(place, feeds)


def _drawn(base: Base, ones: _Ones, usual_v: FloatArray) -> tuple[BoolArray, FloatArray, FloatArray, FloatArray]:
    """[rows] whether the answer is sure and nothing bent moves, what each draws beyond its sound law and in all, and
    [rows, pairs] volts."""
    own, watched, count = base.own, base.watched, base.p.netlist.nodes
    ends, which = np.unique(ones.a * count + ones.b, return_inverse=True)
    pairs = np.stack(np.divmod(ends, count), axis=1)
    nodes = np.unique(np.concatenate((pairs.ravel(), own.a, own.b, watched.a, watched.b)))
    wide = base.columns([(int(a), int(b)) for a, b in pairs.tolist()], nodes)

    def between(a: IntArray, b: IntArray) -> FloatArray:
        return wide[:, np.searchsorted(nodes, a)] - wide[:, np.searchsorted(nodes, b)]

    rows = np.arange(len(which))
    response = wide[which, np.searchsorted(nodes, ones.a)] - wide[which, np.searchsorted(nodes, ones.b)]
    open_v = base.inner_v[ones.a] - base.inner_v[ones.b]
    slope, source = (np.where(ones.conducted, one[ones.place], 0.0) for one in (base.slope_s, base.source_a))
    line = np.where(ones.conducts[:, np.newaxis], ones.line, 0.0)
    law = np.full((len(rows), 1), LINEAR, dtype=np.intp)
    wide_as = (slice(None), np.newaxis)
    small = Small(
        response[:, np.newaxis, np.newaxis], open_v[wide_as], slope[wide_as], source[wide_as], law,
        line[:, :1], line[:, 1:2], line[:, 2:],
    )  # fmt: skip
    found = newton(small, base.p.devices, open_v[wide_as])
    extra = found.extra_a[:, 0]
    across = (base.inner_v[own.a] - base.inner_v[own.b]) - extra[:, np.newaxis] * between(own.a, own.b)[which]
    off, _ = beyond_tangents(base, across)
    felt = np.abs(off) * np.diagonal(own.across)
    felt[ones.place[:, np.newaxis] == own.place] = 0.0
    sure = found.settled & (found.gain < GREATEST_GAIN) & (np.abs(response * extra) < GREATEST_V)
    sure &= (felt <= ADMITTED_V).all(axis=1)
    volts = usual_v - extra[:, np.newaxis] * between(watched.a, watched.b)[which]
    return sure, extra, found.current_a[:, 0], volts
