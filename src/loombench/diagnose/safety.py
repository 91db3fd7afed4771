"""Which steps exist at all, and the cautions that come before a step.

What a net is (see `vehicle.nets`) decides what may be done to it. Steps on airbag, high-voltage and mains circuits are
not proposed in any way: they are the maker's procedure and the licensed person's. Cautions are keys of the catalogue
(`caution.KEY`), so that every surface says the same.
"""

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import other_point, part_of, point_of
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import Nets
from loombench.vehicle.points import Point

FORBIDDEN = frozenset({"pyro", "hv", "mains"})
NO_FOREIGN_CURRENT = frozenset({"interlock", "safety", "bus", "sensor-supply", "module-output", "pwm"})
"""Nets that a lamp or an ohmmeter is not put on."""
MOVING = ("motor", "solenoid", "horn")


MANY = ("connector", "module", "carrier", "splice", "stud", "body", "strap", "battery", "socket", "plug", "cable")
"""Kinds in which one forbidden net does not forbid the others; a fuse or a device is one thing."""


def touchable(vehicle: Vehicle, nets: Nets, point: Point, meter: str = "voltmeter") -> bool:
    """Whether a meter may be put on a point at all."""
    classes = nets.classes_of(point)
    part = vehicle.parts.get(point.part)
    whole = part is not None and part.kind not in MANY and not handleable(vehicle, nets, part.id)
    if whole or classes & FORBIDDEN:
        return False
    return meter in ("voltmeter", "min-max", "scope") or not classes & NO_FOREIGN_CURRENT


def handleable(vehicle: Vehicle, nets: Nets, part_id: str) -> bool:
    """Whether a part may be unplugged, drawn or mended: none of its pins is on a forbidden net."""
    part = vehicle.parts.get(part_id)
    if part is None:
        return True
    points = [Point(part_id, pin) for pin in part.pins] or [Point(part_id)]
    return not any(nets.classes_of(point) & FORBIDDEN for point in points)


def condition_allowed(vehicle: Vehicle, nets: Nets, condition: Condition) -> bool:
    """Whether all that a condition unplugs or pulls may be handled."""
    verbs = ("unplug", "plug", "pull", "insert", "couple", "uncouple")
    names = (operation.target for operation in condition.operations if operation.verb in verbs)
    return all(handleable(vehicle, nets, name.partition(".")[0]) for name in names)


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
        case Mend():
            faults = [one.fault for one in bench.hypotheses.members if one.group == step.group and one.fault]
            return all(suspect_allowed(vehicle, nets, fault) for fault in faults)
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
            found += ["ohms-dead"] if step.kind == "ohms" else ["leads"]
            classes = {name for point in points for name in bench.nets.classes_of(point)}
            found += ["interlock"] if "interlock" in classes else []
            found += ["safety-net"] if "safety" in classes else []
            places = {bench.vehicle.parts[point.part].place for point in points if point.part in bench.vehicle.parts}
        case See():
            condition = step.condition
            places = set()
            found += ["moving"] if _moves(bench.vehicle, step.load) else []
        case LookFuse():
            condition, places = Condition(), set()
            found += ["fuse-draw"]
        case Mend():
            condition, places = step.condition, set(step.places)
            found += ["fuse-rating"] if _is_fuse(bench.vehicle, step.group) else ["supply-off"]
            found += ["moving"] if _moves(bench.vehicle, step.load) else []
        case _:
            condition, places = Condition(), set()
    unplugs = any(operation.verb == "unplug" for operation in condition.operations)
    found += ["unplug"] if unplugs else []
    found += _surroundings(bench.vehicle, places)
    return tuple(dict.fromkeys(found))


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
