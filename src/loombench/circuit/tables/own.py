"""Courses that are no trail for others: where the row that went one ended, and the volts it ended with."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.network import Prepared
from loombench.circuit.point import Settled
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.course import Course
from loombench.circuit.tables.stiff import tied

OWN_BYTES = 8.0
"""What is kept of one by node."""


@dataclass(frozen=True, eq=False)
class Own:
    """A course of its own; [nodes] the volts, in single precision, and the group each node is tied into. None of these
    where a rhythm goes on."""

    course: Course
    inner_v: npt.NDArray[np.float32] | None
    group: npt.NDArray[np.int32] | None

    def across_v(self, row: int, red: int, black: int) -> float:
        """What a voltmeter shows of that row that does not show itself; nan where it would, or where the row is another
        one that went the same way."""
        if self.inner_v is None or self.group is None or row != self.course.row:
            return np.nan
        tied_there = self.group[red] == self.group[black]
        return float(self.inner_v[red]) - float(self.inner_v[black]) if tied_there else np.nan


def own_course(p: Prepared, course: Course, settled: Settled, change: Change) -> Own:
    """A course of its own from where the row settled that went it; `course` may be without volts."""
    if settled.phases:
        return Own(course, None, None)
    point = settled.point
    values = np.array([p.value(one.name, point.state[one.name]) for one in p.netlist.variables], dtype=np.intp)
    loose = [one.place for one in change.elements if one.place >= 0]
    group = tied(p, p.closed(values), point.currents_a, loose)
    return Own(course, point.inner_v.astype(np.float32), group.astype(np.int32))
