"""What changed elements do to a solution: all of it, nonlinear parts included, or nothing where that is not sure.

A port is an element that follows another law than in the sound network. The other nonlinear elements are left on their
tangents first; wherever one's own law differs from its tangent by more than moves a node by `ADMITTED_V`, it becomes a
port too and all is solved again. A converter's input is one from the start where a supply that it feeds is. (A response
is nowhere greater than at the port itself, so response times difference bounds what leaving it out does anywhere.) What
comes out is the current that each port draws beyond its sound law: the volts anywhere follow from these few numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from loombench.circuit.devices import Devices, devices
from loombench.circuit.elimination import IntArray
from loombench.circuit.kernel import FloatArray
from loombench.circuit.netlist import Battery, Conductor, Element, PowerDraw
from loombench.circuit.network import BoolArray
from loombench.circuit.tables.base import NOTHING, Base, Watched
from loombench.circuit.tables.small import DRAWS, LINEAR, Small, law_currents, newton

ADMITTED_V = 1e-8
GREATEST_GAIN = 1e7
"""Beyond this an opened element carried nearly nothing but its own response, and too few digits are left."""
GREATEST_V = 3e8
"""What a port would have across itself if the network alone answered its current: beyond, rounding leaves more than a
microvolt, as where a short reaches a wire that hung on the leak of a diode."""
MOST_PORTS = 40
_ROUNDS = 12
_TOGETHER = 512


@dataclass(frozen=True, eq=False, slots=True)
class Port:
    """An element between nodes `a` and `b` that now is `element` (None: open) behind `series_ohm`; `place` is that of
    the sound element, -1 for a new one."""

    place: int
    a: int
    b: int
    element: Element | None
    series_ohm: float = 0.0


@dataclass(frozen=True, eq=False, slots=True)
class Drawn:
    """[ports] where each port is (`place` -1 for a new element), what it draws beyond its sound law, and in all."""

    place: IntArray
    a: IntArray
    b: IntArray
    extra_a: FloatArray
    current_a: FloatArray


def respond(
    base: Base, systems: Sequence[Sequence[Port]], watching: bool = False
) -> tuple[list[Drawn | None], FloatArray]:
    """Answers for systems of changed elements, None where it is not sure; and [systems, pairs] the volts that the base
    watches, if they are wanted."""
    found: list[Drawn | None] = []
    watched = base.watched if watching else NOTHING
    volts = [np.zeros((0, len(watched.a)))]
    for k in range(0, len(systems), _TOGETHER):
        work = _Work(base, systems[k : k + _TOGETHER], watched)
        found += work.answers()
        volts.append(work.volts)
    return found, np.concatenate(volts)


@dataclass(slots=True)
class _Rows:
    """Flat ports of one system, growing as nonlinear elements are admitted."""

    column: list[int] = field(default_factory=list)
    a: list[int] = field(default_factory=list)
    b: list[int] = field(default_factory=list)
    place: list[int] = field(default_factory=list)
    numbers: list[tuple[float, float, float, float, float]] = field(default_factory=list)
    """Slope and source of the sound law, conductance and constant of the new one, ohms in series."""
    law: list[int] = field(default_factory=list)
    u: list[float] = field(default_factory=list)


class _Work:
    def __init__(self, base: Base, systems: Sequence[Sequence[Port]], watched: Watched) -> None:
        self.base, self.v0, self.own = base, base.at.inner_v, base.own
        p = base.p
        bent = [port.element for ports in systems for port in ports if _is_bent(port.element)]
        self.laws: Devices = p.devices
        self.law_of: IntArray = np.arange(len(p.devices.index))
        if bent:
            own = [p.netlist.elements[place] for place in p.devices.index]
            self.laws = devices([*own, *(element for element in bent if element is not None)])
            self.law_of = np.empty(len(self.laws.index), dtype=np.intp)
            self.law_of[self.laws.index] = np.arange(len(self.laws.index))
        self.next_bent = len(p.devices.index)
        self.along = {int(place): k for k, place in enumerate(self.own.place)}
        self.device_of = {int(one): k for k, one in enumerate(self.own.along)}
        ends = list(dict.fromkeys((port.a, port.b) for ports in systems for port in ports))
        self.column_of = {pair: len(self.own.place) + k for k, pair in enumerate(ends)}
        wanted = np.array(ends, dtype=np.intp).ravel()
        self.nodes = np.unique(np.concatenate((wanted, self.own.a, self.own.b, watched.a, watched.b)))
        self.wide = base.columns(ends, self.nodes)
        self.at_own = np.concatenate((self.own.across, self._between(self.own.a, self.own.b)))
        own_watched = self.own.watched if len(watched.a) else np.zeros((len(self.own.place), 0))
        self.at_watched = np.concatenate((own_watched, self._between(watched.a, watched.b)))
        self.watched_v = self.v0[watched.a] - self.v0[watched.b]
        self.volts = np.repeat(self.watched_v[np.newaxis, :], len(systems), axis=0)
        self.rows = [self._row(ports) for ports in systems]
        # An input that draws only now has no sound state to start from.
        self.unknown = [any(_is_input(port.element) for port in ports) for ports in systems]

    def _between(self, a: IntArray, b: IntArray) -> FloatArray:
        return self.wide[:, np.searchsorted(self.nodes, a)] - self.wide[:, np.searchsorted(self.nodes, b)]

    def _row(self, ports: Sequence[Port]) -> _Rows:
        row = _Rows()
        for port in ports:
            start = float(self.v0[port.a] - self.v0[port.b])
            law, conductance, constant = LINEAR, 0.0, 0.0
            if isinstance(port.element, Conductor | Battery):
                conductance = 1.0 / port.element.resistance_ohm
                constant = -port.element.emf_v * conductance if isinstance(port.element, Battery) else 0.0
            elif port.element is not None:
                law = int(self.law_of[self.next_bent])
                self.next_bent += 1
            self._add(row, self.column_of[port.a, port.b], port, law, (conductance, constant), start)
        self._admit_feeding(row)
        return row

    def _add(self, row: _Rows, column: int, port: Port, law: int, linear: tuple[float, float], start: float) -> None:
        sound = (
            (float(self.base.slope_s[port.place]), float(self.base.source_a[port.place]))
            if port.place >= 0
            else (0.0, 0.0)
        )
        row.column.append(column)
        row.a.append(port.a)
        row.b.append(port.b)
        row.place.append(port.place)
        row.numbers.append((*sound, *linear, port.series_ohm))
        row.law.append(law)
        row.u.append(start)

    def _admit(self, row: _Rows, device: int, volts: float) -> None:
        """Make a nonlinear element of the sound network a port, and with a converter's input what it feeds."""
        own = self.own
        if int(own.place[device]) in row.place:
            return
        port = Port(int(own.place[device]), int(own.a[device]), int(own.b[device]), None)
        draw = device - len(own.along)
        law = DRAWS if draw >= 0 else int(self.law_of[own.along[device]])
        self._add(row, device, port, law, (0.0, 0.0), volts)
        for supply in own.draws[draw].feeds if draw >= 0 else ():
            if (fed := self.device_of.get(supply)) is not None:
                self._admit(row, fed, float(self.v0[own.a[fed]] - self.v0[own.b[fed]]))

    def _admit_feeding(self, row: _Rows) -> None:
        """Make the inputs ports whose supplies are."""
        index = self.base.p.devices.index
        for k, draw in enumerate(self.own.draws):
            if any(int(index[supply]) in row.place for supply in draw.feeds):
                self._admit(row, len(self.own.along) + k, float(self.v0[draw.a] - self.v0[draw.b]))

    def _fed(self, rows: Sequence[_Rows]) -> tuple[FloatArray, FloatArray] | tuple[None, None]:
        """By `Small.fed` and `Small.from_v`."""
        if not self.own.draws or not any(DRAWS in row.law for row in rows):
            return None, None
        count, index = len(rows[0].law), self.base.p.devices.index
        fed, from_v = np.zeros((len(rows), count, count)), np.zeros((len(rows), count))
        by_place = {draw.place: draw for draw in self.own.draws}
        for line, row in enumerate(rows):
            for port, law in enumerate(row.law):
                if law != DRAWS:
                    continue
                draw = by_place[row.place[port]]
                from_v[line, port] = draw.from_v
                supplies = {int(index[supply]) for supply in draw.feeds}
                fed[line, port] = [1.0 / draw.efficiency if place in supplies else 0.0 for place in row.place]
        return fed, from_v

    def answers(self) -> list[Drawn | None]:
        """What each system draws."""
        answers: list[Drawn | None] = [None] * len(self.rows)
        left = [k for k, unknown in enumerate(self.unknown) if not unknown]
        for _ in range(_ROUNDS):
            again: list[int] = []
            by_count: dict[int, list[int]] = {}
            for k in left:
                by_count.setdefault(len(self.rows[k].law), []).append(k)
            for count, some in by_count.items():
                if count <= MOST_PORTS:
                    again += self._round(some, answers)
            left = again
        return answers

    def _round(self, some: Sequence[int], answers: list[Drawn | None]) -> list[int]:
        """Solve rows with equally many ports; those that want more ports are given them and handed back."""
        rows = [self.rows[k] for k in some]
        column, a, b, law, place = (
            np.array([getattr(row, name) for row in rows], dtype=np.intp)
            for name in ("column", "a", "b", "law", "place")
        )
        numbers = np.array([row.numbers for row in rows])
        response = self._response(column, a, b)
        open_v = self.v0[a] - self.v0[b]
        linear = np.moveaxis(numbers[..., 2:], -1, 0)
        small = Small(response, open_v, numbers[..., 0], numbers[..., 1], law, *linear, *self._fed(rows))
        found = newton(small, self.laws, np.array([row.u for row in rows]))
        across = self.v0[self.own.a] - self.v0[self.own.b]
        across = across - np.einsum("rj,rjd->rd", found.extra_a, self.at_own[column])
        wants = self._wanting(place, across)
        again = []
        self.volts[some] = self.watched_v - np.einsum("rj,rjw->rw", found.extra_a, self.at_watched[column])
        size = np.abs(np.diagonal(response, axis1=1, axis2=2) * found.extra_a).max(axis=1, initial=0.0)
        sure = np.array(found.settled & (found.gain < GREATEST_GAIN) & (size < GREATEST_V), ndmin=1)
        more = np.array(wants.any(axis=1), ndmin=1)
        for line, k in enumerate(some):
            if not found.settled[line]:
                continue
            if not more[line]:
                if sure[line]:
                    answers[k] = Drawn(place[line], a[line], b[line], found.extra_a[line], found.current_a[line])
                continue
            self.rows[k].u = found.u[line].tolist()
            for device in np.flatnonzero(wants[line]).tolist():
                self._admit(self.rows[k], device, float(across[line, device]))
            again.append(k)
        return again

    def _response(self, column: IntArray, a: IntArray, b: IntArray) -> FloatArray:
        """[rows, ports, ports] volts across each port for one ampere through each; the network answers alike both ways,
        so those of a nonlinear element are taken from what the other port does to it."""
        devices = len(self.own.place)
        one, other = np.searchsorted(self.nodes, a), np.searchsorted(self.nodes, b)
        added = np.maximum(column - devices, 0)[:, np.newaxis, :]
        result: FloatArray = self.wide[added, one[:, :, np.newaxis]] - self.wide[added, other[:, :, np.newaxis]]
        is_own = column < devices
        if is_own.any():
            there = np.minimum(column, devices - 1)[:, np.newaxis, :]
            result = np.where(is_own[:, np.newaxis, :], self.at_own[column[:, :, np.newaxis], there], result)
        return result

    def _real(self, across: FloatArray) -> FloatArray:
        """[rows, own] what each would carry with `across` [rows, own] on it by its own law."""
        own, count = self.own, len(self.own.along)
        real = law_currents(self.laws, self.law_of[own.along], across[:, :count])
        if not own.draws:
            return real
        found = np.zeros(across.shape)
        found[:, :count] = real
        for k, draw in enumerate(own.draws):
            fed = [self.device_of[supply] for supply in draw.feeds if supply in self.device_of]
            power = np.maximum((-real[:, fed] * across[:, fed]).sum(axis=1), 0.0) / draw.efficiency
            volts = across[:, count + k]
            found[:, count + k] = np.where(volts > draw.from_v, power / np.maximum(volts, draw.from_v), 0.0)
        return found

    def _wanting(self, place: IntArray, across: FloatArray) -> BoolArray:
        """[rows, devices] which are too far from their tangents and no port yet."""
        own = self.own
        if not len(own.place):
            return np.zeros(across.shape, dtype=np.bool_)
        real = self._real(across)
        off = real - (self.base.slope_s[own.place] * across + self.base.source_a[own.place])
        wants: BoolArray = np.abs(off) * np.diagonal(own.across) > ADMITTED_V
        line, port = np.nonzero(np.isin(place, own.place))
        wants[line, [self.along[int(one)] for one in place[line, port]]] = False
        return wants


def _is_input(element: Element | None) -> bool:
    return isinstance(element, PowerDraw)


def _is_bent(element: Element | None) -> bool:
    return element is not None and not isinstance(element, Conductor | Battery | PowerDraw)
