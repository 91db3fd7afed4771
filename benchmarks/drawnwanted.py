"""What takes part in a function, found by searching the vehicle's graph: what its pages must at least show.

From each load all ways to a supply and to a ground: through wires, connectors, splices, fuses, switches in one position
at a time, relay contacts, outputs and series resistors, never through another load. Of the wires between two points of
such a way those count that lie on some simple path between them. A way ends at the first battery or converter, and at
the first stud, body or battery minus. What lets the way be closed is searched the same way: the coils of its relays,
the supplies of its modules, flashers and timers, and the inputs that the rules of its outputs read.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from loombench.vehicle.graph import Link, by_point, links
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.module import All, Any, Not, Rule, Test
from loombench.vehicle.points import Point

MOST_STEPS = 60_000
"""A search that has not ended by then keeps what it has found: what is wanted is then a part of what takes part."""
SHOWN_KINDS = ("fuse", "fuselink", "breaker", "cutout", "switch", "relay", "module", "flasher", "timer", "resistor")

Edges = Sequence[tuple[Point, Point, str]]


@dataclass
class Wanted:
    """Wires and parts that carry the loads' current, and those that let it flow; `cut` where a search ended early."""

    carrying: dict[str, Wire] = field(default_factory=dict)
    controlling: dict[str, Wire] = field(default_factory=dict)
    parts: dict[str, None] = field(default_factory=dict)
    control_parts: dict[str, None] = field(default_factory=dict)
    cut: bool = False


@dataclass(frozen=True)
class _Way:
    """The links gone through, each with the points before and after, and the point where the way ends."""

    hops: tuple[tuple[Link, Point, Point], ...] = ()


class _Graph:
    """Nets of wires and plain joints, and the links that lead from net to net."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        everything = links(vehicle)
        self.at = by_point(tuple(link for link in everything if _plain(link)))
        self.net: dict[Point, int] = {}
        for number, point in enumerate(dict.fromkeys(end for link in everything for end in (link.a, link.b))):
            if point not in self.net:
                self._flood(point, number)
        self.loads = [link for link in everything if link.kind == "load" and not _is_series(vehicle, link)]
        through = [link for link in everything if not _plain(link) and link.kind not in ("load", "source")]
        self.through = by_point(tuple(through + [link for link in everything if _is_series(vehicle, link)]))
        self.members: dict[int, list[Point]] = {}
        for point, number in self.net.items():
            self.members.setdefault(number, []).append(point)
        self.plus, self.minus = self._ends(everything)
        self.plus_nets = {self.net[point] for point in self.plus}
        self.minus_nets = {self.net[point] for point in self.minus}

    def _flood(self, start: Point, number: int) -> None:
        waiting = [start]
        self.net[start] = number
        while waiting:
            point = waiting.pop()
            for link in self.at.get(point, ()):
                other = link.other(point)
                if other not in self.net:
                    self.net[other] = number
                    waiting.append(other)

    def _ends(self, everything: Iterable[Link]) -> tuple[set[Point], set[Point]]:
        kinds = {name: part.kind for name, part in self.vehicle.parts.items()}
        sources = [
            link for link in everything if link.kind == "source" and kinds[link.a.part] in ("battery", "converter")
        ]
        plus = {link.a for link in sources}
        minus = {link.b for link in sources if kinds[link.b.part] == "battery"}
        # The frame of a trailer leads nowhere: what flows back does so through its plug.
        powered = {_prefix(name) for name, kind in kinds.items() if kind == "battery"}
        frames = [point for point in self.net if kinds.get(point.part) in ("stud", "body")]
        minus |= {point for point in frames if not powered or _prefix(point.part) in powered}
        if not any(kind == "battery" for kind in kinds.values()):
            edge = {point for point in self.net if kinds.get(point.part) in ("plug", "socket")}
            return plus | edge, minus | edge
        return plus, minus


def _prefix(part: str) -> str:
    """Which vehicle a part belongs to: empty for the one itself."""
    return part.rpartition("::")[0]


def _plain(link: Link) -> bool:
    """Whether both ends are always one net."""
    return link.kind in ("wire", "joint") and not link.one_way


def _is_series(vehicle: Vehicle, link: Link) -> bool:
    """Whether a load is a resistor that another load's current may go through."""
    part = vehicle.parts.get(link.a.part)
    if link.kind != "load" or part is None or part.kind == "relay":
        return False
    pins = {link.a.pin, link.b.pin}
    return any(one.kind == "resistor" and pins == set(one.pins[:2]) for one in part.elements)


