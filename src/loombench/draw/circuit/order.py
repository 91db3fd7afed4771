"""Where a point belongs between supply and ground, so that a page has power at the top and ground at the bottom."""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from loombench.draw.circuit.ways import coupled, is_coupled, owner, returns
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

MIDDLE = 0.5


def heights(vehicle: Vehicle, links: Iterable[Link], parts: Iterable[str]) -> Mapping[Point, float]:
    """For each point 0 at a supply to 1 at ground, by the links from the supply; `MIDDLE` where none leads there.

    What is joined to ground by wires alone is the lowest, or the shortest way to ground of some part would put it
    below the load that it switches. `links` are those that take part, `parts` the parts that do: inside a module or
    sensor its pins are joined as its pull-ups and supply join them.
    """
    given = tuple(links)
    points = dict.fromkeys(point for link in given for point in (link.a, link.b))
    plain = [(link.a, link.b) for link in given if link.kind in ("wire", "joint")]
    plugged = _plug_ends(vehicle, given)
    living = coupled(vehicle)
    grounds = [point for point in points if _is_ground(vehicle, point, living) or plugged.get(point) is True]
    below = _distances(grounds, _table(plain))
    edges = [(link.a, link.b) for link in given if link.kind != "source"]
    edges += [pair for name in parts if name in vehicle.parts for pair in _inside(vehicle, name)]
    points |= dict.fromkeys(point for edge in edges for point in edge)
    free = [(a, b) for a, b in edges if a not in below and b not in below]
    supplies = [point for point in points if _is_supply(vehicle, point) or plugged.get(point) is False]
    above = _distances(supplies, _table(free))
    most = max(above.values(), default=0) + 1
    deep = max(below.values(), default=0) + 1
    found = dict.fromkeys(points, MIDDLE)
    found |= {point: 0.9 * steps / most for point, steps in above.items() if point in points}
    found |= {point: 1.0 - 0.09 * steps / deep for point, steps in below.items() if point in points}
    return MappingProxyType(found)


def _table(edges: Iterable[tuple[Point, Point]]) -> dict[Point, list[Point]]:
    table: dict[Point, list[Point]] = {}
    for a, b in edges:
        table.setdefault(a, []).append(b)
        table.setdefault(b, []).append(a)
    return table


def _is_supply(vehicle: Vehicle, point: Point) -> bool:
    kind = vehicle.parts[point.part].kind
    return (kind, point.pin) in (("battery", "+"), ("alternator", "B+"), ("converter", "out"))


def _is_ground(vehicle: Vehicle, point: Point, living: frozenset[str]) -> bool:
    kind = vehicle.parts[point.part].kind
    own = kind in ("stud", "body") and owner(point.part) not in living
    return own or (kind, point.pin) in (("battery", "-"), ("alternator", "-"))


def _plug_ends(vehicle: Vehicle, given: Sequence[Link]) -> Mapping[Point, bool]:
    """The contacts of the plug of a trailer that stands alone, and of each whether current leaves by it."""
    if not is_coupled(vehicle, ""):
        return MappingProxyType({})
    back = returns(vehicle, given)
    points = [point for link in given for point in (link.a, link.b) if vehicle.parts[point.part].kind == "plug"]
    return MappingProxyType({point: point in back for point in points})


def _inside(vehicle: Vehicle, name: str) -> Iterator[tuple[Point, Point]]:
    part = vehicle.parts[name]
    if part.module is not None:
        supply = part.module.supplies[0].pin if part.module.supplies else ""
        ground = part.module.grounds[0] if part.module.grounds else ""
        for one in part.module.inputs:
            to = (one.pull_to or supply) if one.pull == "up" else ground
            if to:
                yield Point(name, one.pin), Point(name, to)
    elif part.kind in ("sensor", "timer", "flasher"):
        for pin in part.pins[1:]:
            yield Point(name, part.pins[0]), Point(name, pin)


def _distances(starts: Iterable[Point], table: Mapping[Point, list[Point]]) -> dict[Point, int]:
    reached = dict.fromkeys(starts, 0)
    queue = deque(reached)
    while queue:
        point = queue.popleft()
        for other in table.get(point, ()):
            if other not in reached:
                reached[other] = reached[point] + 1
                queue.append(other)
    return reached
