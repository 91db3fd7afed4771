"""Which steps exist at all, and the cautions that come before a step.

What a net is (see `vehicle.nets`) decides what may be done to it. Steps on airbag, high-voltage and mains circuits are
not proposed in any way: they are the maker's procedure and the licensed person's. Cautions are keys of the catalogue
(`caution.KEY`), so that every surface says the same.
"""

from loombench.circuit.aid import inner_of, rated_w
from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.place import place_of_part
from loombench.diagnose.situation import hands_at
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import other_point, part_of, point_of
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.facts.aid import substitute_w
from loombench.vehicle.condition import CLAMPS, RUNNING, Condition, Operation, Setup
from loombench.vehicle.graph import merged
from loombench.vehicle.model import Inner, Part, Vehicle
from loombench.vehicle.nets import Nets
from loombench.vehicle.points import Point, read_point
from loombench.vehicle.trace import runs

FORBIDDEN = frozenset({"pyro", "hv", "mains"})
NO_FOREIGN_CURRENT = frozenset({"interlock", "safety", "bus", "sensor-supply", "module-output", "pwm"})
"""Nets that a lamp or an ohmmeter is not put on."""
MOVING = ("motor", "solenoid", "horn")
ASLEEP_FROM_S = 600.0
"""From so long a wait on modules are meant to fall asleep, and not to be woken."""
SPRAYED = ("connector", "lamp", "led", "stud", "splice", "strap", "socket", "plug", "horn", "sensor")
STILL = ("lamp", "led", "horn")
"""Loads that harm nobody when they are on."""


MANY = ("connector", "module", "carrier", "splice", "stud", "body", "strap", "battery", "socket", "plug", "cable")
"""Kinds in which one forbidden net does not forbid the others; a fuse or a device is one thing."""


def touchable(vehicle: Vehicle, nets: Nets, point: Point, meter: str = "voltmeter") -> bool:
    """Whether a meter may be put on a point at all."""
    classes = nets.classes_of(point)
    part = vehicle.parts.get(point.part)
    whole = part is not None and part.kind not in MANY and not handleable(vehicle, nets, part.id)
    if whole or classes & FORBIDDEN:
        return False
    return meter in (*CLAMPS, "voltmeter", "millivoltmeter", "min-max", "scope") or not classes & NO_FOREIGN_CURRENT


def handleable(vehicle: Vehicle, nets: Nets, part_id: str) -> bool:
    """Whether a part may be unplugged, drawn or mended: none of its pins is on a forbidden net."""
    part = vehicle.parts.get(part_id)
    if part is None:
        return True
    points = [Point(part_id, pin) for pin in part.pins] or [Point(part_id)]
    return not any(nets.classes_of(point) & FORBIDDEN for point in points)


def condition_allowed(vehicle: Vehicle, nets: Nets, condition: Condition) -> bool:
    """Whether all that a condition unplugs, pulls, puts on or moves may be handled so."""
    return all(operation_allowed(vehicle, nets, operation) for operation in condition.operations)


def operation_allowed(vehicle: Vehicle, nets: Nets, operation: Operation) -> bool:
    """Whether one operation may be done; a verb that nothing is said about here may not."""
    target = operation.target
    point = read_point(target)
    part = target.partition(".")[0] if point is None or "~" in target else point.part
    whole = handleable(vehicle, nets, part)
    match operation.verb:
        case "set" | "wait" | "supply":
            return True
        case "unplug" | "plug" | "pull" | "insert" | "couple" | "uncouple":
            return whole
        case "limiter":
            return whole and not _classes(vehicle, nets, part) & NO_FOREIGN_CURRENT
        case "substitute":
            # The lamp takes no more than the load it stands in for, so an output may feed it.
            takes_more = substitute_w(rated_w(vehicle, target)) > rated_w(vehicle, target)
            barred = NO_FOREIGN_CURRENT if takes_more else NO_FOREIGN_CURRENT - {"module-output"}
            return whole and not _classes(vehicle, nets, part) & barred
        case "ground":
            # Only where ground is by the drawing: past a switch it would set something going, at a feed it is a short.
            classes = nets.classes_of(point) if point is not None else frozenset[str]()
            return whole and "ground" in classes and not classes & (NO_FOREIGN_CURRENT | {"power"})
        case "feed":
            return whole and point is not None and _may_be_fed(vehicle, nets, point)
        case "swap":
            both = (part, operation.value)
            barred = frozenset({"interlock", "safety"})
            known = all(name in vehicle.parts and handleable(vehicle, nets, name) for name in both)
            like = known and alike(*(vehicle.parts[name] for name in both))
            return like and not any(_classes(vehicle, nets, name) & barred for name in both)
        case "actuate":
            driven = nets.classes_of(point) if point is not None else frozenset[str]()
            return whole and not driven & (FORBIDDEN | {"interlock", "safety"})
        case "release":
            taken = nets.classes_of(point) if point is not None else FORBIDDEN
            return whole and not taken & (FORBIDDEN | {"interlock", "safety", "bus"})
        case "wiggle" | "heat" | "wet":
            wire = vehicle.wire_by_id.get(target)
            if operation.verb == "heat" and _near_fuel(vehicle, (wire.a.part, wire.b.part) if wire else (part,)):
                return False
            if operation.verb == "wet" and wire is None and not _may_be_wet(vehicle, part):
                return False
            if wire is not None:
                ends = (wire.a, wire.b)
                return all(handleable(vehicle, nets, end.part) and touchable(vehicle, nets, end) for end in ends)
            return part in vehicle.parts and whole and "interlock" not in _classes(vehicle, nets, part)
    return False


