"""The steps that make sense for a case: what can be seen, looked at and measured in the complaint's region."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.cooling import left_to_cool, while_running
from loombench.diagnose.expected import tolerance
from loombench.diagnose.forecast import Sights
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import PositionSeen
from loombench.diagnose.place import place_of_point
from loombench.diagnose.region import Region, switched_on
from loombench.diagnose.repair import repair
from loombench.diagnose.safety import allowed
from loombench.diagnose.situation import Situation
from loombench.diagnose.standing import is_battery, standing
from loombench.diagnose.step import Step
from loombench.diagnose.takenout import SEATED, taken_out
from loombench.diagnose.trying import limited, tries
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.points import Point
from loombench.vehicle.trace import ACTING

NEIGHBOURS_SWITCHED = 2
"""So many neighbours that are off in the complaint's state are switched on to see what else fails."""
PERHAPS_BLOWN = 0.2
"""From this probability of a blown fuse on its branch is searched for the cause."""
UNTOUCHED = ("splice", "body", "carrier")
"""Kinds that are not touched unless the file gives them a place of their own."""
PLUGGABLE = (*ACTING, "unit", "resistor")


def steps(
    bench: Bench, belief: Belief, situation: Situation, where: Region, load: str, condition: Condition
) -> tuple[Step, ...]:
    """All steps that exist, cheapest kinds first; what safety forbids is not among them.

    A new fuse is not tried before its branch has been looked at dead, or that has been declined; nor is a lamp in its
    place.
    """
    if is_battery(bench, load):
        asleep, behind = standing(bench, belief, load, condition)
        more = list(_volts(bench, behind, condition)) if behind is not None else []
        return tuple(step for step in (*asleep, *_positions(bench), *more) if allowed(bench, step))
    sights = bench.forecast.sights(condition)
    found: list[Step] = [See(load, condition, True)]
    found += _positions(bench)
    for name in _elsewhere(belief):
        found += _mend(bench, f"position {name}", load, condition)
    found += _neighbours(bench, where, sights, load, condition)
    found += taken_out(bench, belief, where, sights, load, condition)
    found += left_to_cool(bench, belief, where, sights, load, condition)
    found += while_running(bench, belief, where, load, condition)
    found += [LookFuse(name, condition) for name in where.protection if bench.vehicle.parts[name].kind == "fuse"]
    found += _volts(bench, where, condition)
    found += _ohms_of_loads(bench, where, condition)
    blown = [fuse for fuse in where.protection if _blown(belief, sights, fuse) > PERHAPS_BLOWN]
    minus = battery_minus(bench.vehicle)
    for fuse in blown:
        dead = list(_ohms_of_branch(bench, where, fuse, condition))
        found += dead
        if not dead or any(step.id in situation.done for step in dead):
            if minus is not None and not _feeds_module(bench, where, fuse):
                found += limited(bench, where, fuse, minus, condition)
            found += _mend(bench, fuse, load, condition)
    # What has blown a fuse would be fed by a lead as well.
    found += tries(bench, belief, where, load, condition, minus, not blown)
    unique = {step.id: step for step in found}
    return tuple(step for step in unique.values() if allowed(bench, step))


def mends(bench: Bench, groups: tuple[str, ...], load: str, condition: Condition) -> tuple[Step, ...]:
    """Putting right each of some suspects, as the step that is left when nothing parts them otherwise; of two faults at
    once one after the other."""
    single = dict.fromkeys(half for group in groups for half in halves(group))
    found = [step for group in single for step in _mend(bench, group, load, condition)]
    return tuple(step for step in found if allowed(bench, step))


def _mend(bench: Bench, group: str, load: str, condition: Condition) -> list[Step]:
    try:
        job = repair(bench, group)
    except KeyError:
        return []
    return [Mend(group, job.places, load, condition, job.work_s)]


def _positions(bench: Bench) -> list[Step]:
    known = bench.hypotheses
    return [
        CheckPosition(name)
        for name, numbers in known.by_target.items()
        if name in bench.vehicle.controls
        and any(fault.mode == "position" for number in numbers for fault in known.members[number].faults)
    ]


def _elsewhere(belief: Belief) -> Iterator[str]:
    """Controls found in another position: putting one right tells whether it was only that, or holds it there."""
    for one in belief.observations:
        if isinstance(one, PositionSeen) and not one.as_believed:
            yield one.control


def _neighbours(bench: Bench, where: Region, sights: Sights, load: str, condition: Condition) -> Iterator[Step]:
    lit = tolerance("full-above").low
    on = {name for name, share in zip(sights.loads, np.abs(sights.share[0]), strict=True) if share > lit}
    watched = [
        run for run in (*where.runs, *where.neighbours) if run.load.via != load and _visible(bench, run.load.via)
    ]
    for run in watched:
        if run.load.via in on:
            yield See(run.load.via, condition)
    ways_back = {step.link.via for run in where.runs if run.load.via == load for step in run.back}
    switched = 0
    for run in watched:
        if run.load.via not in on and switched < NEIGHBOURS_SWITCHED:
            wanted = switched_on(bench.vehicle, run, condition)
            kept = all(operation in wanted.operations for operation in condition.operations)
            if wanted != condition and kept and not _overrides(condition, wanted):
                switched += 1
                yield See(run.load.via, wanted)
                if any(step.link.via in ways_back for step in run.back):
                    # Two loads on one bad ground feed each other through it: only both together show it.
                    yield See(load, wanted)


