"""Every point of a settled netlist at once: volts, currents into the pins, power of the elements."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.circuit.netlist import Netlist
from loombench.circuit.point import OperatingPoint, Settled
from loombench.vehicle.points import PIN, WIRE, Point


@dataclass(frozen=True)
class PinReading:
    """A point. `volts` against battery minus, with no meter on it; None where it floats in some phase. Over a rhythm it
    is the mean, `low` and `high` the ends. `into_a` is the current into the part at a pin, None where there is no
    contact that it could come through."""

    point: Point
    volts: float | None
    low: float | None
    high: float | None
    into_a: float | None

    @property
    def part(self) -> str:
        """The part the point belongs to."""
        return self.point.part

    @property
    def pin(self) -> str:
        """Its pin, empty for splices, studs and bodies."""
        return self.point.pin


def readings(netlist: Netlist, settled: Settled, wanted: Collection[Point] | None = None) -> tuple[PinReading, ...]:
    """All points in the order of the nodes, or some; those the netlist does not have are left out. In a contact every
    layer (wire, face, pin) is a point of its own."""
    found = []
    node_of = netlist.node_of
    some = None if wanted is None else [(node_of[point], (point,)) for point in wanted if point in node_of]
    for node, points in enumerate(netlist.names) if some is None else some:
        volts = [(phase.share, phase.point.node_v(node)) for phase in settled.all_phases]
        known = [(share, value) for share, value in volts if value is not None]
        whole = len(known) == len(volts)
        mean = sum(share * value for share, value in known) if whole else None
        low, high = (min(v for _, v in known), max(v for _, v in known)) if whole else (None, None)
        for point in points:
            found.append(PinReading(point, mean, low, high, _into(netlist, settled, point)))
    return tuple(found)


def by_part(every: tuple[PinReading, ...]) -> Mapping[str, Mapping[str, PinReading]]:
    """The readings at the pins of the parts, on the wire side where there is one, by part and pin."""
    found: dict[str, dict[str, PinReading]] = {}
    for reading in every:
        pins = found.setdefault(reading.part, {})
        name = f"{reading.pin}@{reading.point.half}" if reading.point.half else reading.pin
        if name not in pins or reading.point.layer == WIRE:
            pins[name] = reading
    return MappingProxyType({part: MappingProxyType(pins) for part, pins in found.items()})


def power_w(netlist: Netlist, point: OperatingPoint) -> Mapping[str, float]:
    """Power each element takes, in watt; below zero for one that gives."""
    return MappingProxyType(
        {
            element.id: (point.across_v(element.a, element.b) or 0.0) * point.current_a(element.id)
            for element in netlist.elements
        }
    )


def _into(netlist: Netlist, settled: Settled, point: Point) -> float | None:
    own = Point(point.part, point.pin, layer=PIN)
    node = netlist.node_of.get(own)
    contact = next(
        (ids for mark in (False, True) if (ids := netlist.element_of.get(f"contact {_wire_side(point, mark)}"))), ()
    )
    if node is None or point.half or not contact:
        return None
    total = 0.0
    for phase in settled.all_phases:
        for name in contact:
            element = netlist.element_by_id.get(name)
            if element is not None and node in {element.a, element.b}:
                total += phase.share * phase.point.current_a(name) * (1.0 if element.b == node else -1.0)
    return total


def _wire_side(point: Point, ring: bool) -> Point:
    return Point(point.part, point.pin, point.half, WIRE, ring)
