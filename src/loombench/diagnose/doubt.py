"""A reading that fits nothing: which one it is, and the steps of another kind that question it before it is believed.

A reading is doubted where the other observations leave suspects, and it speaks against all of them that matter. Taking
it again with the same leads and meter would repeat a wrong pin or a dirty probe, so it is questioned by another kind of
test at the same point: with a meter that loads the circuit, as a drop to another point, with ohms, by sight. A reading
between two points of the wiring has two ends to be questioned: what one of them has leaves it open what the other has.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loombench.diagnose.belief import Belief, contradicted
from loombench.diagnose.expected import RESISTIVE
from loombench.diagnose.looking import Mend
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import MeterRead
from loombench.diagnose.step import Step
from loombench.vehicle.condition import Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.points import Point

BoolArray = npt.NDArray[np.bool_]
ALL_BUT = 0.02
"""A reading is doubted where suspects with no more than this share, by all other observations, allow it."""
NOTHING_AT_ALL = 1e-3
"""A reading fits nothing whatever where suspects with no more than this share allow it."""
ALL_BUT_PROVEN = 0.1
"""The same for a reading that a proof rests on: a probe without contact reads nothing oftener than anything else."""


def doubted(belief: Belief, allowed: float = ALL_BUT) -> tuple[MeterRead, ...]:
    """The readings that fit nothing and have not been questioned by another kind, the last one first."""
    odd = doubts(belief, allowed)
    found = [row for row in reversed(odd) if not _borne_out(belief, row, odd) and _unquestioned(belief, row)]
    return tuple(one for one in (belief.observations[row] for row in found) if isinstance(one, MeterRead))


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


def single_doubt(belief: Belief) -> bool:
    """Whether a single fault would explain everything but for readings with the red lead at one point: one wrong pin
    makes as many of these as one likes."""
    against = contradicted(belief)
    single = np.array([member.fault is not None and member.other is None for member in belief.hypotheses.members])
    read: dict[Point, BoolArray] = {}
    other = ~single
    for row, one in enumerate(belief.observations):
        if isinstance(one, MeterRead):
            before = read.get(one.setup.red)
            read[one.setup.red] = against[row] if before is None else before | against[row]
        else:
            other |= against[row]
    points = np.sum([~other, *read.values()], axis=0) - 1
    return bool((~other & (points <= 1)).any())


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


def questions(belief: Belief, steps: Sequence[Step], allowed: float = ALL_BUT) -> tuple[Step, ...]:
    """The steps of another kind that touch an end, not questioned yet, of the last doubted reading that has any."""
    measures = [step for step in steps if isinstance(step, Measure)]
    for read in doubted(belief, allowed):
        for end in _unquestioned(belief, belief.observations.index(read)):
            found = tuple(step for step in measures if _other_kind(read.setup, step.setup, end))
            if found:
                return found
    return ()


def _other_kind(setup: Setup, other: Setup, end: Point) -> bool:
    """Whether another set-up touches an end of one by another kind of test."""
    points, same = ({point for point in (one.red, one.black) if point is not None} for one in (other, setup))
    return end in points and (other.meter != setup.meter or points != same)


def _borne_out(belief: Belief, row: int, odd: Sequence[int]) -> bool:
    """Whether a reading is what questioned another that fits nothing either, with the red lead elsewhere: a wrong pin
    stays wrong whatever the meter, but the same slip is not made twice."""
    setup = _setup(belief, row)
    before = [(_setup(belief, one), _ends(belief, one)) for one in odd if one < row]
    return any(one.red != setup.red and _other_kind(one, setup, end) for one, ends in before for end in ends)


def _setup(belief: Belief, row: int) -> Setup:
    read = belief.observations[row]
    assert isinstance(read, MeterRead)
    return read.setup


def _ends(belief: Belief, row: int) -> tuple[Point, ...]:
    """The points that a reading may have been wrong at, the red lead's first. The other is one where the reading fits
    nothing whatever; battery minus is none, and through ohms both go as one."""
    setup = _setup(belief, row)
    black = setup.black
    if black is None or black == battery_minus(belief.bench.vehicle) or setup.meter in RESISTIVE:
        return (setup.red,)
    return (setup.red, black) if row in doubts(belief, NOTHING_AT_ALL) else (setup.red,)


def _unquestioned(belief: Belief, row: int) -> tuple[Point, ...]:
    """The ends of a reading that no later one of another kind touches; none where one that does at the red lead's fits
    nothing either."""
    setup, odd = _setup(belief, row), doubts(belief)
    later = [
        (one.setup, row + 1 + place in odd)
        for place, one in enumerate(belief.observations[row + 1 :])
        if isinstance(one, MeterRead)
    ]
    if any(strange and _other_kind(setup, one, setup.red) for one, strange in later):
        return ()
    return tuple(end for end in _ends(belief, row) if not any(_other_kind(setup, one, end) for one, _ in later))
