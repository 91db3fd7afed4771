"""Conditions that rows have gone through: where one ended, and how others end there too."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from loombench.circuit.finding import FuseMayHold, SupplyCollapses, TooManyRhythms, Unsolved
from loombench.circuit.loops import FloatArray
from loombench.circuit.operate import Situation
from loombench.circuit.point import OperatingPoint, Settled
from loombench.circuit.tables.base import Forced
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.differing import differing
from loombench.circuit.tables.history import Step, Trail
from loombench.circuit.tables.stop import Stop

UNSUITED = (FuseMayHold, SupplyCollapses, TooManyRhythms, Unsolved)
"""Findings on the way after which a table says nothing about any fault that goes that way."""


@dataclass(frozen=True, eq=False)
class Course:
    """A condition gone through by one row: where it ended, and the trail for others, None where there is none. The
    situation of other rows than the sound vehicle is without volts and currents: each row has its own."""

    row: int
    situation: Situation
    trail: Trail | None
    sure: bool
    """Whether it is gone with this vehicle's own supply: tables have no other."""


@dataclass(frozen=True, eq=False)
class End:
    """Where a row ends: as the row of `course` does but for its own volts. `held` are what it holds beyond that."""

    row: int
    course: Course
    change: Change
    held: Forced

    def opens_s(self) -> dict[str, float]:
        """The fuses that open on the way, and how long each takes."""
        found: dict[str, float] = {}
        for step in self.course.trail.steps if self.course.trail is not None else ():
            if step.answer[1]:
                found.setdefault(step.answer[1], step.stop.opens_s(self.row, self.held))
        return found

    @property
    def stops(self) -> tuple[Stop, ...]:
        """The states of its phases."""
        trail = self.course.trail
        return () if trail is None else tuple(trail.steps[end].stop for end in trail.ends)


_NO_VOLTS, _NO_ISLANDS = np.zeros(0), np.zeros(0, dtype=np.intp)


def without_volts(situation: Situation, sound: Situation) -> Situation:
    """A situation with its states, phases and findings alone, told by how they differ from that of the sound vehicle in
    the same condition."""
    settled, usual = situation.settled, sound.settled
    phases = tuple(replace(phase, point=_bare(phase.point, usual)) for phase in settled.phases)
    bare = replace(
        settled, point=_bare(settled.point, usual), phases=phases, alternatives=(), stood=(),
        memory=differing(usual.memory, settled.memory),
    )  # fmt: skip
    inputs = sound.inputs if situation.inputs == sound.inputs else situation.inputs
    return replace(situation, inputs=inputs, settled=bare)


def _bare(point: OperatingPoint, usual: Settled) -> OperatingPoint:
    return replace(
        point, volts=_NO_VOLTS, inner_v=_NO_VOLTS, island=_NO_ISLANDS, currents_a=_NO_VOLTS,
        state=differing(usual.point.state, point.state),
    )  # fmt: skip


def trail_of(
    steps: Sequence[Step | None], solved: Sequence[FloatArray], situation: Situation, held: Forced
) -> Trail | None:  # fmt: skip
    """The trail of a condition gone through in some steps, `solved` [elements] their currents; None where any of them
    is nothing for tables, or it may end in two ways."""
    settled = situation.settled
    if settled.alternatives or any(isinstance(finding, UNSUITED) for finding in settled.findings):
        return None
    known = tuple(step for step in steps if step is not None)
    points = [phase.point.currents_a for phase in settled.all_phases]
    ends = [next((k for k, one in enumerate(solved) if one is amperes), -1) for amperes in points]
    return None if -1 in ends or len(known) < len(steps) else Trail(known, tuple(ends), held)
