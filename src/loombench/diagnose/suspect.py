"""What a fault is a fault of: its point or part, its kind in the table of weights, the group it is put right with."""

from dataclasses import replace

from loombench.circuit.catalogue import SHORTED
from loombench.circuit.fault import GROUND, SUPPLY, UNDRAWN, Fault
from loombench.circuit.lowering.builder import owner
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.points import PIN, Point, read_point

CONTACT = "contact "
WHOLE = ("relay", "fuse", "fuselink", "breaker", "switch", "module", "flasher", "timer", "converter", "battery")
"""Kinds that are put right as one piece, whatever inside is wrong."""


JOINING = ("short", "leak", "swapped")
"""Modes that join what should be apart: target and `to` are points or wires."""


def point_of(fault: Fault) -> Point | None:
    """The point of a contact fault, a short, a leak, or of contacts changed over; None for others."""
    if fault.target.startswith(CONTACT):
        # A joint of one wire at a splice or stud is named with the wire: `contact SP7<SP7~R5.5`.
        return read_point(fault.target.removeprefix(CONTACT).partition("<")[0])
    return _point(fault.target) if fault.mode in JOINING else None


def other_point(fault: Fault) -> Point | None:
    """The second point of a fault that joins two; None where it goes to ground, to battery plus or to a wire."""
    return _point(fault.to) if fault.mode in JOINING and fault.to not in (GROUND, SUPPLY) else None


def _point(text: str) -> Point | None:
    return None if "~" in text else read_point(text)


def part_of(vehicle: Vehicle, fault: Fault) -> Part | None:
    """The part a fault is in: of an element or a control the part it belongs to; None for wires."""
    if fault.target in vehicle.wire_by_id:
        return None
    point = point_of(fault)
    if point is not None:
        return vehicle.parts.get(point.part)
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
    """The diode or load that a short is inside of, as `D1` or `PART.NAME`; empty for other faults."""
    one, other = (read_point(text) for text in (fault.target, fault.to))
    part = vehicle.parts.get(one.part) if one is not None and fault.mode == "short" else None
    if part is None or one is None or other is None or (one.layer, other.layer, other.part) != (PIN, PIN, part.id):
        return ""
    inside = (inner for inner in part.elements if inner.kind in SHORTED)
    return next((owner(part, inner) for inner in inside if {one.pin, other.pin} == set(inner.pins)), "")


def kind_of(vehicle: Vehicle, fault: Fault) -> str:
    """The kind of thing by which the table of weights knows the target of a fault."""
    part = part_of(vehicle, fault)
    if fault.mode in JOINING:
        inside = shorted(vehicle, fault)
        return _element(part, inside) if inside and part is not None else _joined(vehicle, fault)
    if fault.mode == "position":
        return "undrawn" if fault.to == UNDRAWN else "control"
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


def _joined(vehicle: Vehicle, fault: Fault) -> str:
    if fault.to in (GROUND, SUPPLY):
        return "insulation" if fault.to == GROUND else "insulation-live"
    return "insulation-pair" if fault.target in vehicle.wire_by_id else "cavity"


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
    """The name of what is put right: a wire's id, `contact POINT`, a part or element, `position S4`, or what is joined:
    `short POINT`, `short POINT to supply`, `short A to B`, `leak A to B`, `swapped A with B` without the halves."""
    inside = shorted(vehicle, fault)
    if fault.mode in JOINING and not inside:
        return _joined_group(vehicle, fault)
    if fault.mode == "position":
        return f"position {fault.target}"
    part = part_of(vehicle, fault)
    if fault.target.startswith(CONTACT):
        point = point_of(fault)
        # The two halves of a cavity meet in one contact: it is one suspect, and both terminals are looked at.
        paired = part is not None and part.kind == "connector" and point is not None
        return f"{CONTACT}{part.id}.{point.pin}" if paired and part and point else fault.target
    return part.id if part is not None and part.kind in WHOLE else inside or fault.target


def _joined_group(vehicle: Vehicle, fault: Fault) -> str:
    if fault.mode == "swapped":
        one, other = (point_of(fault), other_point(fault))
        # Whichever half it was done in, both are looked at.
        names = [str(replace(point, half="")) for point in (one, other) if point is not None]
        return f"swapped {' with '.join(names)}"
    if fault.to in (GROUND, SUPPLY):
        start = fault.target if fault.mode == "leak" else stretch(vehicle, fault.target)[0]
        return f"{fault.mode} {start}" + (f" to {SUPPLY}" if fault.to == SUPPLY else "")
    return f"{fault.mode} {fault.target} to {fault.to}"
