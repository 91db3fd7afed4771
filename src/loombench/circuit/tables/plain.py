"""Rows that change one element: most of a table, all in arrays.

Whatever is not as plain as that is left to `rows`, which says the same of these rows too, one by one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loombench.circuit.compiled import compiled_from
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray
from loombench.circuit.tables.across import Flat
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.change import Change, One
from loombench.circuit.tables.port import Drawn, Port
from loombench.circuit.tables.reach import reach
from loombench.circuit.tables.respond import respond
from loombench.circuit.tables.systems import Systems, answered, laws_of
from loombench.circuit.tables.ties import is_source, tied_by

_TOGETHER = 512


@dataclass(frozen=True, eq=False)
class Plain:
    """The rows that are plain, `some` [n] by their place among those asked for: `volts` [n, pairs] that the base
    watches, whether their network has the ends of a pair `apart` [n, pairs], and what their `ports` draw. Of those that
    are `unsure` the base cannot tell, however they are asked."""

    some: IntArray
    unsure: IntArray
    volts: FloatArray
    apart: BoolArray
    ports: Flat


@dataclass(frozen=True, eq=False)
class _Ones:
    """[n] the one element of each row: where it is, whether it conducted and does, and what it is."""

    row: IntArray
    place: IntArray
    a: IntArray
    b: IntArray
    conducted: BoolArray
    conducts: BoolArray
    makes_volts: BoolArray
    one: tuple[One, ...]

    def of(self, some: IntArray) -> "_Ones":
        """Some of them."""
        return _Ones(
            self.row[some], self.place[some], self.a[some], self.b[some], self.conducted[some], self.conducts[some],
            self.makes_volts[some], tuple(self.one[k] for k in some.tolist()),
        )  # fmt: skip


def plain(base: Base, changes: Sequence[Change]) -> Plain:
    """What is seen at a base under the rows that are plain."""
    ones = _ones(base, changes)
    island, watched = base.island, base.watched
    cuts = ones.conducted & (base.behind[ones.place] >= 0)
    ties = (island[ones.a] != island[ones.b]) & ones.conducts
    kept = np.flatnonzero(~((cuts | ties) & ones.makes_volts) & ~_feeds(base, ones.place))
    ones, cuts, ties = ones.of(kept), cuts[kept], ties[kept]
    draws = (ones.conducted | ones.conducts) & ~cuts & ~ties
    usual_v = base.inner_v[watched.a] - base.inner_v[watched.b]
    volts = np.repeat(usual_v[np.newaxis, :], len(ones.row), axis=0)
    apart = np.repeat((island[watched.a] != island[watched.b])[np.newaxis, :], len(ones.row), axis=0)
    opened = np.flatnonzero(cuts & ~ones.conducts)
    for start in range(0, len(opened), _TOGETHER):
        few = opened[start : start + _TOGETHER]
        apart[few] |= base.parts(ones.place[few], watched.a, watched.b)
    for k in np.flatnonzero(ties).tolist():
        tied = tied_by(base, int(ones.a[k]), int(ones.b[k]))
        volts[k] += tied.lift(watched.a, watched.b)
        if tied.island is not None:
            apart[k] = tied.island[watched.a] != tied.island[watched.b]
    sure = ~draws
    drawn = [(np.zeros(0, dtype=np.intp), np.zeros((5, 0)))]
    asked = np.flatnonzero(draws)
    for start in range(0, len(asked), _TOGETHER):
        few = asked[start : start + _TOGETHER]
        line, table, volts[few] = _drawn(base, ones.of(few))
        sure[few[line]] = True
        drawn.append((few[line], table))
    line, table = (np.concatenate(one, axis=-1) for one in zip(*drawn, strict=True))
    counted, every = np.cumsum(sure) - 1, Drawn(table)
    ports = Flat(int(sure.sum()), counted[line], every.place, every.a, every.b, every.extra_a, every.current_a)
    return Plain(ones.row[sure], ones.row[~sure], volts[sure], apart[sure], ports)


def _ones(base: Base, changes: Sequence[Change]) -> _Ones:
    elements = base.p.netlist.elements
    whole: list[tuple[int, int, int, int, bool, bool, bool]] = []
    found: list[One] = []
    for row, change in enumerate(changes):
        one = change.one
        if one is None:
            continue
        gates = one.element.gates
        as_before = one.place >= 0 and gates == elements[one.place].gates
        if as_before or not gates or one.is_never:
            whole.append((row, one.place, one.a, one.b, as_before, not gates, is_source(one.element)))
            found.append(one)
    table = np.array(whole, dtype=np.intp).reshape(-1, 7)
    place = table[:, 1]
    conducted = (place >= 0) & base.closed[place]
    conducts = (table[:, 5] == 1) | ((table[:, 4] == 1) & conducted)
    return _Ones(table[:, 0], place, table[:, 2], table[:, 3], conducted, conducts, table[:, 6] == 1, tuple(found))


def _feeds(base: Base, place: IntArray) -> BoolArray:
    """Whether a place is that of a supply that a converter feeds."""
    feeds = [int(base.p.devices.index[supply]) for draw in base.own.draws for supply in draw.feeds]
    return np.isin(place, feeds)


def _drawn(base: Base, ones: _Ones) -> tuple[IntArray, FloatArray, FloatArray]:
    """[ports] the rows that are answered, each as often as it has ports, [5, ports] what these draw, as by `Drawn`, and
    [rows, pairs] volts."""
    elements = [one.element if conducts else None for one, conducts in zip(ones.one, ones.conducts, strict=True)]
    loops = compiled_from(0)
    if loops is None:
        every = zip(ones.one, elements, strict=True)
        ports = [[Port(one.place, one.a, one.b, element, one.line[2])] for one, element in every]
        drawn, volts = respond(base, ports, watching=True)
        some = [(k, one.table) for k, one in enumerate(drawn) if one is not None]
        widths = [table.shape[1] for _, table in some]
        table = np.concatenate([np.zeros((5, 0)), *(table for _, table in some)], axis=1)
        return np.repeat(np.array([k for k, _ in some], dtype=np.intp), widths), table, volts
    ends, which = np.unique(ones.a * base.p.netlist.nodes + ones.b, return_inverse=True)
    pairs = np.stack(np.divmod(ends, base.p.netlist.nodes), axis=1)
    at = reach(base, [(int(a), int(b)) for a, b in pairs.tolist()], base.watched)
    law, laws = laws_of(base, elements)
    line = np.where(ones.conducts[:, np.newaxis], np.array([one.line for one in ones.one]), 0.0)
    start = np.arange(len(which) + 1)
    answers = answered(loops, base, at, Systems(start, len(base.own.place) + which, ones.place, law, line, laws))
    known = answers.end >= 0
    counts = np.diff(answers.end[known], prepend=0)
    return np.repeat(np.flatnonzero(known), counts), answers.table, answers.volts