def wanted(vehicle: Vehicle, loads: Sequence[str]) -> Wanted:
    """What must be on the pages of these loads, named as `E7` or `M5.53-31`."""
    graph = _Graph(vehicle)
    found = Wanted()
    begun: set[tuple[Point, Point]] = set()
    waiting = [(link, True) for link in graph.loads if link.via in loads]
    waiting += [(link, True) for link in links(vehicle) if _is_series(vehicle, link) and link.via in loads]
    asked: set[tuple[Point, str]] = set()
    while waiting:
        load, carries = waiting.pop(0)
        if (load.a, load.b) in begun:
            continue
        begun.add((load.a, load.b))
        ways = _load_ways(graph, load, found)
        _keep(graph, found, ways, carries)
        if ways and carries:
            found.parts[load.a.part] = None
        waiting += [(link, False) for link in _lets(graph, ways)]
        for point, to in _inputs(vehicle, ways):
            if (point, to) not in asked:
                asked.add((point, to))
                more = _ways(graph, point, to, found)
                _keep(graph, found, more, carries=False)
                waiting += [(link, False) for link in _lets(graph, more)]
    return found


def _load_ways(graph: _Graph, load: Link, found: Wanted) -> list[tuple[Point, _Way, str]]:
    """Ways from both ends, as (start, way, towards), for each sense of current in which both ends lead somewhere."""
    kept: list[tuple[Point, _Way, str]] = []
    for one, two in ((load.a, load.b), (load.b, load.a)):
        feed, back = _ways(graph, one, "plus", found), _ways(graph, two, "minus", found)
        if feed and back:
            kept += feed + back
    return kept


def _ways(graph: _Graph, start: Point, to: str, found: Wanted) -> list[tuple[Point, _Way, str]]:
    """All ways from a point to a net of that end, none of them through a net of the other end."""
    ends, barred = (graph.plus_nets, graph.minus_nets) if to == "plus" else (graph.minus_nets, graph.plus_nets)
    kept: list[tuple[Point, _Way, str]] = []
    if start not in graph.net:
        return kept
    stack: list[tuple[int, frozenset[int], tuple[tuple[Link, Point, Point], ...]]] = [
        (graph.net[start], frozenset(), ())
    ]
    steps = 0
    while stack:
        net, been, hops = stack.pop()
        steps += 1
        if steps > MOST_STEPS:
            found.cut = True
            break
        if net in ends:
            kept.append((start, _Way(hops), to))
            continue
        if net in barred:
            continue
        for point in graph.members[net]:
            for link in graph.through.get(point, ()):
                other = link.other(point)
                # Feed ways are walked against the current: an output leads from its supply to its pin.
                against = link.one_way and (other == link.b if to == "plus" else other == link.a)
                if against or graph.net[other] in been or graph.net[other] == net:
                    continue
                more = (*hops, (link, point, other))
                if _possible(graph.vehicle, more):
                    stack.append((graph.net[other], been | {net}, more))
    return kept


def _possible(vehicle: Vehicle, hops: tuple[tuple[Link, Point, Point], ...]) -> bool:
    """Whether one position of each control closes all that the way goes through it, and no relay is both."""
    used: dict[str, list[tuple[str, str]]] = {}
    for link, _, _ in hops:
        if link.kind == "switch":
            used.setdefault(link.via, []).append((link.a.pin, link.b.pin))
    for name, pairs in used.items():
        control = vehicle.controls.get(name)
        if control is not None and not any(
            all(pair in place.pairs or pair[::-1] in place.pairs for pair in pairs) for place in control.positions
        ):
            return False
    relays = [
        (link.a.part, link.via) for link, _, _ in hops if link.via not in vehicle.controls and link.kind == "switch"
    ]
    for part, _ in relays:
        elements = [one for one in vehicle.parts[part].elements if one.kind == "relay-contact"]
        names = [via for other, via in relays if other == part]
        shut = {one.name.startswith("break") for one in elements if f"{part}.{one.name}" in names}
        if len(shut) > 1:
            return False
    return True


