"""What is drawn on a page, and what of it belongs above what: the questions that items and lines are made by."""

from collections.abc import Iterable, Mapping
from functools import cached_property

from loombench.draw.circuit.order import MIDDLE, heights
from loombench.draw.circuit.taking import Taking
from loombench.draw.circuit.ways import is_coupled
from loombench.vehicle.graph import Link, merged
from loombench.vehicle.model import Part, Vehicle, Wire
from loombench.vehicle.points import Point

RAILS = ("splice", "stud", "body")
SOCKETS = ("socket", "plug")


class Taken:
    """The parts, wires and joints of a page: `points` are those that take part, `height` how far down each belongs."""

    def __init__(self, vehicle: Vehicle, taking: Taking) -> None:
        self.vehicle = vehicle
        points = dict.fromkeys(point for link in taking.links for point in (link.a, link.b))
        points |= dict.fromkeys(taking.loose)
        self.wires = _between(vehicle, points)
        points |= dict.fromkeys(merged(end) for wire in self.wires for end in (wire.a, wire.b))
        parts = dict.fromkeys(point.part for point in points)
        self.parts = [vehicle.parts[name] for name in vehicle.parts if name in parts]
        self.links = [link for link in taking.links if link.kind == "joint"]
        drawn = [Link(merged(wire.a), merged(wire.b), wire.id, "wire") for wire in self.wires]
        inner = [link for link in taking.links if link.kind != "wire"]
        self.height = heights(vehicle, (*drawn, *inner), parts)
        self.points = points

    def up(self, point: Point) -> float:
        """How far down a point belongs."""
        return self.height.get(merged(point), MIDDLE)

    def upward(self, names: Mapping[str, Point]) -> frozenset[str]:
        """The points whose wires come from above: their other ends belong higher."""
        above: set[str] = set()
        for name, point in names.items():
            far = [self.up(other) for other in self.near.get(merged(point), ())]
            if far and sum(far) / len(far) < self.up(point):
                above.add(name)
        return frozenset(above)

    @cached_property
    def near(self) -> Mapping[Point, list[Point]]:
        """What wires and joints lead to from each point, contacts plugged together aside."""
        found: dict[Point, list[Point]] = {}
        pairs = [(merged(wire.a), merged(wire.b)) for wire in self.wires]
        pairs += [
            (link.a, link.b)
            for link in self.links
            if link.a.part != link.b.part and not (self.mates(link.a) and self.mates(link.b))
        ]
        for a, b in pairs:
            found.setdefault(a, []).append(b)
            found.setdefault(b, []).append(a)
        return found

    def mates(self, point: Point) -> bool:
        return self.vehicle.parts[point.part].kind in SOCKETS

    def mate(self, pin: Point) -> Point | None:
        """The contact that one of a socket or plug is plugged into, if that is drawn."""
        ends = (link.other(pin) for link in self.links if pin in (link.a, link.b))
        return next((end for end in ends if end.part != pin.part and self.mates(end)), None)

    def is_above(self, pin: Point, mate: Point) -> bool:
        """Whether current comes through this contact first; the socket's where nothing says so."""
        one, two = self.up(pin), self.up(mate)
        return one < two or (one == two and self.vehicle.parts[pin.part].kind == "socket")

    def comes_from_above(self, end: Point) -> bool:
        """Whether the wire of this half of a cavity comes from what belongs higher than the cavity."""
        far = [self.up(wire.b if wire.a == end else wire.a) for wire in self.wires if end in (wire.a, wire.b)]
        return bool(far) and sum(far) / len(far) < self.up(end)

    def is_ground(self, part: Part) -> bool:
        """Whether ways end there: not at a stud of a trailer, whose return goes on through the plug."""
        return part.kind == "body" or (part.kind == "stud" and not is_coupled(self.vehicle, part.id))

    def outside(self) -> list[Link]:
        """The joints between different parts that nothing drawn as one has inside: studs to bodies."""
        return [
            link
            for link in self.links
            if link.a.part != link.b.part
            and self.vehicle.parts[link.via].kind != "carrier"
            and not (self.mates(link.a) and self.mates(link.b))
        ]


def _between(vehicle: Vehicle, points: Iterable[Point]) -> list[Wire]:
    """All wires both of whose ends are there: also those that carry nothing of the function, or a page would lie."""
    there = set(points)
    return [wire for wire in vehicle.wires if merged(wire.a) in there and merged(wire.b) in there]