def _overrides(condition: Condition, wanted: Condition) -> bool:
    """Whether the added operations move a control the complaint's condition has set."""
    before = {operation.target for operation in condition.operations}
    return any(operation.target in before for operation in wanted.operations[len(condition.operations) :])


def _visible(bench: Bench, load: str) -> bool:
    """Whether a person sees or hears what the load does: coils are felt at best, so they are measured."""
    part = bench.vehicle.parts.get(load.partition(".")[0])
    return part is not None and part.kind in ("lamp", "led", "motor", "unit", "horn", "heater")


def _volts(bench: Bench, where: Region, condition: Condition) -> Iterator[Step]:
    minus = battery_minus(bench.vehicle)
    points = [point for point in where.points if _reachable(bench, point)]
    if minus is not None:
        for point in points:
            if point.at("pin") != minus:
                yield Measure(Setup(condition, point, minus))
    for one, two in _sections(bench, where, points):
        yield Measure(Setup(condition, one, two), drop=True)


def _reachable(bench: Bench, point: Point) -> bool:
    part = bench.vehicle.parts.get(point.part)
    return part is not None and (part.kind not in UNTOUCHED or bool(part.place))


def _sections(bench: Bench, where: Region, points: list[Point]) -> Iterator[tuple[Point, Point]]:
    """Pairs at one place worth a drop: across a load, a fuse, a switch, a coil, a connector's cavity, a joint."""
    yielded: set[frozenset[Point]] = set()
    by_part: dict[str, list[Point]] = {}
    for point in points:
        by_part.setdefault(point.part, []).append(point)
    for part, group in by_part.items():
        kind = bench.vehicle.parts[part].kind
        for one, two in pairwise(group):
            same_cavity = kind != "connector" or (one.pin == two.pin and one.half != two.half)
            if same_cavity and one.layer == two.layer:
                yielded.add(frozenset((one, two)))
                yield one, two
    for run in where.runs:
        ends = [end for end in (run.load.a, run.load.b) if end in points]
        # The same two points with the leads changed over are no other reading.
        if len(ends) == 2 and frozenset(ends) not in yielded and place_of_point(bench.vehicle, ends[0]):
            yield ends[0], ends[1]


def _ohms_of_loads(bench: Bench, where: Region, condition: Condition) -> Iterator[Step]:
    """The load itself, unplugged or drawn: parts a broken load from the contacts on it."""
    for run in where.runs:
        part = bench.vehicle.parts[run.load.a.part]
        seated = bool(part.holder) or part.kind in SEATED
        verb = "pull" if seated else "unplug"
        if part.kind in PLUGGABLE or seated:
            apart = condition.then(Operation(verb, part.id))
            red, black = run.load.a.at("pin"), run.load.b.at("pin")
            yield Measure(Setup(apart, red, black, "ohmmeter"), drop=True)
    for name in where.protection:
        part = bench.vehicle.parts[name]
        if part.kind == "fuse":
            out = condition.then(Operation("pull", name))
            red, black = (Point(name, pin, layer="pin") for pin in ("in", "out"))
            yield Measure(Setup(out, red, black, "ohmmeter"), drop=True)


def _feeds_module(bench: Bench, where: Region, fuse: str) -> bool:
    """Whether a module hangs on a fuse: behind a lamp in its place it would brown out."""
    every = [run for run in (*where.runs, *where.neighbours) if run.load.kind == "load"]
    fed = (run.load.a.part for run in every if any(step.link.via == fuse for step in run.feed))
    return any(bench.vehicle.parts[name].module is not None for name in fed)


def _blown(belief: Belief, sights: Sights, fuse: str) -> float:
    if fuse not in sights.fuses:
        return 0.0
    column, known = sights.blown[:, sights.fuses.index(fuse)], belief.hypotheses
    if not column.any():
        return 0.0
    return float(belief.share @ ((column[known.low] + column[known.high]) / 2.0))


def _ohms_of_branch(bench: Bench, where: Region, fuse: str, condition: Condition) -> Iterator[Step]:
    """From the load side of a drawn fuse to battery minus, loads unplugged, then with one thing after another apart."""
    minus = battery_minus(bench.vehicle)
    if minus is None:
        return
    fed = [run for run in (*where.runs, *where.neighbours) if any(step.link.via == fuse for step in run.feed)]
    loads = dict.fromkeys(run.load.a.part for run in fed)
    plugs = [name for name in loads if bench.vehicle.parts[name].kind in PLUGGABLE]
    base = condition.then(Operation("pull", fuse), *(Operation("unplug", name) for name in plugs))
    red = Point(fuse, "out")
    yield Measure(Setup(base, red, minus, "ohmmeter"))
    for name in where.connectors:
        apart = base.then(Operation("unplug", name))
        yield Measure(Setup(apart, red, minus, "ohmmeter"))
        # Behind a relay that is now at rest the short is not seen from the fuse, but from the open plug.
        for point in where.points:
            if point.part == name:
                yield Measure(Setup(apart, point, minus, "ohmmeter"))
    for name in where.controls:
        control = bench.vehicle.controls[name]
        if control.by == "driver":
            yield Measure(Setup(base.then(Operation("set", name, control.rest)), red, minus, "ohmmeter"))
