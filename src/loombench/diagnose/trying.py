"""Steps that try something out: a lamp in place of a fuse or load, a lead past the ground or the feed, two relays
changed over, an output or input by scan tool, a spot moved, warmed or wetted, a contact felt, one wire rung out from
end to end.

Each condition with something put on has to be computed for every hypothesis, and each of these steps takes its time and
disturbs something, so they are proposed only where few suspects are left and the step is about one of them while others
would come out otherwise. What an answer means is never said here: it comes from the circuit with the thing put on.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loombench.base.band import Band
from loombench.circuit.aid import inner_of
from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, halves
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.region import Region
from loombench.diagnose.safety import alike
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import CONTACT, part_of, point_of
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.module import named_in
from loombench.vehicle.points import PIN, WIRE, Point
from loombench.vehicle.trace import ACTING, Run
from loombench.vehicle.trace import Step as Stretch

FEW = 12
"""With more suspects than this nothing is tried out yet."""
NEAR = 1e-3
"""A suspect counts from this share of the likeliest one's."""
SPOTS = 6
"""So many spots are moved, wires rung out, contacts felt, the likeliest first."""
PLUGGED = (*ACTING, "unit", "resistor", "switch", "sensor", "module")


@dataclass(frozen=True)
class Suspects:
    """The groups still in the running, likeliest first, with a fault of each."""

    faults: dict[str, Fault]

    def within(self, names: Iterator[str]) -> bool:
        """Whether something is told: one of the names is a suspect, and there is a suspect that is none of them."""
        inside = {name for name in names if name in self.faults}
        return bool(inside) and len(inside) < len(self.faults)


def suspects(belief: Belief) -> Suspects:
    """Those near the likeliest."""
    names = belief.hypotheses.groups
    least = NEAR * float(belief.group_share.max())
    near = np.flatnonzero(belief.group_share > least)
    kept = [names[group] for group in near[np.argsort(-belief.group_share[near], kind="stable")].tolist()]
    wanted = dict.fromkeys(name for name in kept if name not in (SOUND, UNEXPLAINED))
    alone = {name: belief.hypotheses.faults_of(name) for name in wanted if len(halves(name)) == 1}
    return Suspects({name: faults[0] for name, faults in alone.items() if faults})


def tries(
    bench: Bench, belief: Belief, where: Region, load: str, condition: Condition, minus: Point | None, feedable: bool
) -> Iterator[Step]:
    """What can be tried out on the last suspects; none while they are many. `minus` is the battery's post; `feedable`
    is False where a short may be behind a fuse."""
    left = suspects(belief)
    # What comes and goes leaves many suspects for long: moving one spot after the other is how they get fewer.
    yield from _provoked(belief.bench, left, load, condition)
    if not 1 < len(left.faults) <= FEW:
        return
    run = next((run for run in where.runs if run.load.via == load), None)
    for one in where.runs:
        yield from _substitute(bench.vehicle, left, one, condition)
    if run is not None:
        yield from _ground(bench.vehicle, left, run, load, condition)
        if feedable:
            yield from _feed(bench, left, run, load)
    yield from _swap(bench.vehicle, left, where, load, condition)
    yield from _scan(bench.vehicle, left, where, load, condition, minus)
    yield from _grips(bench.vehicle, left)
    yield from _rung_out(bench.vehicle, left)


def limited(bench: Bench, where: Region, fuse: str, minus: Point, condition: Condition) -> Iterator[Step]:
    """A lamp in place of a blown fuse: volts behind it, then with one thing after another apart or off."""
    limiter = Operation("limiter", fuse)
    live = Condition((limiter, *condition.operations))
    red = Point(fuse, "out")
    yield Measure(Setup(live, red, minus))
    for name in where.connectors:
        yield Measure(Setup(live.then(Operation("unplug", name)), red, minus))
    for name in where.controls:
        control = bench.vehicle.controls[name]
        if control.by == "driver":
            yield Measure(Setup(live.then(Operation("set", name, control.rest)), red, minus))


def _substitute(vehicle: Vehicle, left: Suspects, run: Run, condition: Condition) -> Iterator[Step]:
    """Tells the load from the contacts it is plugged in by."""
    name = run.load.via
    found = inner_of(vehicle, name)
    if found is None or found[1].kind not in ACTING or len(found[1].pins) < 2:
        return
    part, inner = found
    if not left.within(iter((name,))):
        return
    state = Condition((Operation("substitute", name), *condition.operations))
    red, black = (Point(part.id, pin, layer=PIN) for pin in inner.pins[:2])
    yield Measure(Setup(state, red, black), drop=True)


def _ground(vehicle: Vehicle, left: Suspects, run: Run, load: str, condition: Condition) -> Iterator[Step]:
    """Past the way back, where that is nothing but wires and joints."""
    if not run.back or any(step.link.kind not in ("wire", "joint") for step in run.back):
        return
    if left.within(_on(vehicle, left, run.back)):
        point = _at_the_plug(run.back[0].start)
        yield See(load, Condition((Operation("ground", point), *condition.operations)))


def _feed(bench: Bench, left: Suspects, run: Run, load: str) -> Iterator[Step]:
    """Past the whole feed, by a lead with a fuse no larger than the smallest on the way; nothing else is switched."""
    names = [step.link.via for step in run.feed if step.link.kind == "protection"]
    rated = [rated_a(bench.vehicle.parts[name]) for name in names]
    known = [band.low for band in rated if band is not None]
    if known and len(known) == len(rated) and left.within(_on(bench.vehicle, left, run.feed)):
        point = _at_the_plug(run.feed[-1].end)
        yield See(load, Condition((Operation("feed", point, f"{min(known):g}"),)))


