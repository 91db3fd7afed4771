"""What a fault is a fault of: its point or part, its kind in the table of weights, the group it is put right with."""

from loombench.circuit.fault import Fault
from loombench.circuit.lowering.builder import owner
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.points import PIN, Point, read_point

CONTACT = "contact "
WHOLE = ("relay", "fuse", "fuselink", "breaker", "switch", "module", "flasher", "timer", "converter", "battery")
"""Kinds that are put right as one piece, whatever inside is wrong."""


def point_of(fault: Fault) -> Point | None:
    """The point of a contact fault or a short; None for others."""
    if fault.target.startswith(CONTACT):
        # A joint of one wire at a splice or stud is named with the wire: `contact SP7<SP7~R5.5`.
        return read_point(fault.target.removeprefix(CONTACT).partition("<")[0])
    return read_point(fault.target) if fault.mode == "short" else None


def part_of(vehicle: Vehicle, fault: Fault) -> Part | None:
    """The part a fault is in: of an element or a control the part it belongs to; None for wires."""
    point = point_of(fault)
    if point is not None:
        return vehicle.parts.get(point.part)
    if fault.target in vehicle.wire_by_id:
        return None
    name = fault.target
    if name in vehicle.parts:
        return vehicle.parts[name]
    control = vehicle.controls.get(name)
    if control is not None:
        return vehicle.parts.get(control.part)
    while "." in name:
        name = name.rpartition(".")[0]
        if name in vehicle.parts:
            return vehicle.parts[name]
    return None


def shorted(vehicle: Vehicle, fault: Fault) -> str:
    """The diode that a short is inside of, as `D1` or `PART.NAME`; empty for other faults."""
    one, other = (read_point(text) for text in (fault.target, fault.to))
    part = vehicle.parts.get(one.part) if one is not None and fault.mode == "short" else None
    if part is None or one is None or other is None or (one.layer, other.layer, other.part) != (PIN, PIN, part.id):
        return ""
    diodes = (inner for inner in part.elements if inner.kind == "diode")
    return next((owner(part, inner) for inner in diodes if {one.pin, other.pin} == set(inner.pins)), "")


def kind_of(vehicle: Vehicle, fault: Fault) -> str:
    """The kind of thing by which the table of weights knows the target of a fault."""
    part = part_of(vehicle, fault)
    if fault.mode == "short":
        return "diode" if shorted(vehicle, fault) else "insulation"
    if fault.mode == "position":
        return "control"
    if fault.target.startswith(CONTACT):
        return _contact(part)
    if fault.target in vehicle.wire_by_id:
        return "wire"
    if part is None:
        return "anything"
    if fault.mode != "stuck":
        if part.kind == "strap":
            return "strap"
        element = _element(part, fault.target)
        if element:
            return element
    return part.kind


def _contact(part: Part | None) -> str:
    if part is None:
        return "contact"
    if part.kind in ("stud", "body", "strap"):
        return "ring"
    if part.kind == "splice":
        return "splice"
    return "blade" if part.holder or part.kind == "carrier" else "contact"


def _element(part: Part, target: str) -> str:
    name = target.removeprefix(part.id).removeprefix(".")
    if name:
        return next((inner.kind for inner in part.elements if inner.name == name), "")
    return part.elements[0].kind if len(part.elements) == 1 else ""


def stretch(vehicle: Vehicle, name: str) -> tuple[str, ...]:
    """The points that wires and splices join to a point: a short anywhere on them reads the same. In order of name."""
    start = read_point(name)
    if start is None:
        return (name,)
    found = {start}
    waiting = [start]
    while waiting:
        for wire in vehicle.wires_at.get(waiting.pop(), ()):
            for end in (wire.a, wire.b):
                if end not in found:
                    found.add(end)
                    part = vehicle.parts.get(end.part)
                    if part is None or part.kind not in ("stud", "body", "battery"):
                        waiting.append(end)
    return tuple(sorted(str(point) for point in found))


def group_of(vehicle: Vehicle, fault: Fault) -> str:
    """The name of what is put right: a wire's id, `contact POINT`, a part or element, `short POINT`, `position S4`."""
    inside = shorted(vehicle, fault)
    if fault.mode == "short" and not inside:
        return f"short {stretch(vehicle, fault.target)[0]}"
    if fault.mode == "position":
        return f"position {fault.target}"
    part = part_of(vehicle, fault)
    if fault.target.startswith(CONTACT):
        point = point_of(fault)
        # The two halves of a cavity meet in one contact: it is one suspect, and both terminals are looked at.
        paired = part is not None and part.kind == "connector" and point is not None
        return f"{CONTACT}{part.id}.{point.pin}" if paired and part and point else fault.target
    return part.id if part is not None and part.kind in WHOLE else inside or fault.target
