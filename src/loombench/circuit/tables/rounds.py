"""Many systems of ports side by side: the reference of `respond`."""

from collections.abc import Sequence

import numpy as np

from loombench.circuit.devices import Devices, devices
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.change import line_of
from loombench.circuit.tables.limits import (
    ADMITTED_V,
    FARTHEST_V,
    GREATEST_NOISE_V,
    MOST_PORTS,
    NOTHING_V,
    PATIENCE,
    ROUNDS,
    STRONG,
)
from loombench.circuit.tables.port import (
    NO_PORT,
    Drawn,
    Grown,
    Port,
    Ports,
    is_bent,
    is_input,
    together,
)
from loombench.circuit.tables.reach import Reach
from loombench.circuit.tables.small import DRAWS, LINEAR, Small, newton
from loombench.circuit.tables.tangents import beyond_tangents

WIDTHS = (1, 2, 4, 8, 16, MOST_PORTS)
"""Ports that systems are filled up to with ones that are nowhere, so that many are solved together."""
_NOWHERE = np.zeros(0, dtype=np.intp)


class Rounds:
    """Systems of ports at a base; `volts` [systems, pairs] are what is watched, once they are answered."""

    def __init__(self, base: Base, systems: Sequence[Sequence[Port]], at: Reach) -> None:
        self.base, self.v0, self.own, self.systems, self.at = base, base.inner_v, base.own, systems, at
        p = base.p
        bent = [port.element for ports in systems for port in ports if is_bent(port.element)]
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
        self.fed = {int(p.devices.index[supply]) for draw in self.own.draws for supply in draw.feeds}
        self.volts = np.repeat(at.watched_v[np.newaxis, :], len(systems), axis=0)
        self.own_watched = at.at_watched[: len(self.own.place)]
        self.none = np.zeros(len(self.own.place))
        self.beside: dict[int, FloatArray] = {}
        self.rows = [self._row(ports) for ports in systems]

    def _row(self, ports: Sequence[Port]) -> Grown:
        row = Grown()
        for port in ports:
            start = float(self.v0[port.a] - self.v0[port.b])
            law = LINEAR
            if is_bent(port.element):
                law = int(self.law_of[self.next_bent])
                self.next_bent += 1
            self._add(row, self.at.column_of[port.a, port.b], port, law, line_of(port.element), start)
        self._admit_feeding(row)
        return row

    def _add(self, row: Grown, column: int, port: Port, law: int, linear: tuple[float, float], start: float) -> None:
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

    def _admit(self, row: Grown, device: int, volts: float) -> None:
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

    def _admit_feeding(self, row: Grown) -> None:
        """Make the inputs ports whose supplies are."""
        if self.fed.isdisjoint(row.place):
            return
        index = self.base.p.devices.index
        for k, draw in enumerate(self.own.draws):
            if any(int(index[supply]) in row.place for supply in draw.feeds):
                self._admit(row, len(self.own.along) + k, float(self.v0[draw.a] - self.v0[draw.b]))

    def _fed(self, ports: Ports) -> tuple[FloatArray, FloatArray] | tuple[None, None]:
        """By `Small.fed` and `Small.from_v`."""
        if not self.own.draws or not (ports.law == DRAWS).any():
            return None, None
        (rows, count), index = ports.law.shape, self.base.p.devices.index
        fed, from_v = np.zeros((rows, count, count)), np.zeros((rows, count))
        for draw in self.own.draws:
            line, port = np.nonzero((ports.law == DRAWS) & (ports.place == draw.place))
            from_v[line, port] = draw.from_v
            supplies = [int(index[supply]) for supply in draw.feeds]
            fed[line, port] = np.where(np.isin(ports.place[line], supplies), 1.0 / draw.efficiency, 0.0)
        return fed, from_v

    def answers(self) -> list[Drawn | None]:
        """What each system draws."""
        answers: list[Drawn | None] = [None] * len(self.systems)
        # An input that draws only now has no sound state to start from.
        left = [k for k, ports in enumerate(self.systems) if not any(is_input(port.element) for port in ports)]
        for number in range(ROUNDS):
            again: list[int] = []
            by_width: dict[int, list[int]] = {}
            for k in left:
                count = len(self.rows[k].law)
                if count <= WIDTHS[-1]:
                    by_width.setdefault(next(width for width in WIDTHS if width >= count), []).append(k)
            for width, some in by_width.items():
                again += self._round(number, some, together([self.rows[k] for k in some], width), answers)
            left = again
        return answers

    def _round(self, number: int, some: Sequence[int], ports: Ports, answers: list[Drawn | None]) -> list[int]:
        """Solve systems filled up to equally many ports; those that are off their tangents elsewhere are handed back,
        with what is to be drawn beside their ports and what is to be a port the next time."""
        column, a, b, numbers, own = ports.column, ports.a, ports.b, ports.numbers, self.own
        beside = np.stack([self.beside.get(k, self.none) for k in some])
        bent = np.flatnonzero(beside.any(axis=1))
        response = self._response(ports)
        open_v = self.v0[a] - self.v0[b]
        open_v[bent] -= np.einsum("rd,rjd->rj", beside[bent], self.at.at_own[column[bent]])
        linear = np.moveaxis(numbers[..., 2:], -1, 0)
        small = Small(response, open_v, numbers[..., 0], numbers[..., 1], ports.law, *linear, *self._fed(ports))
        found = newton(small, self.laws, ports.u)
        across = self.v0[own.a] - self.v0[own.b] - np.einsum("rj,rjd->rd", found.extra_a, self.at.at_own[column])
        across[bent] -= np.einsum("rd,de->re", beside[bent], own.across)
        # What ran away answers nothing.
        across[~found.settled] = self.v0[own.a] - self.v0[own.b]
        across = np.clip(across, -FARTHEST_V, FARTHEST_V)
        off, wants, strong = self._off(number, ports.place, across, beside)
        volts = self.at.watched_v - np.einsum("rj,rjw->rw", found.extra_a, self.at.at_watched[column])
        volts[bent] -= np.einsum("rd,dw->rw", beside[bent], self.own_watched)
        self.volts[some] = volts
        sure = np.array(found.settled & (found.noise_v < GREATEST_NOISE_V), ndmin=1)
        more = np.array(wants.any(axis=1), ndmin=1)
        again = []
        for line, k in enumerate(some):
            if not found.settled[line]:
                continue
            if not more[line]:
                if sure[line]:
                    there = ports.place[line] != NO_PORT
                    parts = ports.place, a, b, found.extra_a, found.current_a
                    mine = Drawn(np.stack([part[line][there] for part in parts]))
                    answers[k] = self._with(mine, self.beside.get(k), across[line])
                continue
            self.rows[k].u = found.u[line][: len(self.rows[k].law)].tolist()
            self.beside[k] = np.where(strong[line], 0.0, off[line])
            for device in np.flatnonzero(strong[line]).tolist():
                self._admit(self.rows[k], device, float(across[line, device]))
            again.append(k)
        return again

    def _with(self, drawn: Drawn, beside: FloatArray | None, across: FloatArray) -> Drawn:
        """What ports draw with what is drawn `beside` [own] them."""
        some = np.flatnonzero(beside) if beside is not None else _NOWHERE
        if beside is None or not len(some):
            return drawn
        own = self.own
        place, extra = own.place[some], beside[some]
        current = self.base.slope_s[place] * across[some] + self.base.source_a[place] + extra
        return Drawn(np.hstack((drawn.table, np.stack((place, own.a[some], own.b[some], extra, current)))))

    def _response(self, ports: Ports) -> FloatArray:
        """[rows, ports, ports] volts across each port for one ampere through each; the network answers alike both ways,
        so those of a nonlinear element are taken from what the other port does to it."""
        own, column = len(self.own.place), ports.column
        one, other = column[:, :, np.newaxis], column[:, np.newaxis, :]
        result = np.empty(np.broadcast_shapes(one.shape, other.shape))
        added = (one >= own) & (other >= own)
        line, i, j = np.nonzero(added)
        result[line, i, j] = self.at.between[column[line, j] - own, column[line, i] - own]
        line, i, j = np.nonzero(~added)
        to, by = column[line, i], column[line, j]
        mine = by < own
        result[line, i, j] = self.at.at_own[np.where(mine, to, by), np.where(mine, by, to)]
        nowhere = ports.place == NO_PORT
        result[nowhere[:, :, np.newaxis] | nowhere[:, np.newaxis, :]] = 0.0
        return result

    def _off(
        self, number: int, place: IntArray, across: FloatArray, beside: FloatArray
    ) -> tuple[FloatArray, BoolArray, BoolArray]:
        """[rows, own] what each carries beyond its tangent, where that is felt and it is no port; which of these differ
        from what is drawn for them; and which of those have to become ports."""
        own = self.own
        if not len(own.place):
            none = np.zeros(across.shape, dtype=np.bool_)
            return np.zeros(across.shape), none, none
        off, rise = beyond_tangents(self.base, across)
        slope, felt = self.base.slope_s[own.place], np.diagonal(own.across)
        line, port = np.nonzero(np.isin(place, own.place))
        off[line, [self.along[int(one)] for one in place[line, port]]] = 0.0
        wants: BoolArray = np.abs(off - beside) * felt > ADMITTED_V
        strong: BoolArray = wants & (np.abs(rise - slope) * felt > STRONG)
        strong[:, len(own.along) :] = wants[:, len(own.along) :]
        if number >= PATIENCE:
            strong = wants
        return np.where(np.abs(off) * felt > NOTHING_V, off, 0.0), wants, strong
