"""The ways from a point to the supplies and grounds, through wires, joints, protection and whatever switches.

What is joined to a battery's plus without a switch between is hot, what is joined to its minus cold. A search that
comes to either goes on along the shortest way only: to that battery, or to the next ground stud. So a page shows how a
function is fed, and not the whole distribution of the vehicle.
"""

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from loombench.vehicle.graph import Link, by_point, links
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

ALWAYS = ("wire", "joint", "protection")
"""Kinds of link that are closed unless something is broken."""
CLOSED = (*ALWAYS, "switch", "output")
"""Kinds of link that lead on; a load or a source is an end."""


@dataclass(frozen=True)
class Net:
    """The links of a vehicle, those at each point, and for each hot and cold point the link towards battery or stud
    (None at the end of that way). `far` counts the links from each point to the next hot one, over what can close."""

    links: tuple[Link, ...]
    at: Mapping[Point, tuple[Link, ...]]
    hot: Mapping[Point, Link | None]
    cold: Mapping[Point, Link | None]
    far: Mapping[Point, int]
    numbers: Mapping[Point, tuple[int, ...]]
    """The links at each point by their place in `links`."""
    place: Mapping[int, int]
    """The place in `links` of each of them, by its identity: several may be alike."""
    of_name: Mapping[str, tuple[Link, ...]]
    """The links of each name, in order."""

    @cached_property
    def _found(self) -> dict[Point, tuple[Link, ...]]:
        """The ways found already: functions have most of theirs in common."""
        return {}

    def ways(self, start: Point) -> tuple[Link, ...]:
        """The links on any way from a point, as `ways` has them."""
        if start not in self._found:
            self._found[start] = ways(self, start)
        return self._found[start]

    def settled(self, point: Point) -> bool:
        """Whether a search ends here."""
        return point in self.hot or point in self.cold


def net_of(vehicle: Vehicle) -> Net:
    """The net of a vehicle."""
    everything = tuple(_passable(vehicle, link) for link in links(vehicle))
    table = by_point(everything)
    sources = [link for link in everything if link.kind == "source"]
    living = coupled(vehicle)
    grounds = [part for part in vehicle.parts.values() if owner(part.id) not in living]
    cold_ends = [Point(part.id, pin) for part in grounds if part.kind == "stud" for pin in ("", *part.pins)]
    cold_ends += [Point(part.id) for part in grounds if part.kind == "body"]
    cold_ends += returns(vehicle, everything)
    batteries = [link for link in sources if vehicle.parts[link.a.part].kind == "battery"]
    # A converter feeds what hangs on it, wherever its own feed comes from.
    feeding = [link for link in sources if vehicle.parts[link.a.part].kind == "converter"]
    hot = _spread([link.a for link in (*batteries, *feeding)], table, ())
    if not hot:
        hot = _spread([link.a for link in sources], table, ())
    studs = dict.fromkeys(cold_ends) | {
        Point(point.part, point.pin, ring=True): None for point in cold_ends if point.pin
    }
    cold = {**_spread([*studs, *(link.b for link in batteries or sources)], table, hot), **studs}
    far = _far(hot, table, cold)
    numbers: dict[Point, list[int]] = {}
    for number, link in enumerate(everything):
        for end in dict.fromkeys((link.a, link.b)):
            numbers.setdefault(end, []).append(number)
    names: dict[str, list[Link]] = {}
    for link in everything:
        names.setdefault(link.via, []).append(link)
    return Net(
        everything,
        table,
        MappingProxyType(hot),
        MappingProxyType(cold),
        MappingProxyType(far),
        MappingProxyType({point: tuple(some) for point, some in numbers.items()}),
        MappingProxyType({id(link): number for number, link in enumerate(everything)}),
        MappingProxyType({name: tuple(some) for name, some in names.items()}),
    )


def coupled(vehicle: Vehicle) -> frozenset[str]:
    """The vehicles of a combination that live by their plug, in a socket or not: their studs lead back through it.
    Each is named as its parts are (`trailer` of `trailer::W1`), the first one ``."""
    kinds: dict[str, set[str]] = {}
    for part in vehicle.parts.values():
        kinds.setdefault(owner(part.id), set()).add(part.kind)
    return frozenset(owner for owner, found in kinds.items() if "plug" in found and "battery" not in found)


def is_coupled(vehicle: Vehicle, name: str) -> bool:
    """Whether a part is of a vehicle that lives by its plug."""
    return owner(name) in coupled(vehicle)


def owner(name: str) -> str:
    """The vehicle of a combination that a part belongs to, by the part's id."""
    return name.rpartition("::")[0]


def returns(vehicle: Vehicle, given: Iterable[Link]) -> tuple[Point, ...]:
    """The contacts that current leaves a trailer by that stands alone: those of its plug that its studs hang on."""
    if not is_coupled(vehicle, ""):
        return ()
    table = by_point(tuple(given))
    studs = [Point(part.id) for part in vehicle.parts.values() if part.kind in ("stud", "body")]
    return tuple(point for point in _spread(studs, table, ()) if vehicle.parts[point.part].kind == "plug")


