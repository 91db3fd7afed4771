"""Nets: the points that wires, splices, connectors and bars keep at one potential, and the classes a net is of.

What may be done to a net hangs on its class. A class is marked on a pin in the file, or follows from what the net is
joined to. A mark spreads along the wires, connectors and splices of its net, also through the cavities of a fuse box,
and ends at a stud, a body, a battery or the bar of a fuse box, or one airbag return would make the whole body an airbag
circuit. Where several meet the strictest counts.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from loombench.vehicle.graph import Link, by_point, links, merged
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from loombench.vehicle.trace import Run, runs

STRICTEST_FIRST = (
    "pyro", "hv", "mains", "interlock", "safety", "bus", "sensor-supply", "module-output", "pwm", "power", "ground",
)  # fmt: skip


ENDS_MARKS = ("body", "stud", "strap", "battery")


@dataclass(frozen=True)
class Nets:
    """The nets of a vehicle. `net` numbers the net of every point (wire side, halves merged); `classes` are those each
    net has by what it is joined to, `marks` those a point has by a mark in the file."""

    vehicle: Vehicle
    net: Mapping[Point, int]
    classes: tuple[frozenset[str], ...]
    marks: Mapping[Point, frozenset[str]]

    @cached_property
    def fed(self) -> Mapping[Point, Run]:
        """By the point where a way from a battery's plus ends at a load: that load's run, the first in file order."""
        found: dict[Point, Run] = {}
        for run in runs(self.vehicle):
            if run.feed:
                found.setdefault(run.feed[-1].end, run)
        return MappingProxyType(found)

    def classes_of(self, point: Point) -> frozenset[str]:
        """The classes of the net a point is on; none for a point that is on no net."""
        place = merged(point)
        number = self.net.get(place)
        own = frozenset() if number is None else self.classes[number]
        return own | self.marks.get(place, frozenset())

    def strictest(self, point: Point) -> str:
        """The strictest class of a point's net, empty where it has none."""
        classes = self.classes_of(point)
        return next((name for name in STRICTEST_FIRST if name in classes), "")


def nets(vehicle: Vehicle) -> Nets:
    """The nets of a vehicle with their classes."""
    everything = links(vehicle)
    root = _join(vehicle, everything)
    numbers: dict[Point, int] = {}
    net = {point: numbers.setdefault(_find(root, point), len(numbers)) for point in root}
    classes: list[set[str]] = [set() for _ in numbers]
    for point, name in _derived(vehicle):
        if point in net:
            classes[net[point]].add(name)
    _spread_power(everything, net, classes)
    marks = _spread_marks(vehicle, everything)
    return Nets(vehicle, MappingProxyType(net), tuple(frozenset(names) for names in classes), MappingProxyType(marks))


def _join(vehicle: Vehicle, everything: tuple[Link, ...]) -> dict[Point, Point]:
    root: dict[Point, Point] = {}
    for part in vehicle.parts.values():
        for point in (Point(part.id, pin) for pin in part.pins):
            root.setdefault(point, point)
    for link in everything:
        for point in (link.a, link.b):
            root.setdefault(point, point)
        if link.kind in ("wire", "joint") and not link.one_way:
            one, two = _find(root, link.a), _find(root, link.b)
            if one != two:
                root[two] = one
    return root


def _find(root: dict[Point, Point], point: Point) -> Point:
    while root[point] != point:
        root[point] = root[root[point]]
        point = root[point]
    return point


def _marked(vehicle: Vehicle) -> Iterable[tuple[Point, str]]:
    for part in vehicle.parts.values():
        for pin, name in part.class_marks:
            pins = part.pins if pin in ("", "*") else (pin,)
            for one in pins or ("",):
                yield Point(part.id, one), name


def _spread_marks(vehicle: Vehicle, everything: tuple[Link, ...]) -> dict[Point, frozenset[str]]:
    table = by_point(tuple(link for link in everything if link.kind in ("wire", "joint")))
    found: dict[Point, frozenset[str]] = {}
    waiting = list(_marked(vehicle))
    while waiting:
        point, name = waiting.pop()
        if name in found.get(point, frozenset()):
            continue
        found[point] = found.get(point, frozenset()) | {name}
        part = vehicle.parts.get(point.part)
        if part is None or not (part.kind in ENDS_MARKS or (part.kind == "carrier" and _is_bar(point, table))):
            waiting.extend((link.other(point), name) for link in table.get(point, ()))
    return found


def _is_bar(point: Point, table: Mapping[Point, tuple[Link, ...]]) -> bool:
    """Whether a point of a fuse box feeds several of what sits in it."""
    inside = [link for link in table.get(point, ()) if link.kind == "joint" and link.via == point.part]
    return len({link.other(point) for link in inside}) > 1


def _derived(vehicle: Vehicle) -> Iterable[tuple[Point, str]]:
    for part in vehicle.parts.values():
        if part.kind == "battery":
            yield Point(part.id, "+"), "power"
            yield Point(part.id, "-"), "ground"
        elif part.kind == "body":
            yield Point(part.id), "ground"
        elif part.kind in ("bus-node", "terminator"):
            for pin in part.pins:
                yield Point(part.id, pin), "bus"
        elif part.kind == "sensor" and "3wire" in part.words and part.pins:
            yield Point(part.id, part.pins[0]), "sensor-supply"
        for output in part.module.outputs if part.module else ():
            yield Point(part.id, output.pin), "module-output"
            if output.pwm_share < 1.0:
                yield Point(part.id, output.pin), "pwm"


def _spread_power(everything: tuple[Link, ...], net: Mapping[Point, int], classes: list[set[str]]) -> None:
    """What a fuse joins to battery plus is power as well; repeated until no net is added."""
    ends = [(net[link.a], net[link.b]) for link in everything if link.kind == "protection"]
    while grown := [pair for pair in ends if len({"power" in classes[number] for number in pair}) == 2]:
        for pair in grown:
            for number in pair:
                classes[number].add("power")
