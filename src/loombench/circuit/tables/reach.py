"""What reaches where: the volts that currents through the ends of ports, and through what bends the sound network, make
at each other and at what is watched."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.tables.base import Base, Watched
from loombench.circuit.tables.port import Port


@dataclass(frozen=True, eq=False)
class Reach:
    """What can be driven are the elements of `Base.own`, then pairs of ends, whose place here is `column_of`; `a` and
    `b` [driven] are their nodes. `open_v` [driven] and `watched_v` [pairs] are the volts of the sound network; for one
    ampere through each the volts are `at_own` [driven, own], `at_watched` [driven, pairs], and `between` [ends, ends].
    """

    column_of: dict[tuple[int, int], int]
    a: IntArray
    b: IntArray
    open_v: FloatArray
    watched_v: FloatArray
    at_own: FloatArray
    at_watched: FloatArray
    between: FloatArray


def ends_of(systems: Sequence[Sequence[Port]]) -> list[tuple[int, int]]:
    """The ends of the ports of some systems, each pair once."""
    return list(dict.fromkeys((port.a, port.b) for ports in systems for port in ports))


def reach(base: Base, ends: Sequence[tuple[int, int]], watched: Watched) -> Reach:
    """Drive some pairs of ends."""
    own, volts = base.own, base.inner_v
    pairs = np.array(ends, dtype=np.intp).reshape(-1, 2)
    one, other = (np.concatenate(both) for both in ((own.a, watched.a, pairs[:, 0]), (own.b, watched.b, pairs[:, 1])))
    wide = base.columns(ends, np.concatenate((one, other)))
    across = wide[:, : len(one)] - wide[:, len(one) :]
    first, last = len(own.place), len(own.place) + len(watched.a)
    own_watched = own.watched if len(watched.a) else np.zeros((first, 0))
    a, b = np.concatenate((own.a, pairs[:, 0])), np.concatenate((own.b, pairs[:, 1]))
    return Reach(
        {pair: first + k for k, pair in enumerate(ends)}, a, b, volts[a] - volts[b],
        volts[watched.a] - volts[watched.b],
        *map(np.ascontiguousarray, (
            np.concatenate((own.across, across[:, :first])), np.concatenate((own_watched, across[:, first:last])),
            across[:, last:],
        )),
    )  # fmt: skip
