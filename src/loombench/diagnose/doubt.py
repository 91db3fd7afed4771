"""A reading that fits nothing: which one it is, and the steps of another kind that question it before it is believed.

A reading is doubted where the other observations leave suspects, and it speaks against all of them that matter. Taking
it again with the same leads and meter would repeat a wrong pin or a dirty probe, so it is questioned by another kind of
test at the same point: with a meter that loads the circuit, as a drop to another point, with ohms, by sight.
"""

from collections.abc import Sequence

import numpy as np

from loombench.diagnose.belief import Belief, contradicted
from loombench.diagnose.looking import Mend
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import MeterRead
from loombench.diagnose.step import Step
from loombench.vehicle.points import Point

ALL_BUT = 0.02
"""A reading is doubted where suspects with no more than this share, by all other observations, allow it."""
ALL_BUT_PROVEN = 0.1
"""The same for a reading that a proof rests on: a probe without contact reads nothing oftener than anything else."""


def doubted(belief: Belief, allowed: float = ALL_BUT) -> MeterRead | None:
    """The last reading that fits nothing and has not been questioned by another kind; None where there is none."""
    found = [row for row in doubts(belief, allowed) if not _questioned(belief, row)]
    one = belief.observations[found[-1]] if found else None
    return one if isinstance(one, MeterRead) else None


def doubts(belief: Belief, allowed: float = ALL_BUT) -> tuple[int, ...]:
    """The observations, by number, that are readings which fit no suspect the others leave, but for those with no more
    than the share `allowed`."""
    against = contradicted(belief)
    found = []
    for row, one in enumerate(belief.observations):
        if isinstance(one, MeterRead) and len(belief.observations) > 1:
            without = np.where(belief.hypotheses.unexplained, -np.inf, belief.total - belief.support[row])
            weight = np.exp(without - without.max())
            if float(weight[~against[row]].sum() / weight.sum()) < allowed:
                found.append(row)
    return tuple(found)


def symptom(belief: Belief) -> str:
    """The leader where it is a blown fuse, else empty: something blew it, so no reading proves it, but that a new one
    holds."""
    best = belief.best()
    first = int(np.argmax(np.where(belief.hypotheses.group == best, belief.share, -1.0)))
    faults = belief.hypotheses.members[first].faults
    return belief.hypotheses.groups[best] if any(fault.mode == "blown" for fault in faults) else ""


def trial(fuse: str, steps: Sequence[Step]) -> tuple[Step, ...]:
    """How a blown fuse is tried: a new one, and as long as that is not offered the checks of its dead branch."""
    new = tuple(step for step in steps if isinstance(step, Mend) and step.group == fuse)
    return new or tuple(step for step in steps if isinstance(step, Measure) and step.setup.red == Point(fuse, "out"))


def questions(read: MeterRead, steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps of another kind that touch the red lead's point of a reading, in the same state."""
    found = []
    for step in steps:
        if isinstance(step, Measure) and _other_kind(read, step):
            found.append(step)
    return tuple(found)


def _other_kind(read: MeterRead, step: Measure) -> bool:
    setup, other = read.setup, step.setup
    points = {point for point in (other.red, other.black) if point is not None}
    different = other.meter != setup.meter or setup.black not in (other.black, other.red)
    return setup.red in points and different


def _questioned(belief: Belief, row: int) -> bool:
    read = belief.observations[row]
    assert isinstance(read, MeterRead)
    later = belief.observations[row + 1 :]
    return any(isinstance(one, MeterRead) and _other_kind(read, Measure(one.setup)) for one in later)