def alike(one: Part, other: Part) -> bool:
    """Whether two relays may stand in for each other: kind, pins, everything inside, ratings, words."""
    return (
        one.id != other.id
        and (one.kind, one.pins, one.words, dict(one.params))
        == (other.kind, other.pins, other.words, dict(other.params))
        and [_inside(inner) for inner in one.elements] == [_inside(inner) for inner in other.elements]
    )


def _inside(inner: Inner) -> tuple[object, ...]:
    return inner.kind, inner.name, inner.pins, inner.words, dict(inner.params)


def _near_fuel(vehicle: Vehicle, parts: tuple[str, ...]) -> bool:
    """Whether a part is where there is fuel or gas: no heat there."""
    places = (vehicle.places.get(place_of_part(vehicle, name)) for name in parts)
    return any(place is not None and set(place.surroundings) & {"fuel", "gas"} for place in places)


def _may_be_wet(vehicle: Vehicle, part_id: str) -> bool:
    """Whether water may be sprayed on a part: it is a plug, lamp or joint and has no electronics or fuses."""
    part = vehicle.parts.get(part_id)
    return part is not None and part.kind in SPRAYED


def _classes(vehicle: Vehicle, nets: Nets, part_id: str) -> frozenset[str]:
    """The classes of all nets a part is on."""
    part = vehicle.parts.get(part_id)
    pins = part.pins if part is not None else ()
    return frozenset(name for pin in pins for name in nets.classes_of(Point(part_id, pin)))


def _may_be_fed(vehicle: Vehicle, nets: Nets, point: Point) -> bool:
    """Whether a feed from battery plus may come to a point: that of a load, past no interlock and no limit.

    What moves may be fed past the one switch it is worked by; a second one, or a relay, may be there to stop it. A
    heater is never fed: its cut-out or its fan may be what the feed goes past.
    """
    if nets.classes_of(point) & (NO_FOREIGN_CURRENT | {"ground"}):
        return False
    run = nets.fed.get(merged(point))
    if run is None:
        return False
    controls = [vehicle.controls.get(step.link.via) for step in run.feed if step.link.kind == "switch"]
    found = inner_of(vehicle, run.load.via)
    kind = found[1].kind if found is not None else ""
    guarded = any(control is not None and control.by != "driver" for control in controls)
    guarded |= kind not in STILL and (kind not in MOVING or len(controls) > 1 or None in controls)
    classes = {name for step in run.feed for end in (step.start, step.end) for name in nets.classes_of(end)}
    return not guarded and not classes & (FORBIDDEN | NO_FOREIGN_CURRENT)


def suspect_allowed(vehicle: Vehicle, nets: Nets, fault: Fault) -> bool:
    """Whether a suspect may be put right by this tool's advice, and not only by the maker's procedure."""
    for wire in (vehicle.wire_by_id[name] for name in (fault.target, fault.to) if name in vehicle.wire_by_id):
        if not (touchable(vehicle, nets, wire.a) and touchable(vehicle, nets, wire.b)):
            return False
    point, other = point_of(fault), other_point(fault)
    if any(nets.classes_of(one) & FORBIDDEN for one in (point, other) if one is not None):
        return False
    part = part_of(vehicle, fault)
    if part is None:
        return True
    return (point is not None and part.kind in MANY) or handleable(vehicle, nets, part.id)


def group_allowed(bench: Bench, group: str) -> bool:
    """Whether all faults of a group may be put right by this tool's advice: every step asks this of every suspect."""
    return bench.once(_group_allowed, group)


def _group_allowed(bench: Bench, group: str) -> bool:
    faults = bench.hypotheses.faults_of(group)
    return all(suspect_allowed(bench.vehicle, bench.nets, fault) for fault in faults)


