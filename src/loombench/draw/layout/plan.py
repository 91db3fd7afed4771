"""From what takes part to the plan of a page: each part as an item, each wire as a run from what is above to below.

A connector in line is an item for each cavity, a splice or stud a rail, the fuses of a box that hang on one bar a
frame with them inside; every other part is its symbol, with the pins that take part.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from loombench.draw.circuit.order import MIDDLE, heights
from loombench.draw.circuit.taking import Taking
from loombench.draw.circuit.ways import is_coupled
from loombench.draw.layout.boxes import Boxed, boxes, bridges
from loombench.draw.layout.forks import forked
from loombench.draw.layout.items import LINK, PAIR, SYMBOL, WIRE, Item, Note, Plan, Port, Run
from loombench.draw.layout.rails import rail
from loombench.draw.shapes import BOTTOM, NOTE, START, TOP, Line, Symbol, Text, Wanted, moved
from loombench.draw.symbol import symbol_of
from loombench.draw.symbols.plugs import mated
from loombench.vehicle.graph import Link, merged
from loombench.vehicle.model import Part, Vehicle, Wire
from loombench.vehicle.points import Point

RAILS = ("splice", "stud", "body")
SOCKETS = ("socket", "plug")
RETURNING = 0.9
"""What belongs lower than this is joined to ground by wires alone."""
EARTH_MM = 2.5
EARTH_STROKES = ((0.0, 2.2), (0.9, 1.4), (1.8, 0.6))
"""The strokes of a frame connection on the minus of a battery: how far above it, and half how wide."""
WHOLE = ("converter", "alternator")
"""Kinds that are drawn with all their pins, whichever of them take part."""
SUPPLIES = ("battery", "alternator")


@dataclass(frozen=True)
class Others:
    """What hangs on the wires that a page does not show: the functions of each wire, `(key, name)`."""

    of_wire: Mapping[str, tuple[tuple[str, str], ...]]


NOBODY = Others(MappingProxyType({}))


def plan_of(vehicle: Vehicle, taking: Taking, others: Others = NOBODY, language: str = "en") -> Plan:
    """The plan of all that takes part, with everything at rest and its words in a language."""
    return _Builder(vehicle, taking, others, language).plan()


def posed(vehicle: Vehicle, plan: Plan, positions: Mapping[str, str]) -> Plan:
    """The plan with controls and relays in these positions, as `Wanted` has them. Every pin is where it was: who
    compares two states of a function finds things at the same place."""
    items = {key: _posed(vehicle, item, positions) for key, item in plan.items.items()}
    return replace(plan, items=MappingProxyType(items))


def _posed(vehicle: Vehicle, item: Item, positions: Mapping[str, str]) -> Item:
    if item.wanted is None or item.symbol is None:
        return item
    symbol = symbol_of(vehicle.parts[item.part], replace(item.wanted, positions=positions))
    same = (symbol.pins, symbol.width_mm, symbol.height_mm) == (
        item.symbol.pins,
        item.symbol.width_mm,
        item.symbol.height_mm,
    )
    return replace(item, symbol=symbol) if same else item


class _Builder:
    def __init__(self, vehicle: Vehicle, taking: Taking, others: Others, language: str) -> None:
        self.vehicle = vehicle
        self.language = language
        self.others = others
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
        self.items: dict[str, Item] = {}
        self.place: dict[str, tuple[str, str]] = {}
        """Where the point of a name is: item and port."""

    def plan(self) -> Plan:
        boxed = boxes(self.vehicle, self.links, self.height)
        for box in boxed:
            self._add(box.item)
        held = {part for box in boxed for part in box.parts}
        for part in self.parts:
            if part.kind in RAILS:
                self._rail(part)
            elif part.kind == "connector":
                self._connector(part)
            elif part.kind in SOCKETS:
                self._sockets(part)
            elif part.kind != "carrier" and part.id not in held:
                self._symbol(part)
        runs = [*self._wire_runs(), *self._link_runs(boxed)]
        return forked(self.items, runs)

    def _add(self, item: Item) -> None:
        self.items[item.key] = item
        for port in item.ports:
            self.place.setdefault(port.name or port.key, (item.key, port.key))

    def up(self, point: Point) -> float:
        """How far down a point belongs."""
        return self.height.get(merged(point), MIDDLE)

    def _upward(self, names: Mapping[str, Point]) -> frozenset[str]:
        """The points whose wires come from above: their other ends belong higher."""
        above: set[str] = set()
        for name, point in names.items():
            far = [self.up(other) for other in self._near.get(merged(point), ())]
            if far and sum(far) / len(far) < self.up(point):
                above.add(name)
        return frozenset(above)

    @cached_property
    def _near(self) -> Mapping[Point, list[Point]]:
        """What wires and joints lead to from each point, contacts plugged together aside."""
        found: dict[Point, list[Point]] = {}
        pairs = [(merged(wire.a), merged(wire.b)) for wire in self.wires]
        pairs += [
            (link.a, link.b)
            for link in self.links
            if link.a.part != link.b.part and not (self._mates(link.a) and self._mates(link.b))
        ]
        for a, b in pairs:
            found.setdefault(a, []).append(b)
            found.setdefault(b, []).append(a)
        return found

    def _mates(self, point: Point) -> bool:
        return self.vehicle.parts[point.part].kind in SOCKETS

    def _sockets(self, part: Part) -> None:
        """A socket or plug: the contacts whose current comes from above apart from those that it goes back through;
        where both are there, the plug in the socket."""
        pins = [point for point in self.points if point.part == part.id and point.pin]
        mates = {pin: self._mate(pin) for pin in pins}
        alone = [pin for pin in pins if mates[pin] is None]
        # A plug without its socket: what feeds its contacts comes from above, what they take back from below.
        backwards = [pin for pin in alone if part.kind == "plug" and self.up(pin) > RETURNING]
        for mark, some in (("", [pin for pin in alone if pin not in backwards]), ("<", backwards)):
            if some:
                self._symbol(part, some, f"{part.id}{mark}")
        lower = [mate for pin in pins if (mate := mates[pin]) is not None and self._is_above(pin, mate)]
        for other in dict.fromkeys(mate.part for mate in lower):
            self._mated(part, self.vehicle.parts[other], [mate.pin for mate in lower if mate.part == other])

    def _mate(self, pin: Point) -> Point | None:
        """The contact that one of a socket or plug is plugged into, if that is drawn."""
        ends = (link.other(pin) for link in self.links if pin in (link.a, link.b))
        return next((end for end in ends if end.part != pin.part and self._mates(end)), None)

    def _is_above(self, pin: Point, mate: Point) -> bool:
        """Whether current comes through this contact first; the socket's where nothing says so."""
        one, two = self.up(pin), self.up(mate)
        return one < two or (one == two and self.vehicle.parts[pin.part].kind == "socket")

    def _mated(self, upper: Part, lower: Part, pins: Sequence[str]) -> None:
        inside: list[tuple[Symbol, float, float]] = []
        ports: list[Port] = []
        down = 0.0
        for symbol in mated(upper, lower, pins):
            inside.append((symbol, 0.0, down))
            ports += [Port(pin.name, pin.name, pin.side, pin.x_mm, down + pin.y_mm) for pin in symbol.pins]
            down += symbol.height_mm
        wide = max(symbol.width_mm for symbol, _, _ in inside)
        key = f"{upper.id}>{lower.id}"
        self._add(Item(key, upper.id, PAIR, upper.kind, wide, down, tuple(ports), inside=tuple(inside)))

    def _symbol(self, part: Part, some: Sequence[Point] | None = None, key: str = "") -> None:
        found = some or [point for point in self.points if point.part == part.id and point.pin]
        if part.kind in WHOLE:
            found = [Point(part.id, pin) for pin in part.pins]
        names = {str(Point(part.id, point.pin)): point for point in found}
        upward = self._upward(names) or frozenset(str(Point(part.id, pin)) for pin in part.pins) - names.keys()
        wanted = Wanted(pins=frozenset(names), upward=upward, language=self.language)
        symbol = symbol_of(part, wanted)
        if part.kind == "battery" and f"{part.id}.-" not in names:
            symbol = self._grounded(symbol, f"{part.id}.-")
        # The engine knows ports on the edge only: a pin that stands further in has its port above it.
        ports = tuple(
            Port(pin.name, pin.name, pin.side, pin.x_mm, 0.0 if pin.side == TOP else pin.y_mm) for pin in symbol.pins
        )
        level = 0 if part.kind in SUPPLIES else 1
        size = (symbol.width_mm, symbol.height_mm)
        posable = None if part.kind == "battery" else wanted
        self._add(Item(key or part.id, part.id, SYMBOL, part.kind, *size, ports, level, symbol, posable))

    def _grounded(self, symbol: Symbol, minus: str) -> Symbol:
        """A battery whose minus no wire of the page leads to: the sign of the frame on it, with the stud it goes to."""
        pin = next((one for one in symbol.pins if one.name == minus and one.side == TOP), None)
        if pin is None:
            return symbol
        down = EARTH_MM
        ends = (end for wire in self.vehicle.wires for end in (wire.a, wire.b) if minus in (str(wire.a), str(wire.b)))
        stud = next((end.part for end in ends if self.vehicle.parts[end.part].kind == "stud"), "")
        strokes = [Line(pin.x_mm - half, down - up, pin.x_mm + half, down - up) for up, half in EARTH_STROKES]
        name = Text(pin.x_mm + 3.0, down - 0.2, stud, 2.5, START, NOTE)
        return replace(
            symbol,
            height_mm=symbol.height_mm + down,
            pins=tuple(replace(one, y_mm=one.y_mm + down) for one in symbol.pins),
            shapes=(*strokes, name, *(moved(shape, 0.0, down) for shape in symbol.shapes)),
        )

    def _connector(self, part: Part) -> None:
        cavities: dict[str, dict[str, Point]] = {}
        for wire in self.wires:
            for end in (wire.a, wire.b):
                if end.part == part.id:
                    cavities.setdefault(end.pin, {})[str(Point(part.id, end.pin, end.half))] = end
        for pin in part.pins:
            ends = cavities.get(pin)
            if not ends:
                continue
            names = frozenset(str(Point(part.id, pin, half)) for half in part.halves) or frozenset(ends)
            upper = {name for name, end in ends.items() if self._comes_from_above(end)}
            if len(upper) != 1:
                upper = set(sorted(upper or ends)[:1])
            wanted = Wanted(pins=names, upward=frozenset(upper), language=self.language)
            symbol = symbol_of(part, wanted)
            ports = tuple(Port(one.name, one.name, one.side, one.x_mm, one.y_mm) for one in symbol.pins)
            key = f"{part.id}.{pin}"
            size = (symbol.width_mm, symbol.height_mm)
            self._add(Item(key, part.id, SYMBOL, part.kind, *size, ports, 1, symbol, wanted))

    def _comes_from_above(self, end: Point) -> bool:
        """Whether the wire of this half of a cavity comes from what belongs higher than the cavity."""
        far = [self.up(wire.b if wire.a == end else wire.a) for wire in self.wires if end in (wire.a, wire.b)]
        return bool(far) and sum(far) / len(far) < self.up(end)

    def _rail(self, part: Part) -> None:
        ports: list[Port] = []
        for wire in self.wires:
            for end, other in ((wire.a, wire.b), (wire.b, wire.a)):
                if end.part == part.id:
                    above = self._is_ground(part) or self.up(other) < self.up(end)
                    if not above and self.up(other) == self.up(end):
                        above = end is wire.b
                    ports.append(Port(f"{wire.id}>{end}", _plain_name(end), TOP if above else BOTTOM))
        ports += [
            Port(f"{link.via}>{end}", "", TOP if part.kind == "body" else BOTTOM)
            for link in self._outside()
            for end in (link.a, link.b)
            if end.part == part.id
        ]
        quiet: tuple[str, ...] = ()
        if part.kind == "stud":
            quiet = tuple(text for text in (part.body, part.place) if text)
        self._add(rail(part, tuple(ports), self._note(part), quiet, self._is_ground(part)))

    def _is_ground(self, part: Part) -> bool:
        """Whether ways end there: not at a stud of a trailer, whose return goes on through the plug."""
        return part.kind == "body" or (part.kind == "stud" and not is_coupled(self.vehicle, part.id))

    def _note(self, part: Part) -> Note | None:
        drawn = {wire.id for wire in self.wires}
        hidden = [
            wire.id for wire in self.vehicle.wires if wire.id not in drawn and part.id in (wire.a.part, wire.b.part)
        ]
        if not hidden:
            return None
        found = dict.fromkeys(pair for wire in hidden for pair in self.others.of_wire.get(wire, ()))
        names = [name or key for key, name in found]
        text = f"+ {', '.join(names[:2])}" + (f" +{len(names) - 2}" if len(names) > 2 else "")
        return Note(part.id, text if names else f"+ {len(hidden)}", tuple(key for key, _ in found))

    def _outside(self) -> list[Link]:
        """The joints between different parts that nothing drawn as one has inside: studs to bodies."""
        return [
            link
            for link in self.links
            if link.a.part != link.b.part
            and self.vehicle.parts[link.via].kind != "carrier"
            and not (self._mates(link.a) and self._mates(link.b))
        ]

    def _wire_runs(self) -> Iterator[Run]:
        for wire in self.wires:
            ends = [self._end(wire, wire.a), self._end(wire, wire.b)]
            turned = self._below(ends[0], ends[1], self.up(wire.a), self.up(wire.b))
            start, end = reversed(ends) if turned else ends
            yield Run(wire.id, WIRE, start, end, wire.id, turned)

    def _end(self, wire: Wire, end: Point) -> tuple[str, str]:
        part = self.vehicle.parts[end.part]
        if part.kind in RAILS:
            return (part.id, f"{wire.id}>{end}")
        if part.kind == "connector":
            return self.place[str(Point(end.part, end.pin, end.half))]
        return self.place[str(Point(end.part, end.pin))]

    def _below(self, one: tuple[str, str], two: tuple[str, str], high: float, low: float) -> bool:
        """Whether a line drawn from one to two would run upwards."""
        sides = [self._side(one), self._side(two)]
        if sides == [TOP, BOTTOM]:
            return True
        return sides != [BOTTOM, TOP] and high > low

    def _side(self, end: tuple[str, str]) -> str:
        return next(port.side for port in self.items[end[0]].ports if port.key == end[1])

    def _link_runs(self, boxed: Sequence[Boxed]) -> Iterator[Run]:
        for box in boxed:
            for port, name in box.leads:
                if name in self.place:
                    ends = [(box.item.key, port), self.place[name]]
                    if self._below(ends[0], ends[1], 0.0, 0.0):
                        ends.reverse()
                    yield Run(f"{box.item.key}>{name}", LINK, ends[0], ends[1])
        for link in bridges(self.vehicle, self.links):
            ends = [self.place[str(Point(end.part, end.pin))] for end in (link.a, link.b)]
            if self._below(ends[0], ends[1], self.up(link.a), self.up(link.b)):
                ends.reverse()
            yield Run(f"{link.a}={link.b}", LINK, ends[0], ends[1])
        for link in self._outside():
            ends = [self._link_end(link, link.a), self._link_end(link, link.b)]
            if self._below(ends[0], ends[1], self.up(link.a), self.up(link.b)):
                ends.reverse()
            yield Run(f"{link.a}={link.b}", LINK, ends[0], ends[1])

    def _link_end(self, link: Link, end: Point) -> tuple[str, str]:
        if self.vehicle.parts[end.part].kind in RAILS:
            return (end.part, f"{link.via}>{end}")
        return self.place[str(Point(end.part, end.pin))]


def _plain_name(end: Point) -> str:
    return str(Point(end.part, end.pin, ring=end.ring))


def _between(vehicle: Vehicle, points: Iterable[Point]) -> list[Wire]:
    """All wires both of whose ends are there: also those that carry nothing of the function, or a page would lie."""
    there = set(points)
    return [wire for wire in vehicle.wires if merged(wire.a) in there and merged(wire.b) in there]
