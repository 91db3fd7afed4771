"""A second vehicle plugged in: its names with its file's name before them (`trailer::E31.2`)."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from loombench.vehicle.face import Face
from loombench.vehicle.model import Part, Place, Vehicle, Wire
from loombench.vehicle.points import Point

MARK = "::"


def prefixed(vehicle: Vehicle, stem: str) -> Vehicle:
    """The vehicle with `stem::` before the names of its parts, places, looms and controls."""

    def name(text: str) -> str:
        return f"{stem}{MARK}{text}" if text else text

    parts = {name(part.id): _part(part, name) for part in vehicle.parts.values()}
    places = {name(place.id): _place(place, name) for place in vehicle.places.values()}
    return replace(
        vehicle,
        parts=MappingProxyType(parts),
        wires=tuple(_wire(wire, name) for wire in vehicle.wires),
        places=MappingProxyType(places),
        looms=tuple(name(loom) for loom in vehicle.looms),
        faces=_faces(vehicle.faces.values(), name),
    )


def _faces(faces: Iterable[Face], name: Callable[[str], str]) -> Mapping[str, Face]:
    renamed = (replace(face, owner=name(face.owner), half=name(face.half)) for face in faces)
    return MappingProxyType({face.name: face for face in renamed})


def _point(point: Point, name: Callable[[str], str]) -> Point:
    return replace(point, part=name(point.part), half=name(point.half))


def _place(place: Place, name: Callable[[str], str]) -> Place:
    return replace(place, id=name(place.id))


def _wire(wire: Wire, name: Callable[[str], str]) -> Wire:
    a, b = _point(wire.a, name), _point(wire.b, name)
    via = tuple(name(place) for place in wire.via)
    return replace(wire, id="", a=a, b=b, loom=name(wire.loom), via=via, cable=name(wire.cable))


def _part(part: Part, name: Callable[[str], str]) -> Part:
    controls = tuple(
        replace(control, id=name(control.id), part=name(control.part), alias=name(control.alias))
        for control in part.controls
    )
    return replace(
        part,
        id=name(part.id),
        controls=controls,
        place=name(part.place),
        halves=tuple(name(half) for half in part.halves),
        body=name(part.body),
        holder=name(part.holder),
        links=tuple((_point(one, name), _point(two, name)) for one, two in part.links),
    )


def without_prefix(vehicle: Vehicle, stem: str) -> Vehicle:
    """The second vehicle of that stem on its own, under its own names; it has the first one's voltage and colours."""
    before = f"{stem}{MARK}"

    def name(text: str) -> str:
        return text.removeprefix(before)

    parts = {name(key): _part(part, name) for key, part in vehicle.parts.items() if key.startswith(before)}
    places = {name(key): _place(place, name) for key, place in vehicle.places.items() if key.startswith(before)}
    return replace(
        vehicle,
        name=stem,
        parts=MappingProxyType(parts),
        wires=tuple(_wire(wire, name) for wire in vehicle.wires if wire.a.part.startswith(before)),
        places=MappingProxyType(places),
        looms=tuple(name(loom) for loom in vehicle.looms if loom.startswith(before)),
        matings=(),
        faces=_faces((face for face in vehicle.faces.values() if face.owner.startswith(before)), name),
        form="",
    )