def _passable(vehicle: Vehicle, link: Link) -> Link:
    """A series resistor leads on to the load behind it, as a switch does."""
    part = vehicle.parts.get(link.a.part)
    if link.kind != "load" or part is None or part.kind == "relay":
        return link
    pins = {link.a.pin, link.b.pin}
    series = any(one.kind == "resistor" and pins == set(one.pins[:2]) for one in part.elements)
    return replace(link, kind="switch") if series else link


def _far(
    hot: Mapping[Point, Link | None], table: Mapping[Point, tuple[Link, ...]], cold: Mapping[Point, Link | None]
) -> dict[Point, int]:
    far = dict.fromkeys(hot, 0)
    queue = deque(hot)
    while queue:
        point = queue.popleft()
        for link in table.get(point, ()):
            end = link.other(point)
            if link.kind in CLOSED and end not in far and end not in cold and not (link.one_way and link.a != point):
                far[end] = far[point] + 1
                queue.append(end)
    return far


def _spread(
    starts: Iterable[Point], table: Mapping[Point, tuple[Link, ...]], without: Iterable[Point]
) -> dict[Point, Link | None]:
    """Breadth first over what is always closed: each point with the link it was reached by."""
    reached: dict[Point, Link | None] = dict.fromkeys(starts)
    queue = deque(reached)
    barred = set(without)
    while queue:
        point = queue.popleft()
        for link in table.get(point, ()):
            end = link.other(point)
            if link.kind in ALWAYS and end not in reached and end not in barred:
                reached[end] = link
                queue.append(end)
    return reached


def homeward(net: Net, point: Point) -> tuple[Link, ...]:
    """The links from a hot or cold point to its battery or stud."""
    found: list[Link] = []
    for table in (net.hot, net.cold):
        here = point
        while (link := table.get(here)) is not None:
            found.append(link)
            here = link.other(here)
        if found or point in table:
            break
    return tuple(found)


def ways(net: Net, start: Point) -> tuple[Link, ...]:
    """The links on any way from `start` to a supply or ground, in the net's order; empty where there is none.

    A way does not turn back on itself, does not go through two pairs of one control after each other (or a light switch
    would lead back into the beam that it feeds), and passes fuses and outputs against the way they feed only.
    """
    if net.settled(start):
        return homeward(net, start)
    before, ends = _forward(net, start)
    kept = _backward(before, ends)
    chosen = {number for number, _ in kept}
    for state in kept:
        point = _led_to(net, state)
        if net.settled(point):
            chosen |= {net.place[id(link)] for link in homeward(net, point)}
    return tuple(net.links[number] for number in sorted(chosen))


_State = tuple[int, bool]
"""A link walked, by its number, and whether towards its second end."""


def _led_to(net: Net, state: _State) -> Point:
    link = net.links[state[0]]
    return link.b if state[1] else link.a


def _forward(net: Net, start: Point) -> tuple[dict[_State, list[_State | None]], list[_State]]:
    """All states reached, each with those it was reached from, and those at a supply or ground."""
    before: dict[_State, list[_State | None]] = {}
    ends: list[_State] = []
    queue: deque[tuple[_State | None, Point]] = deque([(None, start)])
    while queue:
        state, point = queue.popleft()
        last = net.links[state[0]] if state else None
        for number in net.numbers.get(point, ()):
            link = net.links[number]
            if link.kind not in CLOSED or link is last or _same_control(link, last) or not _upstream(net, link, point):
                continue
            towards = link.a == point
            end = link.b if towards else link.a
            if end == start:
                continue
            new = (number, towards)
            if new in before:
                before[new].append(state)
                continue
            before[new] = [state]
            if net.settled(end):
                ends.append(new)
            else:
                queue.append((new, end))
    return before, ends


def _upstream(net: Net, link: Link, point: Point) -> bool:
    """Whether a search from a load may walk the link from this end: not into what the same fuse or output feeds."""
    if link.kind == "protection":
        least = min(net.far.get(link.a, 0), net.far.get(link.b, 0))
        return net.far.get(link.other(point), 0) <= least
    if link.kind == "output":
        own = link.via.removeprefix(f"{link.a.part}.")
        return point.pin == own if own != link.via else point == link.b
    return True


def _same_control(link: Link, last: Link | None) -> bool:
    return last is not None and link.kind == last.kind == "switch" and link.via == last.via


def _backward(before: Mapping[_State, list[_State | None]], ends: list[_State]) -> list[_State]:
    kept: dict[_State, None] = {}
    queue = deque(ends)
    while queue:
        state = queue.popleft()
        if state in kept:
            continue
        kept[state] = None
        queue.extend(one for one in before[state] if one is not None)
    return list(kept)


def joined(net: Net, start: Point) -> tuple[Link, ...]:
    """The wires and joints of the net a point is on, up to hot and cold points: for a bus, which has neither end."""
    reached = {start}
    queue = deque([start])
    found: set[int] = set()
    while queue:
        point = queue.popleft()
        if net.settled(point):
            continue
        for number in net.numbers.get(point, ()):
            link = net.links[number]
            if link.kind in ("wire", "joint"):
                found.add(number)
                end = link.other(point)
                if end not in reached:
                    reached.add(end)
                    queue.append(end)
    return tuple(net.links[number] for number in sorted(found))
