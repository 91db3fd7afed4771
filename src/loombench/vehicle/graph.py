"""The vehicle as a graph of points: what joins what, and how, before any electrics.

Points are taken on the wire side and the two halves of a connector are one point, so that a path reads as a person
traces it: wire, connector, wire, fuse, wire.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.vehicle.model import Inner, Part, Vehicle
from loombench.vehicle.points import PIN, WIRE, Point

PROTECTION = ("fuse", "fuselink", "breaker", "cutout")
PASSING = ("relay-contact", "conductor", "diode")
SOURCES = ("battery", "alternator")


@dataclass(frozen=True)
class Link:
    """`a` and `b` are joined by `via` (a wire id, `PART` or `PART.ELEMENT`).

    `kind`: wire, joint (bars, rings, coupled sockets: always closed), switch (a control or relay decides), protection,
    output (a module or flasher decides), load or source. A `one_way` link leads from `a` to `b` only.
    """

    a: Point
    b: Point
    via: str
    kind: str
    one_way: bool = False

    def other(self, point: Point) -> Point:
        """The end that `point` is not."""
        return self.b if point == self.a else self.a


def merged(point: Point) -> Point:
    """The point without half and layer: what a person means by the name."""
    return Point(point.part, point.pin, "", WIRE, point.ring)


def battery_minus(vehicle: Vehicle) -> Point | None:
    """The post of the first battery, which readings are to unless said else; None without a battery."""
    battery = next((part for part in vehicle.parts.values() if part.kind == "battery"), None)
    return Point(battery.id, "-", layer=PIN) if battery else None


def links(vehicle: Vehicle) -> tuple[Link, ...]:
    """Everything that joins two points, wires first, then part by part in file order."""
    found = [Link(merged(wire.a), merged(wire.b), wire.id, "wire") for wire in vehicle.wires]
    for part in vehicle.parts.values():
        found.extend(_inside(part))
    for mating in vehicle.matings:
        socket, plug = vehicle.parts.get(mating.socket), vehicle.parts.get(mating.plug)
        if socket and plug:
            shared = [pin for pin in socket.pins if pin in plug.pins]
            found.extend(Link(Point(socket.id, pin), Point(plug.id, pin), socket.id, "joint") for pin in shared)
    rings = {point for link in found for point in (link.a, link.b) if point.ring}
    found.extend(Link(ring, Point(ring.part), ring.part, "joint") for ring in sorted(rings))
    return tuple(found)


def _inside(part: Part) -> Iterator[Link]:
    for a, b in part.links:
        yield Link(merged(a), merged(b), part.id, "joint")
    if part.kind == "stud" and part.body:
        yield Link(Point(part.id), Point(part.body), part.id, "joint")
    for control in part.controls:
        pairs = dict.fromkeys(pair for position in control.positions for pair in position.pairs)
        for one, two in pairs:
            yield Link(Point(part.id, one), Point(part.id, two), control.id, "switch")
    for element in part.elements:
        yield from _element(part, element)
    if part.module:
        for output in part.module.outputs:
            high = output.side == "high"
            ends = (output.source, output.pin) if high else (output.pin, output.source)
            yield Link(Point(part.id, ends[0]), Point(part.id, ends[1]), f"{part.id}.{output.pin}", "output", True)
        for contact in part.module.contacts:
            for one, two in dict.fromkeys(contact.rest + contact.tick):
                yield Link(Point(part.id, one), Point(part.id, two), f"{part.id}.{contact.name}", "switch")
        for supply in part.module.supplies:
            for ground in part.module.grounds[:1]:
                yield Link(Point(part.id, supply.pin), Point(part.id, ground), part.id, "load")


def _element(part: Part, element: Inner) -> Iterator[Link]:
    via = part.id if len(part.elements) == 1 else f"{part.id}.{element.name}"
    pins = [Point(part.id, pin) for pin in element.pins]
    if element.kind == "flasher" and len(pins) > 1:
        yield Link(pins[0], pins[1], via, "output", True)
        if len(pins) > 2:
            yield Link(pins[0], pins[2], via, "load")
        if len(pins) > 3:
            yield Link(pins[0], pins[3], via, "output", True)
    elif element.kind == "timer":
        yield Link(pins[0], pins[-1], via, "output", True)
        for feed in pins[:-2]:
            yield Link(feed, pins[-2], via, "load")
    elif element.kind == "converter":
        yield Link(pins[0], pins[1], via, "load")
        yield Link(pins[2], pins[1], via, "source")
    elif len(pins) >= 2 and not (part.kind == "relay" and element.kind == "diode") and not _says_nothing(element):
        # A suppressor blocks whatever feeds the coil: it is no way through.
        yield Link(pins[0], pins[1], via, _kind(element), element.kind == "diode")


def _says_nothing(element: Inner) -> bool:
    """A generic part without a number that gives a current: by its law nothing conducts, so it is no load either."""
    return element.kind == "generic" and not any(name != "rated_v" for name in element.params)


def _kind(element: Inner) -> str:
    if element.kind in PROTECTION:
        return "protection"
    if element.kind in PASSING:
        return "switch" if element.kind == "relay-contact" else "joint"
    return "source" if element.kind in SOURCES else "load"


def by_point(all_links: tuple[Link, ...]) -> Mapping[Point, tuple[Link, ...]]:
    """The links at each point, in the order of `all_links`."""
    table: dict[Point, list[Link]] = {}
    for link in all_links:
        table.setdefault(link.a, []).append(link)
        table.setdefault(link.b, []).append(link)
    return MappingProxyType({point: tuple(at) for point, at in table.items()})