def allowed(bench: Bench, step: Step) -> bool:
    """Whether a step exists for the planner."""
    vehicle, nets = bench.vehicle, bench.nets
    match step:
        case Measure():
            points = [point for point in (step.setup.red, step.setup.black) if point is not None]
            touch = all(touchable(vehicle, nets, point, step.setup.meter) for point in points)
            return touch and condition_allowed(vehicle, nets, step.setup.condition)
        case See():
            part = step.load.partition(".")[0]
            return handleable(vehicle, nets, part) and condition_allowed(vehicle, nets, step.condition)
        case LookFuse():
            return handleable(vehicle, nets, step.fuse)
        case CheckPosition():
            return handleable(vehicle, nets, vehicle.controls[step.control].part)
        case FeelGrip():
            unsafe = FORBIDDEN | {"interlock", "safety"}
            whole = handleable(vehicle, nets, step.point.part)
            return whole and not nets.classes_of(step.point) & unsafe
        case ReadInput():
            # A scan tool is in the diagnostic socket: nothing is touched, but what the condition asks for is.
            return handleable(vehicle, nets, step.part) and condition_allowed(vehicle, nets, step.condition)
        case Mend():
            # A repair ends with a look at what was complained about, so that has to be set going.
            works = handleable(vehicle, nets, step.load.partition(".")[0])
            return works and group_allowed(bench, step.group)
    return False


def opening_cautions(bench: Bench) -> tuple[str, ...]:
    """The cautions before the first step: of the vehicle as a whole."""
    marks = {name for names in bench.nets.marks.values() for name in names}
    found = ["maker", "battery"]
    found += ["pyro-vehicle"] if "pyro" in marks else []
    found += ["hv-vehicle"] if "hv" in marks else []
    found += ["mains-vehicle"] if "mains" in marks else []
    batteries = sum(part.kind == "battery" for part in bench.vehicle.parts.values())
    found += ["second-source"] if batteries > 1 else []
    return tuple(found)


def cautions(bench: Bench, step: Step) -> tuple[str, ...]:
    """The cautions before a step."""
    found: list[str] = []
    match step:
        case Measure():
            condition = step.setup.condition
            points = [point for point in (step.setup.red, step.setup.black) if point is not None]
            found += _while_running(bench.vehicle, step.setup) if step.setup.meter == RUNNING else []
            found += _of_aids(condition)
            found += ["ohms-dead"] if step.kind == "ohms" else ["leads"]
            classes = {name for point in points for name in bench.nets.classes_of(point)}
            found += ["interlock"] if "interlock" in classes else []
            found += ["safety-net"] if "safety" in classes else []
            places = {bench.vehicle.parts[point.part].place for point in points if point.part in bench.vehicle.parts}
        case See():
            condition = step.condition
            places = set(hands_at(bench.vehicle, Condition(), condition))
            found += ["cooling"] if condition.pause else []
            found += _of_aids(condition)
            found += ["draw-live"] if any(operation.verb == "pull" for operation in condition.operations) else []
            found += ["moving"] if _moves(bench.vehicle, step.load) else []
        case LookFuse():
            condition, places = Condition(), set()
            found += ["fuse-draw"]
        case FeelGrip():
            condition, places = Condition(), {place_of_part(bench.vehicle, step.point.part)}
            found += ["unplug", "grip"]
        case ReadInput():
            condition, places = step.condition, set(hands_at(bench.vehicle, Condition(), step.condition))
            found += ["scan"]
        case Mend():
            condition, places = step.condition, set(step.places)
            found += ["fuse-rating"] if _is_fuse(bench.vehicle, step.group) else ["supply-off"]
            found += ["moving"] if _moves(bench.vehicle, step.load) else []
        case _:
            condition, places = Condition(), set()
    asleep = () if condition.pause else condition.operations
    waits = (float(operation.value) for operation in asleep if operation.verb == "wait")
    found += ["asleep"] if any(seconds >= ASLEEP_FROM_S for seconds in waits) else []
    unplugs = any(operation.verb == "unplug" for operation in condition.operations)
    found += ["unplug"] if unplugs else []
    found += _surroundings(bench.vehicle, places)
    return tuple(dict.fromkeys(found))


def _while_running(vehicle: Vehicle, setup: Setup) -> list[str]:
    """What a breaker stops is switched on once more: hot by then, and whatever it drives moves again."""
    fed = (run.load.via for run in runs(vehicle) if any(step.link.via == setup.red.part for step in run.feed))
    return ["cooling", *(["moving"] if any(_moves(vehicle, load) for load in fed) else [])]


def _of_aids(condition: Condition) -> list[str]:
    """Nothing that is put on is without its caution."""
    return [f"aid-{aid.verb}" for aid in condition.aids]


def _surroundings(vehicle: Vehicle, places: set[str]) -> list[str]:
    words = {word for name in places if name in vehicle.places for word in vehicle.places[name].surroundings}
    opens = {word for name in places if name in vehicle.places for word in vehicle.places[name].opens}
    found = ["hot"] if "hot" in words else []
    found += ["ladder"] if opens & {"ladder", "lift"} else []
    found += ["fuel"] if words & {"fuel", "gas"} else []
    return found


def _moves(vehicle: Vehicle, load: str) -> bool:
    part = vehicle.parts.get(load.partition(".")[0])
    return part is not None and any(inner.kind in MOVING for inner in part.elements)


def _is_fuse(vehicle: Vehicle, group: str) -> bool:
    part = vehicle.parts.get(group)
    return part is not None and part.kind in ("fuse", "fuselink", "breaker")
