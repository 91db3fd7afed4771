"""Volts and currents of many faults' networks, where they are wanted, from what each draws beyond the sound one."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loombench.circuit.compiled import compiled_from
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray, OneByOne
from loombench.circuit.network import Prepared
from loombench.circuit.newton import Solution
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.entry import Entry
from loombench.circuit.tables.port import Drawn
from loombench.circuit.tables.small import law_currents

_NONE = np.zeros(0)
_NOWHERE = np.zeros(0, dtype=np.intp)


@dataclass(frozen=True, eq=False)
class Flat:
    """The ports of some entries one after the other: of which entry, where, and what each draws."""

    count: int
    line: IntArray
    place: IntArray
    a: IntArray
    b: IntArray
    extra_a: FloatArray
    current_a: FloatArray


def flat(entries: Sequence[Entry]) -> Flat:
    """The ports of some entries."""
    some = [(line, entry.drawn) for line, entry in enumerate(entries) if entry.drawn is not None]
    if not some:
        return Flat(len(entries), _NOWHERE, _NOWHERE, _NOWHERE, _NOWHERE, _NONE, _NONE)
    line = np.repeat([line for line, _ in some], [one.table.shape[1] for _, one in some])
    every = Drawn(np.concatenate([one.table for _, one in some], axis=1))
    return Flat(len(entries), line, every.place, every.a, every.b, every.extra_a, every.current_a)


def volts_across(base: Base, entries: Sequence[Entry], ports: Flat, a: IntArray, b: IntArray) -> FloatArray:
    """[entries, pairs] volts from `a` to `b` [pairs]."""
    result = np.repeat((base.inner_v[a] - base.inner_v[b])[np.newaxis, :], len(entries), axis=0)
    if len(ports.line) and len(a):
        moved = _moved(base, ports, a, b)
        first = np.flatnonzero(np.diff(ports.line, prepend=-1))
        result[ports.line[first]] -= np.add.reduceat(moved, first, axis=0)
    for line, entry in enumerate(entries):
        if entry.lifted is not None:
            result[line] += entry.lift(a, b)
        elif entry.whole is not None:
            result[line] = entry.whole.across_v(base, a, b)
    return result


def _moved(base: Base, ports: Flat, a: IntArray, b: IntArray) -> FloatArray:
    """[ports, pairs] what each port takes off the volts of each pair. The network answers alike both ways, so that it
    is asked by whichever are fewer."""
    ends, which = np.unique(np.stack((ports.a, ports.b), axis=1), axis=0, return_inverse=True)
    if len(ends) > len(a):
        columns = base.columns(list(zip(a.tolist(), b.tolist(), strict=True)))
        response = (columns[:, ports.a] - columns[:, ports.b]).T
    else:
        nodes = np.unique(np.concatenate((a, b)))
        columns = base.columns([(int(one), int(other)) for one, other in ends], nodes)
        response = (columns[:, np.searchsorted(nodes, a)] - columns[:, np.searchsorted(nodes, b)])[which.ravel()]
    result: FloatArray = response * ports.extra_a[:, np.newaxis]
    return result


def currents_at(
    p: Prepared, base: Base, entries: Sequence[Entry], ports: Flat, places: IntArray, volts: FloatArray
) -> FloatArray:
    """[entries, places] currents of elements with `volts` [entries, places] across them, of a port its new one."""
    result = base.slope_s[places] * volts + base.source_a[places]
    where = p.device_of[places]
    bent = np.flatnonzero((where >= 0) & base.closed[places])
    if len(bent):
        some = bent[np.argsort(where[bent], kind="stable")]
        result[:, some] = law_currents(p.devices, where[some], volts[:, some])
    there = np.zeros(len(p.a) + 1, dtype=np.bool_)
    there[places] = True
    # What is new is at -1, which is nowhere.
    known = np.flatnonzero(there[ports.place])
    port, pair = np.nonzero(ports.place[known, np.newaxis] == places)
    result[ports.line[known[port]], pair] = ports.current_a[known[port]]
    for line, entry in enumerate(entries):
        if entry.whole is not None:
            result[line] = entry.whole.current_a(base, places)
    return result


def solution_of(base: Base, entry: Entry) -> Solution:
    """A row's whole solution, by the sound netlist's nodes and elements."""
    if entry.whole is not None:
        return entry.whole.solution(base)
    island = base.island if entry.island is None else entry.island
    piece = base.piece(entry.cut) if entry.cut >= 0 else None
    if piece is not None:
        island = island.copy()
        for part in (piece, ~piece & (base.island == base.island[base.p.a[entry.cut]])):
            island[part] = np.flatnonzero(part)[0]
    loops = compiled_from(base.p.netlist.nodes)
    found = _side_by_side(base, entry, island) if loops is None else _by_loops(loops, base, entry, island)
    if entry.drawn is not None:
        place = entry.drawn.place
        old = place >= 0
        found.current_a[place[old]] = entry.drawn.current_a[old]
    return found


def _by_loops(loops: OneByOne, base: Base, entry: Entry, island: IntArray) -> Solution:
    p, drawn, factors = base.p, entry.drawn, base.factors
    ends = np.zeros((0, 2), dtype=np.intp) if drawn is None else np.stack((drawn.a, drawn.b), axis=1)
    lifted = np.zeros(p.netlist.nodes, dtype=np.bool_) if entry.lifted is None else entry.lifted
    volts, across, current = np.empty(p.netlist.nodes), np.empty(len(p.a)), np.empty(len(p.a))
    loops.whole_loop(
        p.plan.bare, factors.share, factors.total_s, ends, _NONE if drawn is None else drawn.extra_a, base.inner_v,
        lifted, entry.lift_v, island, p.netlist.reference, p.a, p.b, base.slope_s, base.source_a, p.devices.bare,
        p.devices.index, base.on, volts, across, current,
    )  # fmt: skip
    return Solution(volts, island, across, current, 0.0, 0)


def _side_by_side(base: Base, entry: Entry, island: IntArray) -> Solution:
    p, volts = base.p, base.inner_v.copy()
    if entry.drawn is not None:
        volts -= base.drawn_v(entry.drawn.a, entry.drawn.b, entry.drawn.extra_a)
    if entry.lifted is not None:
        volts += entry.lift_v * entry.lifted
    tied = island == island[p.netlist.reference]
    volts = np.where(tied, volts - volts[p.netlist.reference], volts)
    across = volts[p.a] - volts[p.b]
    current = base.slope_s * across + base.source_a
    on = p.devices.index[base.on]
    current[on] = law_currents(p.devices, np.flatnonzero(base.on), across[np.newaxis, on])[0]
    return Solution(volts, island, across, current, 0.0, 0)
