"""Where things are and what it takes to get there: the places of points, parts and suspects."""

from loombench.circuit.fault import Fault
from loombench.diagnose.suspect import other_point, part_of, point_of
from loombench.facts.typical import typical
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import WIRE, Point


def place_of_part(vehicle: Vehicle, part_id: str) -> str:
    """The place of a part, that of its holder or first pin's neighbour where it has none; empty where not known."""
    part = vehicle.parts.get(part_id)
    if part is None:
        return ""
    if part.place:
        return part.place
    holder = vehicle.parts.get(part.holder)
    return holder.place if holder else ""


def place_of_point(vehicle: Vehicle, point: Point) -> str:
    """The place where a point can be touched; empty where the file does not say."""
    return place_of_part(vehicle, point.part)


def reach_s(vehicle: Vehicle, place: str) -> float:
    """Seconds to open and close a place once."""
    known = vehicle.places.get(place)
    if known is None or not place:
        return typical("step_cost", "reach-unknown").value
    return known.reach_s


def suspect_places(vehicle: Vehicle, fault: Fault) -> tuple[str, ...]:
    """The places a suspect is at: of a wire its two ends and what it passes."""
    wire = vehicle.wire_by_id.get(fault.target)
    if wire is not None:
        ends = (place_of_point(vehicle, wire.a), place_of_point(vehicle, wire.b))
        return tuple(dict.fromkeys(place for place in (*wire.via, *ends) if place))
    part = part_of(vehicle, fault)
    place = place_of_part(vehicle, part.id) if part else ""
    return (place,) if place else ()


def named_at(vehicle: Vehicle, fault: Fault) -> frozenset[str]:
    """All that a fault is said to be at: the places, the looms, the parts and the wires, by name."""
    found = set(suspect_places(vehicle, fault))
    part = part_of(vehicle, fault)
    if part is not None:
        found |= {part.id, part.holder, place_of_part(vehicle, part.id)}
    for name in (fault.target, fault.to):
        wire = vehicle.wire_by_id.get(name)
        if wire is not None:
            found |= {wire.id, wire.loom, *wire.via, wire.a.part, wire.b.part}
    for point in (point_of(fault), other_point(fault)):
        if point is not None:
            joined = vehicle.wires_at.get(point.at(WIRE), ())
            found |= {point.part, *(name for one in joined for name in (one.loom, *one.via))}
    return frozenset(found)


def suspect_surroundings(vehicle: Vehicle, fault: Fault) -> tuple[str, ...]:
    """The surroundings a suspect lives in: for a wire those of the places it passes, else of its own place."""
    wire = vehicle.wire_by_id.get(fault.target)
    names = wire.via if wire is not None else suspect_places(vehicle, fault)
    found = (vehicle.places[name].surroundings for name in names if name in vehicle.places)
    return tuple(dict.fromkeys(word for words in found for word in words))
