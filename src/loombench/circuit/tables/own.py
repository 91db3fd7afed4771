"""Courses that are no trail for others: where a row that went one ended, and the volts it ended with."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import Prepared
from loombench.circuit.newton import NoSolution
from loombench.circuit.point import Phase, Settled
from loombench.circuit.tables.alone import Networks
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.course import Course
from loombench.circuit.tables.stiff import tied

OWN_BYTES = 8.0
"""What is kept of one by node and phase."""


@dataclass(frozen=True, eq=False)
class Part:
    """A phase: its share of the time; [nodes] the volts, in single precision, and the group each node is tied into."""

    share: float
    inner_v: npt.NDArray[np.float32]
    group: npt.NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Own:
    """A course of its own, and what holds in each of its phases; nothing where that is not known."""

    course: Course
    parts: tuple[Part, ...]

    def across_v(self, red: int, black: int) -> float:
        """What a voltmeter shows that does not show itself, the mean over a rhythm; nan where it would, or where it is
        not known what holds."""
        if not self.parts or any(one.group[red] != one.group[black] for one in self.parts):
            return np.nan
        return sum(one.share * (float(one.inner_v[red]) - float(one.inner_v[black])) for one in self.parts)


def own_course(p: Prepared, course: Course, settled: Settled, change: Change) -> Own:
    """A course of its own from where the row settled that went it; `course` may be without volts."""
    parts = [
        _part(p, phase, change, phase.point.inner_v, phase.point.currents_a) for phase in settled.all_phases
    ]  # fmt: skip
    return Own(course, tuple(parts))


def own_alike(p: Prepared, networks: Networks, course: Course, change: Change) -> Own:
    """The course of another row that goes the same way, with its own volts."""
    parts = []
    for phase in course.situation.settled.all_phases:
        at = networks.solve(change.elements, _values(p, phase), None)
        if isinstance(at, NoSolution):
            return Own(course, ())
        parts.append(_part(p, phase, change, at.inner_v, at.current_a))
    return Own(course, tuple(parts))


def _part(p: Prepared, phase: Phase, change: Change, inner_v: FloatArray, current_a: FloatArray) -> Part:
    loose = [one.place for one in change.elements if one.place >= 0]
    group = tied(p, p.closed(_values(p, phase)), current_a, loose)
    return Part(phase.share, inner_v.astype(np.float32), group.astype(np.int32))


def _values(p: Prepared, phase: Phase) -> IntArray:
    state = phase.point.state
    return np.array([p.value(one.name, state[one.name]) for one in p.netlist.variables], dtype=np.intp)
