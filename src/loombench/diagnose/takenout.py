"""Steps for a load that does something though it should be off: draw what feeds it, or what switches it, and look; of
an output of a module that is one of the last suspects, take the wire off its pin.

Where it goes off, its current came by that way; where it does not, something behind it is joined to another feed. That
parts a welded relay, or an output that drives, from a short to supply behind it, which no voltage at the load does.
"""

from collections.abc import Iterator

import numpy as np

from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import tolerance
from loombench.diagnose.forecast import Sights
from loombench.diagnose.looking import See
from loombench.diagnose.region import Region
from loombench.diagnose.suspect import JOINING, other_point, point_of
from loombench.diagnose.trying import FEW, suspects
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.graph import merged
from loombench.vehicle.points import Point
from loombench.vehicle.trace import Run

SEATED = ("fuse", "breaker", "relay")
"""Kinds that are drawn from a socket."""
MOST_OTHERS = 4
"""So many fuses of other circuits that may feed the load are drawn, those of the likeliest suspects first."""


def taken_out(
    bench: Bench, belief: Belief, where: Region, sights: Sights, load: str, condition: Condition
) -> Iterator[See]:
    """Looks at a load that should be off, with one thing drawn that feeds it, switches it, or could feed it by what is
    still suspected; none for a load that should be on."""
    if load not in sights.loads:
        return
    share = float(np.abs(sights.share[0, sights.loads.index(load)]))
    if share > tolerance("dead-below").low:
        return
    already = {(one.verb, one.target) for one in condition.operations}
    own = [name for run in where.runs for name in _drawn_on(bench, run)]
    others = [name for name in _could_feed(bench, belief, where) if name not in own]
    for name in dict.fromkeys((*own, *others[:MOST_OTHERS])):
        if ("pull", name) not in already:
            yield See(load, condition.then(Operation("pull", name)))
    left = suspects(belief)
    for link in dict.fromkeys(step.link for run in where.runs for step in (*run.feed, *run.back)):
        if link.kind == "output" and len(left.faults) <= FEW and left.within(iter((link.a.part,))):
            yield See(load, Condition((Operation("release", link.via), *condition.operations)))


def _drawn_on(bench: Bench, run: Run) -> Iterator[str]:
    """What is drawn from its socket on the way of a run, the coil's or module's own part with it."""
    names = (run.load.a.part, *(step.link.a.part for step in (*run.feed, *run.back)))
    parts = (bench.vehicle.parts.get(name) for name in names)
    yield from (part.id for part in parts if part is not None and part.kind in SEATED)


def _could_feed(bench: Bench, belief: Belief, where: Region) -> tuple[str, ...]:
    """Fuses and relays of the circuits that the likeliest suspects may be joined to."""
    left = list(suspects(belief).faults.values())[:FEW]
    found: dict[str, None] = {}
    for fault in left:
        if fault.mode not in JOINING:
            continue
        wires = (bench.vehicle.wire_by_id.get(name) for name in (fault.target, fault.to))
        ends = [end for wire in wires if wire is not None for end in (wire.a, wire.b)]
        points = {merged(end) for end in (point_of(fault), other_point(fault), *ends) if end is not None}
        for run in (*where.runs, *where.neighbours):
            if points & _on_feed(run):
                found.update(dict.fromkeys(_drawn_on(bench, run)))
    return tuple(found)


def _on_feed(run: Run) -> set[Point]:
    return {merged(end) for step in run.feed for end in (step.start, step.end)}
