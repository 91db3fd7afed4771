"""Which nodes are tied to each other so stiffly that a voltmeter shows what is there without it."""

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray, Prepared
from loombench.circuit.tables.spanning import Bridges, bridges

STIFF_OHM = 20.0
"""Two millionths of a 10 Mohm meter: even several in series shift a reading by a tenth of a millivolt at most."""
CONDUCTING_A = 1e-3
_WALK_FROM = 200
"""From so many questions on, one walk through the whole network answers the rest sooner."""


def tied(
    p: Prepared, closed: BoolArray, current_a: FloatArray, loose: Sequence[int] = ()
) -> IntArray:  # fmt: skip
    """[nodes] the smallest node of the group each node is tied into by what is firm and by junctions that conduct at
    least `CONDUCTING_A`, of the elements `closed` but for the `loose`."""
    stiff, diode = _firm(p, closed), p.devices.index[p.devices.parts[1]]
    stiff[diode] = closed[diode] & (current_a[diode] >= CONDUCTING_A) & (p.devices.series_ohm <= STIFF_OHM)
    stiff[list(loose)] = False
    return p.islands(stiff)


class Firm:
    """What ties its ends whatever becomes of the network: batteries, lamps, and resistances of at most `STIFF_OHM`, of
    the elements `closed`."""

    def __init__(self, p: Prepared, closed: BoolArray) -> None:
        self._p, self._mask = p, _firm(p, closed)
        self._group = p.islands(self._mask)
        self._asked = 0

    def ties(self, one: int, other: int, loose: Sequence[int]) -> bool:
        """Whether it ties two nodes without some elements."""
        if self._group[one] != self._group[other]:
            return False
        opened = [place for place in loose if self._mask[place] and self._group[self._p.a[place]] == self._group[one]]
        if not opened:
            return True
        self._asked += 1
        if len(opened) == 1 and self._asked > _WALK_FROM:
            if self._bridges.behind[opened[0]] < 0:
                return True
            beyond = self._bridges.beyond(opened[0], np.array((one, other)))
            return bool(beyond[0] == beyond[1])
        left = self._mask.copy()
        left[opened] = False
        group = self._p.islands(left)
        return bool(group[one] == group[other])

    @cached_property
    def _bridges(self) -> Bridges:
        return bridges(self._p.netlist.nodes, self._p.a, self._p.b, self._mask)


def _firm(p: Prepared, closed: BoolArray) -> BoolArray:
    lamp, diode, _ = p.devices.parts
    stiff = p.slope_s >= 1.0 / STIFF_OHM
    stiff[p.devices.index[lamp]] = True
    stiff[p.devices.index[diode]] = False
    result: BoolArray = closed & stiff
    return result