def _keep(graph: _Graph, found: Wanted, ways: Iterable[tuple[Point, _Way, str]], carries: bool) -> None:
    wires = found.carrying if carries else found.controlling
    parts = found.parts if carries else found.control_parts
    stretches: dict[tuple[Point, Point | str], None] = {}
    for start, way, to in ways:
        at = start
        for link, point, other in way.hops:
            stretches[at, point] = None
            at = other
            for part in (link.a.part, link.b.part):
                if graph.vehicle.parts[part].kind in SHOWN_KINDS:
                    parts[part] = None
        stretches[at, to] = None
    for one, two in stretches:
        for name in _between(graph, one, two):
            wire = graph.vehicle.wire_by_id.get(name)
            if wire is not None:
                wires[name] = wire


def _between(graph: _Graph, start: Point, end: Point | str) -> set[str]:
    """The wires of a net that lie on some simple path from a point to another, or to the first end of that name."""
    ends = graph.plus if end == "plus" else graph.minus if end == "minus" else set()
    goal = Point("\0end")

    def node(point: Point) -> Point:
        return goal if point in ends or point == end else point

    if node(start) == goal:
        return set()
    edges = [
        (node(link.a), node(link.b), link.via)
        for point in graph.members[graph.net[start]]
        for link in graph.at.get(point, ())
        if link.a == point and node(link.a) != node(link.b)
    ]
    return on_simple_paths(edges, start, goal)


def on_simple_paths(edges: Edges, start: Point, goal: Point) -> set[str]:
    """The names of the edges that lie on a simple path from start to goal: those in one block with an edge from it."""
    table: dict[Point, list[tuple[int, Point]]] = {}
    every = [*edges, (start, goal, "\0asked")]
    for number, (a, b, _) in enumerate(every):
        table.setdefault(a, []).append((number, b))
        table.setdefault(b, []).append((number, a))
    order: dict[Point, int] = {start: 0}
    low: dict[Point, int] = {start: 0}
    pile: list[int] = []
    blocks: list[set[int]] = []
    stack: list[tuple[Point, int, Iterator[tuple[int, Point]]]] = [(start, -1, iter(table[start]))]
    while stack:
        point, came, left = stack[-1]
        step = next(left, None)
        if step is None:
            stack.pop()
            if stack:
                above = stack[-1][0]
                low[above] = min(low[above], low[point])
                if low[point] >= order[above]:
                    block = set()
                    while pile:
                        top = pile.pop()
                        block.add(top)
                        if top == came:
                            break
                    blocks.append(block)
            continue
        number, other = step
        if number == came:
            continue
        if other not in order:
            order[other] = low[other] = len(order)
            pile.append(number)
            stack.append((other, number, iter(table[other])))
        elif order[other] < order[point]:
            pile.append(number)
            low[point] = min(low[point], order[other])
    asked = next((block for block in blocks if len(every) - 1 in block), set())
    return {every[number][2] for number in asked} - {"\0asked"}


def _lets(graph: _Graph, ways: Iterable[tuple[Point, _Way, str]]) -> list[Link]:
    """The loads that must be fed for the ways to close: coils, and what modules, flashers and timers draw."""
    parts = {link.a.part for _, way, _ in ways for link, _, _ in way.hops if link.kind in ("switch", "output")}
    kinds = ("relay", "module", "flasher", "timer")
    return [link for link in graph.loads if link.a.part in parts and graph.vehicle.parts[link.a.part].kind in kinds]


def _inputs(vehicle: Vehicle, ways: Iterable[tuple[Point, _Way, str]]) -> Iterator[tuple[Point, str]]:
    """The inputs that the rules of the outputs gone through read, and where each is led to when it is on."""
    for _, way, _ in ways:
        for link, _, _ in way.hops:
            module = vehicle.parts[link.a.part].module
            if module is None or link.kind not in ("output", "switch"):
                continue
            target = link.via.removeprefix(f"{link.a.part}.")
            tests = {name for rule in module.rules if target in rule.targets for name in _tests(rule.rule)}
            for one in module.inputs:
                if one.pin in tests:
                    yield Point(link.a.part, one.pin), "plus" if one.on_when == "high" else "minus"


def _tests(rule: Rule) -> set[str]:
    match rule:
        case Test():
            return {rule.name}
        case Not():
            return _tests(rule.rule)
        case All() | Any():
            return {name for one in rule.rules for name in _tests(one)}
