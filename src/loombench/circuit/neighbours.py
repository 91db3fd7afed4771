"""What lies beside what: contacts of one connector, wires that share a loom and a place, and which points are one wire.

A drawing says nothing of a connector's face, so neighbours are contacts whose numbers follow each other.
"""

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise

from loombench.vehicle.model import Part, Vehicle, Wire
from loombench.vehicle.points import Point

ENDS = ("stud", "body", "battery")
"""Kinds that many wires meet at without being one wire: what is joined there stays apart."""
PLUGGED = ("connector", "module", "socket", "plug")
"""Kinds with rows of contacts that get wet together."""
_NUMBER = re.compile(r"\d+$")


def stretches(vehicle: Vehicle) -> Mapping[Point, int]:
    """For each point at which a wire ends the number of its stretch: the points that wires and splices join."""
    found: dict[Point, int] = {}
    for start in vehicle.wires_at:
        if start in found or _ends(vehicle, start):
            continue
        number = len(found)
        waiting = [start]
        found[start] = number
        while waiting:
            for wire in vehicle.wires_at[waiting.pop()]:
                for end in (wire.a, wire.b):
                    if end not in found and not _ends(vehicle, end):
                        found[end] = number
                        waiting.append(end)
    return found


def at_a_post(vehicle: Vehicle, stretch: Mapping[Point, int]) -> frozenset[int]:
    """The stretches that end on metal or at a post of a battery."""
    found = set()
    for wire in vehicle.wires:
        for one, other in ((wire.a, wire.b), (wire.b, wire.a)):
            if one in stretch and _ends(vehicle, other):
                found.add(stretch[one])
    return frozenset(found)


def contact_pairs(vehicle: Vehicle, part: Part, stretch: Mapping[Point, int]) -> Iterator[tuple[Point, Point]]:
    """Contacts side by side that both carry a wire, of stretches of their own; in each half of a connector."""
    if part.kind not in PLUGGED:
        return
    for half in part.halves or ("",):
        row = [Point(part.id, pin, half) for pin in part.pins]
        for one, other in pairwise(row):
            both = one in vehicle.wires_at and other in vehicle.wires_at
            if both and _follows(one.pin, other.pin) and stretch.get(one) != stretch.get(other):
                yield one, other


def wire_pairs(vehicle: Vehicle, stretch: Mapping[Point, int]) -> Iterator[tuple[Wire, Wire]]:
    """Wires that follow each other in a loom through one place, of stretches of their own; each pair once."""
    lanes: dict[tuple[str, str], list[Wire]] = {}
    for wire in vehicle.wires:
        for place in wire.via:
            lanes.setdefault((wire.loom, place), []).append(wire)
    found: dict[tuple[str, str], tuple[Wire, Wire]] = {}
    for lane in lanes.values():
        for one, other in pairwise(lane):
            if _stretch(stretch, one) != _stretch(stretch, other):
                found.setdefault((one.id, other.id), (one, other))
    yield from found.values()


def _stretch(stretch: Mapping[Point, int], wire: Wire) -> int | str:
    return stretch.get(wire.a, stretch.get(wire.b, wire.id))


def _ends(vehicle: Vehicle, point: Point) -> bool:
    part = vehicle.parts.get(point.part)
    return part is None or part.kind in ENDS


def _follows(one: str, other: str) -> bool:
    first, second = _NUMBER.search(one), _NUMBER.search(other)
    if first is None or second is None:
        return first is second
    plugs = one[: first.start()] == other[: second.start()]
    return plugs and abs(int(first[0]) - int(second[0])) == 1
