"""From what takes part to the plan of a page: each part as an item, each wire as a run from what is above to below.

A connector in line is an item for each cavity, a splice or stud a rail, the fuses of a box that hang on one bar a
frame with them inside; every other part is its symbol, with the pins that take part.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from loombench.draw.circuit.taking import Taking
from loombench.draw.layout.boxes import boxes
from loombench.draw.layout.earthed import grounded
from loombench.draw.layout.forks import forked
from loombench.draw.layout.items import PAIR, SYMBOL, Item, Note, Plan, Port
from loombench.draw.layout.rails import rail
from loombench.draw.layout.runs import Runs
from loombench.draw.layout.taken import RAILS, SOCKETS, Taken
from loombench.draw.shapes import BOTTOM, TOP, Symbol, Wanted
from loombench.draw.symbol import symbol_of
from loombench.draw.symbols.plugs import mated
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.points import Point

RETURNING = 0.9
"""What belongs lower than this is joined to ground by wires alone."""
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


class _Builder:
    def __init__(self, vehicle: Vehicle, taking: Taking, others: Others, language: str) -> None:
        self.vehicle = vehicle
        self.language = language
        self.others = others
        self.taken = Taken(vehicle, taking)
        self.items: dict[str, Item] = {}
        self.place: dict[str, tuple[str, str]] = {}
        """Where the point of a name is: item and port."""

    def plan(self) -> Plan:
        boxed = boxes(self.vehicle, self.taken.links, self.taken.height)
        for box in boxed:
            self._add(box.item)
        held = {part for box in boxed for part in box.parts}
        for part in self.taken.parts:
            if part.kind in RAILS:
                self._rail(part)
            elif part.kind == "connector":
                self._connector(part)
            elif part.kind in SOCKETS:
                self._sockets(part)
            elif part.kind != "carrier" and part.id not in held:
                self._symbol(part)
        runs = Runs(self.taken, self.items, self.place)
        return forked(self.items, (*runs.of_wires(), *runs.of_joints(boxed)))

    def _add(self, item: Item) -> None:
        self.items[item.key] = item
        for port in item.ports:
            self.place.setdefault(port.name or port.key, (item.key, port.key))

    def _sockets(self, part: Part) -> None:
        """A socket or plug: the contacts whose current comes from above apart from those that it goes back through;
        where both are there, the plug in the socket."""
        pins = [point for point in self.taken.points if point.part == part.id and point.pin]
        mates = {pin: self.taken.mate(pin) for pin in pins}
        alone = [pin for pin in pins if mates[pin] is None]
        # A plug without its socket: what feeds its contacts comes from above, what they take back from below.
        backwards = [pin for pin in alone if part.kind == "plug" and self.taken.up(pin) > RETURNING]
        for mark, some in (("", [pin for pin in alone if pin not in backwards]), ("<", backwards)):
            if some:
                self._symbol(part, some, f"{part.id}{mark}")
        lower = [mate for pin in pins if (mate := mates[pin]) is not None and self.taken.is_above(pin, mate)]
        for other in dict.fromkeys(mate.part for mate in lower):
            self._mated(part, self.vehicle.parts[other], [mate.pin for mate in lower if mate.part == other])

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
        found = some or [point for point in self.taken.points if point.part == part.id and point.pin]
        if part.kind in WHOLE:
            found = [Point(part.id, pin) for pin in part.pins]
        names = {str(Point(part.id, point.pin)): point for point in found}
        upward = self.taken.upward(names) or frozenset(str(Point(part.id, pin)) for pin in part.pins) - names.keys()
        wanted = Wanted(pins=frozenset(names), upward=upward, language=self.language)
        symbol = symbol_of(part, wanted)
        if part.kind == "battery" and f"{part.id}.-" not in names:
            symbol = grounded(self.vehicle, symbol, f"{part.id}.-")
        # The engine knows ports on the edge only: a pin that stands further in has its port above it.
        ports = tuple(
            Port(pin.name, pin.name, pin.side, pin.x_mm, 0.0 if pin.side == TOP else pin.y_mm) for pin in symbol.pins
        )
        level = 0 if part.kind in SUPPLIES else 1
        size = (symbol.width_mm, symbol.height_mm)
        posable = None if part.kind == "battery" else wanted
        self._add(Item(key or part.id, part.id, SYMBOL, part.kind, *size, ports, level, symbol, posable))

    def _connector(self, part: Part) -> None:
        cavities: dict[str, dict[str, Point]] = {}
        for wire in self.taken.wires:
            for end in (wire.a, wire.b):
                if end.part == part.id:
                    cavities.setdefault(end.pin, {})[str(Point(part.id, end.pin, end.half))] = end
        for pin in part.pins:
            ends = cavities.get(pin)
            if not ends:
                continue
            names = frozenset(str(Point(part.id, pin, half)) for half in part.halves) or frozenset(ends)
            upper = {name for name, end in ends.items() if self.taken.comes_from_above(end)}
            if len(upper) != 1:
                upper = set(sorted(upper or ends)[:1])
            wanted = Wanted(pins=names, upward=frozenset(upper), language=self.language)
            symbol = symbol_of(part, wanted)
            ports = tuple(Port(one.name, one.name, one.side, one.x_mm, one.y_mm) for one in symbol.pins)
            key = f"{part.id}.{pin}"
            size = (symbol.width_mm, symbol.height_mm)
            self._add(Item(key, part.id, SYMBOL, part.kind, *size, ports, 1, symbol, wanted))

    def _rail(self, part: Part) -> None:
        ports: list[Port] = []
        for wire in self.taken.wires:
            for end, other in ((wire.a, wire.b), (wire.b, wire.a)):
                if end.part == part.id:
                    above = self.taken.is_ground(part) or self.taken.up(other) < self.taken.up(end)
                    if not above and self.taken.up(other) == self.taken.up(end):
                        above = end is wire.b
                    ports.append(Port(f"{wire.id}>{end}", _plain_name(end), TOP if above else BOTTOM))
        ports += [
            Port(f"{link.via}>{end}", "", TOP if part.kind == "body" else BOTTOM)
            for link in self.taken.outside()
            for end in (link.a, link.b)
            if end.part == part.id
        ]
        quiet: tuple[str, ...] = ()
        if part.kind == "stud":
            quiet = tuple(text for text in (part.body, part.place) if text)
        self._add(rail(part, tuple(ports), self._note(part), quiet, self.taken.is_ground(part)))

    def _note(self, part: Part) -> Note | None:
        drawn = {wire.id for wire in self.taken.wires}
        hidden = [
            wire.id for wire in self.vehicle.wires if wire.id not in drawn and part.id in (wire.a.part, wire.b.part)
        ]
        if not hidden:
            return None
        found = dict.fromkeys(pair for wire in hidden for pair in self.others.of_wire.get(wire, ()))
        names = [name or key for key, name in found]
        text = f"+ {', '.join(names[:2])}" + (f" +{len(names) - 2}" if len(names) > 2 else "")
        return Note(part.id, text if names else f"+ {len(hidden)}", tuple(key for key, _ in found))


def _plain_name(end: Point) -> str:
    return str(Point(end.part, end.pin, ring=end.ring))
