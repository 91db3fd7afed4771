"""Systems of ports as arrays, one after the other, and what compiled loops make of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from loombench.circuit.devices import devices
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray, OneByOne
from loombench.circuit.netlist import Element
from loombench.circuit.tables import limits
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.change import line_of
from loombench.circuit.tables.port import Port, is_bent
from loombench.circuit.tables.reach import Reach
from loombench.circuit.tables.small import LINEAR, NEAR_V, STEPS

_LIMITS = (
    NEAR_V, limits.ROUNDING, limits.GREATEST_NOISE_V, limits.ADMITTED_V, limits.STRONG, limits.NOTHING_V,
    limits.FARTHEST_V,
)  # fmt: skip
_ROUNDS = limits.ROUNDS, limits.PATIENCE, STEPS, limits.MOST_PORTS


@dataclass(frozen=True, eq=False)
class Systems:
    """Systems of ports, one after the other from `start` [systems + 1] on. [ports] each: `column` is what is driven,
    `place` that of the sound element (-1 for a new one), `law` its place in `laws` or `LINEAR`; `line` [ports, 3] are
    siemens, ampere at no volts, and ohms in series."""

    start: IntArray
    column: IntArray
    place: IntArray
    law: IntArray
    line: FloatArray
    laws: FloatArray


@dataclass(frozen=True, eq=False)
class Answers:
    """What systems draw, one after the other: of each port the lines of `table` [5, ports], as of `Drawn`, up to `end`
    [systems], -1 where there is no answer; and [systems, pairs] the `volts` that are watched."""

    table: FloatArray
    end: IntArray
    volts: FloatArray


def laws_of(base: Base, elements: Sequence[Element | None]) -> tuple[IntArray, FloatArray]:
    """[elements] the law that each follows, and all laws: those of the sound network come first."""
    laws, law = base.p.devices.bare, np.full(len(elements), LINEAR, dtype=np.intp)
    bent = [(k, element) for k, element in enumerate(elements) if element is not None and is_bent(element)]
    if bent:
        more = devices([element for _, element in bent])
        law[np.array([k for k, _ in bent])[more.index]] = len(laws) + np.arange(len(bent))
        laws = np.concatenate((laws, more.bare))
    return law, laws


def systems_of(base: Base, at: Reach, asked: Sequence[Sequence[Port]]) -> Systems:
    """The same as arrays."""
    every = [port for ports in asked for port in ports]
    law, laws = laws_of(base, [port.element for port in every])
    return Systems(
        np.array([0, *accumulate(map(len, asked))], dtype=np.intp),
        np.array([at.column_of[port.a, port.b] for port in every], dtype=np.intp),
        np.array([port.place for port in every], dtype=np.intp),
        law,
        np.array([(*line_of(port.element), port.series_ohm) for port in every]).reshape(-1, 3),
        laws,
    )


def answered(loops: OneByOne, base: Base, at: Reach, systems: Systems) -> Answers:
    """What each system draws, by loops over bare arrays."""
    own, place, count = base.own, systems.place, len(systems.start) - 1
    sound = [np.where(place >= 0, one[place], 0.0) for one in (base.slope_s, base.source_a)]
    numbers = np.column_stack((*sound, systems.line, at.open_v[systems.column]))
    volts = np.repeat(at.watched_v[np.newaxis, :], count, axis=0)
    most = len(place) + count * len(own.place)
    drawn, drawn_a = np.empty((most, 2), dtype=np.intp), np.empty((most, 2))
    end = np.empty(count, dtype=np.intp)
    loops.respond_loop(
        systems.laws, *own.bare, at.at_own, at.at_watched, at.between, at.open_v, systems.start,
        np.column_stack((systems.column, place, systems.law)), numbers, np.array(_LIMITS),
        np.array(_ROUNDS, dtype=np.intp), volts, drawn, drawn_a, end,
    )  # fmt: skip
    column, where = drawn[: end.max(initial=0)].T
    return Answers(np.stack((where, at.a[column], at.b[column], *drawn_a[: len(where)].T)), end, volts)
