"""Names of wires: their two ends in the order written, joined by `~`, numbered where they repeat."""

from collections.abc import Iterable
from dataclasses import replace

from loombench.vehicle.model import Wire
from loombench.vehicle.points import Point

UNNAMED = ""
"""The id of a wire that has not been given its name yet."""


def end_name(point: Point) -> str:
    """A wire end within its wire's name: the point without its connector's half, which the loom says."""
    return str(Point(point.part, point.pin, ring=point.ring))


def name_wires(wires: Iterable[Wire]) -> tuple[Wire, ...]:
    """The wires with their names: `S4.2~X12.3`, the second one between the same ends `S4.2~X12.3#2`."""
    counts: dict[str, int] = {}
    named: list[Wire] = []
    for wire in wires:
        name = f"{end_name(wire.a)}~{end_name(wire.b)}"
        count = counts.get(name, 0) + 1
        counts[name] = count
        own = name if count == 1 else f"{name}#{count}"
        named.append(wire if wire.id == own else replace(wire, id=own))
    return tuple(named)
