"""Elements that follow another law than in the sound network, one by one and side by side."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Battery, Conductor, Element, PowerDraw
from loombench.circuit.tables.small import LINEAR


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
    """[ports] where each port is (`place` -1 for a new element), what it draws beyond its sound law, and in all: the
    lines of one `table` [5, ports], as of a large vehicle a hundred thousand are kept."""

    table: FloatArray

    @property
    def place(self) -> IntArray:
        """[ports] place."""
        found: IntArray = self.table[0].astype(np.intp)
        return found

    @property
    def a(self) -> IntArray:
        """[ports] node."""
        found: IntArray = self.table[1].astype(np.intp)
        return found

    @property
    def b(self) -> IntArray:
        """[ports] node."""
        found: IntArray = self.table[2].astype(np.intp)
        return found

    @property
    def extra_a(self) -> FloatArray:
        """[ports] ampere beyond the sound law."""
        found: FloatArray = self.table[3]
        return found

    @property
    def current_a(self) -> FloatArray:
        """[ports] ampere in all."""
        found: FloatArray = self.table[4]
        return found


@dataclass(slots=True)
class Grown:
    """The ports of one system, growing as nonlinear elements are admitted."""

    column: list[int] = field(default_factory=list)
    a: list[int] = field(default_factory=list)
    b: list[int] = field(default_factory=list)
    place: list[int] = field(default_factory=list)
    numbers: list[tuple[float, float, float, float, float]] = field(default_factory=list)
    """Slope and source of the sound law, conductance and constant of the new one, ohms in series."""
    law: list[int] = field(default_factory=list)
    u: list[float] = field(default_factory=list)


@dataclass(frozen=True, eq=False)
class Ports:
    """[systems, ports] the same of several systems with equally many."""

    column: IntArray
    a: IntArray
    b: IntArray
    place: IntArray
    numbers: FloatArray
    law: IntArray
    u: FloatArray


NO_PORT = -2
"""The `place` of what is no port."""
_NOTHING = (0, 0, 0, NO_PORT, (0.0, 0.0, 0.0, 0.0, 0.0), LINEAR, 0.0)


def together(rows: Sequence[Grown], width: int) -> Ports:
    """The ports of some systems side by side, filled up to `width` with ones that draw nothing."""
    filled = []
    for row in rows:
        own = list(zip(row.column, row.a, row.b, row.place, row.numbers, row.law, row.u, strict=True))
        filled.append(own + [_NOTHING] * (width - len(own)))
    column, a, b, place, law = (
        np.array([[one[k] for one in row] for row in filled], dtype=np.intp) for k in (0, 1, 2, 3, 5)
    )
    numbers, u = (np.array([[one[k] for one in row] for row in filled]) for k in (4, 6))
    return Ports(column, a, b, place, numbers, law, u)


def is_input(element: Element | None) -> bool:
    """Whether an element is the input of a converter."""
    return isinstance(element, PowerDraw)


def is_bent(element: Element | None) -> bool:
    """Whether an element follows a bent law of its own volts."""
    return element is not None and not isinstance(element, Conductor | Battery | PowerDraw)