def rated_a(part: Part) -> Band | None:
    """The rating of a fuse or breaker; None where the drawing does not give it."""
    inside = (inner.params.get("rated_a") for inner in part.elements)
    return part.params.get("rated_a") or next((band for band in inside if band is not None), None)


def _at_the_plug(point: Point) -> str:
    return str(Point(point.part, point.pin, point.half, WIRE, point.ring))


def _on(vehicle: Vehicle, left: Suspects, way: tuple[Stretch, ...]) -> Iterator[str]:
    """The suspects that lie on a way: its wires, its joints, its parts."""
    links = [step.link for step in way]
    wires = {link.via for link in links}
    points = {(end.part, end.pin) for link in links for end in (link.a, link.b)}
    for name, fault in left.faults.items():
        point = point_of(fault)
        part = part_of(vehicle, fault)
        on = fault.target in wires or (point is not None and (point.part, point.pin) in points)
        if on or (point is None and part is not None and part.id in wires):
            yield name


def _swap(vehicle: Vehicle, left: Suspects, where: Region, load: str, condition: Condition) -> Iterator[Step]:
    """Tells the relay from its base and what drives it; the other one has to be like it in every respect."""
    deciding = dict.fromkeys(run.load.a.part for run in where.runs)
    for name in deciding:
        part = vehicle.parts[name]
        if part.kind == "relay" and left.within(iter((name,))):
            other = next((one for one in vehicle.parts.values() if alike(part, one)), None)
            if other is not None:
                yield See(load, Condition((Operation("swap", name, other.id), *condition.operations)))


def _scan(
    vehicle: Vehicle, left: Suspects, where: Region, load: str, condition: Condition, minus: Point | None
) -> Iterator[Step]:
    """Whether an input gets into a module, and whether an output comes out of it: inside parted from wiring."""
    ways = [step.link for run in where.runs for step in (*run.feed, *run.back)]
    for link in dict.fromkeys(link for link in ways if link.kind == "output"):
        spec = vehicle.parts[link.a.part].module
        if spec is None or not left.within(iter((link.a.part,))):
            continue
        name, pin = link.a.part, link.via.removeprefix(f"{link.a.part}.")
        asked = dict.fromkeys(word for rule in spec.rules if pin in rule.targets for word in named_in(rule.rule))
        for item in spec.inputs:
            if item.pin in asked:
                yield ReadInput(name, item.pin, condition)
                if minus is not None:
                    yield Measure(Setup(condition, Point(name, item.pin), minus))
        if asked:
            yield See(load, Condition((Operation("actuate", link.via), *condition.operations)))


def _provoked(bench: Bench, left: Suspects, load: str, condition: Condition) -> Iterator[Step]:
    """One spot after the other, where something may come and go, moved, warmed or wetted as the complaint has it."""
    known = bench.hypotheses
    moving = {name for name in left.faults if any(_comes_and_goes(bench, fault) for fault in known.faults_of(name))}
    spots: dict[str, None] = {}
    for name, fault in left.faults.items():
        if name in moving:
            point = point_of(fault)
            spots.setdefault(point.part if point is not None else fault.target)
    for spot in list(spots)[:SPOTS]:
        yield See(load, Condition((Operation(bench.provoked_by, spot), *condition.operations)))


def _comes_and_goes(bench: Bench, fault: Fault) -> bool:
    """Whether moving its spot by hand may bring a fault on: a contact or a wire, where what is there comes and goes."""
    loose = fault.target.startswith(CONTACT) or fault.target in bench.vehicle.wire_by_id
    return fault.mode == "moving" or (bench.presence < 1.0 and loose and fault.mode in ("open", "resistance"))


def _grips(vehicle: Vehicle, left: Suspects) -> Iterator[Step]:
    """The contacts of plugs; rings, splices and blades have no terminal to be drawn through."""
    found = 0
    for name, fault in left.faults.items():
        point, part = point_of(fault), part_of(vehicle, fault)
        if not name.startswith(CONTACT) or point is None or part is None or part.holder:
            continue
        if found < SPOTS and (part.kind == "connector" or part.kind in PLUGGED) and point.pin:
            found += 1
            yield FeelGrip(name, point)


def _rung_out(vehicle: Vehicle, left: Suspects) -> Iterator[Step]:
    """A wire that comes out of its plugs at both ends, by ohms from end to end."""
    found = 0
    for name in left.faults:
        wire = vehicle.wire_by_id.get(name)
        if wire is None or found >= SPOTS:
            continue
        apart = [_apart(vehicle, end) for end in (wire.a, wire.b)]
        if apart[0] is not None and apart[1] is not None and wire.a.part != wire.b.part:
            found += 1
            both = Condition((apart[0], apart[1]))
            yield Measure(Setup(both, wire.a, wire.b, "ohmmeter"))


def _apart(vehicle: Vehicle, end: Point) -> Operation | None:
    part = vehicle.parts.get(end.part)
    if part is None:
        return None
    if part.holder or part.kind in ("fuse", "breaker", "relay"):
        return Operation("pull", part.id)
    return Operation("unplug", part.id) if part.kind == "connector" or part.kind in PLUGGED else None
