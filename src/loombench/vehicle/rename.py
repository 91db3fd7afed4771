"""A part under another name, with everything that refers to it."""

from dataclasses import replace
from types import MappingProxyType

from loombench.vehicle.face import Face
from loombench.vehicle.model import Mating, Part, Vehicle
from loombench.vehicle.naming import name_wires
from loombench.vehicle.points import Point


def renamed(vehicle: Vehicle, old: str, new: str) -> Vehicle:
    """The vehicle in which the part `old` is called `new`; its place in the file's order stays."""

    def name(text: str) -> str:
        return new if text == old else text

    def point(at: Point) -> Point:
        return replace(at, part=new) if at.part == old else at

    def mating(item: Mating) -> Mating:
        return replace(item, socket=name(item.socket), plug=name(item.plug))

    def face(item: Face) -> Face:
        return replace(item, owner=new + item.owner.removeprefix(old)) if item.part == old else item

    faces = {item.name: item for item in map(face, vehicle.faces.values())}
    parts = {name(part.id): _part(part, old, new) for part in vehicle.parts.values()}
    wires = [
        replace(wire, a=point(wire.a), b=point(wire.b), cable=name(wire.cable))
        if old in (wire.a.part, wire.b.part, wire.cable)
        else wire
        for wire in vehicle.wires
    ]
    return replace(
        vehicle,
        parts=MappingProxyType(parts),
        wires=name_wires(wires),
        matings=tuple(mating(item) for item in vehicle.matings),
        faces=MappingProxyType(faces),
    )


def _part(part: Part, old: str, new: str) -> Part:
    def point(at: Point) -> Point:
        return replace(at, part=new) if at.part == old else at

    own = part.id == old
    refers = own or old in (part.body, part.holder) or any(old in (one.part, two.part) for one, two in part.links)
    if not refers:
        return part
    controls = part.controls
    if own:
        controls = tuple(replace(control, id=new + control.id.removeprefix(old), part=new) for control in part.controls)
    return replace(
        part,
        id=new if own else part.id,
        controls=controls,
        body=new if part.body == old else part.body,
        holder=new if part.holder == old else part.holder,
        links=tuple((point(one), point(two)) for one, two in part.links),
    )
