"""What is seen under many faults at once: the same as `observe.seen` says of one."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Element, Filament, Netlist
from loombench.circuit.network import BoolArray
from loombench.circuit.observe import DEAD_SHARE, PULSING_SHARE, SEEN_SHARE, Load, period_of
from loombench.circuit.point import Phase
from loombench.circuit.tables.across import currents_at, flat, volts_across
from loombench.circuit.tables.rows import apart
from loombench.circuit.tables.stop import Row, Stop
from loombench.facts.motor import speed_share


@dataclass(frozen=True, eq=False)
class Views:
    """[rows, loads] the greatest share of a rhythm, which way a load's current goes then (0 for none), the time of a
    pulse; [rows, batteries] what each gives."""

    share: FloatArray
    way: FloatArray
    period_s: FloatArray
    draw_a: FloatArray


@dataclass(frozen=True, eq=False)
class Looked:
    """Where to look for loads and batteries: elements by place, and which of them belong to each."""

    netlist: Netlist
    loads: tuple[Load, ...]
    batteries: tuple[str, ...]
    places: IntArray
    parts: tuple[slice, ...]
    plain: "Plain"

    @cached_property
    def several(self) -> tuple[int, ...]:
        """The loads that are none of the plain ones."""
        return tuple(sorted({*range(len(self.loads))} - {*self.plain.load.tolist()}))


@dataclass(frozen=True, eq=False)
class Plain:
    """[plain loads] the loads that are one element, motors apart: their place among the loads and that of the element
    among `Looked.places`; by what its volts and its current are divided for a share (infinite: it has none that way),
    and the volts of a filament, by which it goes where it is one."""

    load: IntArray
    element: IntArray
    rated_v: FloatArray
    rated_a: FloatArray
    filament_v: FloatArray

    def share(self, volts: FloatArray, current: FloatArray) -> FloatArray:
        """[rows, plain loads] the shares, from volts and amperes of the elements, neither of them negative."""
        on = current > 0.0
        usual = np.where(on, volts, 0.0) / self.rated_v + current / self.rated_a
        result: FloatArray = np.where(on & np.isfinite(self.filament_v), volts / self.filament_v, usual)
        return result


def looked(netlist: Netlist, loads: Sequence[Load], batteries: Sequence[str]) -> Looked:
    """Where to look in a sound netlist."""
    groups = [load.elements for load in loads] + [netlist.element_of.get(name, ()) for name in batteries]
    places = [[netlist.place_of[name] for name in some if name in netlist.place_of] for some in groups]
    ends = np.cumsum([0, *(len(some) for some in places)]).tolist()
    return Looked(
        netlist,
        tuple(loads),
        tuple(batteries),
        np.array([place for some in places for place in some], dtype=np.intp),
        tuple(slice(start, end) for start, end in pairwise(ends)),
        _plain(netlist, loads, places, ends),
    )


def _plain(netlist: Netlist, loads: Sequence[Load], places: Sequence[Sequence[int]], starts: Sequence[int]) -> Plain:
    some = [k for k, load in enumerate(loads) if len(places[k]) == 1 and load.kind != "motor"]
    by_volts = {k: loads[k].rated_v for k in some if loads[k].kind != "lamp" and loads[k].rated_a is None}
    by_current = {k: loads[k].rated_a for k in some if loads[k].kind != "lamp"}
    elements = {k: netlist.elements[places[k][0]] for k in some}
    filaments = {k: one.law.rated_v for k, one in elements.items() if isinstance(one, Filament)}

    def of(known: Mapping[int, float | None]) -> FloatArray:
        found = (known.get(k) for k in some)
        return np.array([math.inf if one is None else one for one in found], dtype=np.float64)

    at = np.array([starts[k] for k in some], dtype=np.intp)
    return Plain(np.array(some, dtype=np.intp), at, of(by_volts), of(by_current), of(filaments))


def views(at: Looked, stops: Sequence[Stop], phases: Sequence[Phase], rows: Sequence[Row]) -> Views:
    """What is seen of rows that go through the same phases."""
    seen = [_phase(at, stop, rows) for stop in stops]
    shares = np.stack([share for share, _, _ in seen])
    best = shares.argmax(axis=0)
    most = shares.max(axis=0)
    way = np.take_along_axis(np.stack([one for _, one, _ in seen]), best[np.newaxis], axis=0)[0]
    draw = sum((phase.share * one for phase, (_, _, one) in zip(phases, seen, strict=True)), np.zeros_like(seen[0][2]))
    pulsing = (most >= SEEN_SHARE) & (shares.min(axis=0) < PULSING_SHARE * most)
    period = np.zeros(most.shape)
    for row, load in zip(*np.nonzero(pulsing), strict=True):
        lit = (shares[:, row, load] >= PULSING_SHARE * most[row, load]).tolist()
        period[row, load] = period_of(phases, lit)
    return Views(most, way, period, draw)


def dark(share: FloatArray) -> BoolArray:
    """[...] whether a load of that share is called dead."""
    result: BoolArray = np.abs(share) < DEAD_SHARE
    return result


def _phase(at: Looked, stop: Stop, rows: Sequence[Row]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """[rows, loads] shares and ways, [rows, batteries] amperes given, in one state."""
    base, own = stop.base, stop.entries(rows)
    a, b = base.p.a[at.places], base.p.b[at.places]
    ports = flat(own)
    volts = volts_across(base, own, ports, a, b)
    current = currents_at(base.p, base, own, ports, at.places, volts)
    current = np.where(base.closed[at.places] | (np.abs(current) > _NOTHING_A), current, 0.0)
    _less_in_series(rows, at.places, volts, current)
    volts = np.where(apart(base, own, a, b), 0.0, np.abs(volts))
    share, way = (np.zeros((len(rows), len(at.loads))) for _ in range(2))
    plain = at.plain
    share[:, plain.load] = plain.share(volts[:, plain.element], np.abs(current[:, plain.element]))
    way[:, plain.load] = np.sign(current[:, plain.element])
    for column, load, part in ((k, at.loads[k], at.parts[k]) for k in at.several):
        if part.stop > part.start:
            elements = [at.netlist.elements[place] for place in at.places[part]]
            share[:, column] = _share(load, elements, volts[:, part], np.abs(current[:, part]))
            lead = np.abs(current[:, part]).argmax(axis=1)[:, np.newaxis]
            way[:, column] = np.sign(np.take_along_axis(current[:, part], lead, axis=1)[:, 0])
    given = [-current[:, part].sum(axis=1) for part in at.parts[len(at.loads) :]]
    return share, way, np.stack(given, axis=1) if given else np.zeros((len(rows), 0))


_NOTHING_A = 1e-15


def _less_in_series(rows: Sequence[Row], places: IntArray, volts: FloatArray, current: FloatArray) -> None:
    """Take off what lies over a resistance that a fault put in series with a load inside of it."""
    for line, (_, change, _) in enumerate(rows):
        for one in change.elements:
            if one.series_ohm > 0.0:
                for k in np.flatnonzero(places == one.place).tolist():
                    volts[line, k] -= one.series_ohm * current[line, k]


def _share(load: Load, elements: Sequence[Element], volts: FloatArray, current: FloatArray) -> FloatArray:
    most = current.max(axis=1)
    across = np.where(current > 0.0, volts, 0.0).max(axis=1)
    if load.kind == "lamp":
        usual = np.zeros(len(volts))
    elif load.rated_a is not None and load.kind != "motor":
        usual = most / load.rated_a
    elif load.rated_a is not None:
        known = zip(across.tolist(), most.tolist(), strict=True)
        usual = np.array([speed_share(over, amperes, load.rated_v, load.rated_a) for over, amperes in known])
    else:
        usual = across / load.rated_v
    for k in reversed(range(len(elements))):
        element = elements[k]
        if isinstance(element, Filament):
            usual = np.where(current[:, k] > 0.0, volts[:, k] / element.law.rated_v, usual)
    return usual
