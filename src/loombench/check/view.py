"""What the rules look at: a vehicle with its links, nets and traced runs, each made once."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from loombench.base.listing import shortened
from loombench.base.problems import Span
from loombench.base.wording import Fact
from loombench.vehicle.graph import Link, by_point, links, merged
from loombench.vehicle.model import Part, Vehicle, Wire
from loombench.vehicle.nets import Nets, nets
from loombench.vehicle.points import Point
from loombench.vehicle.trace import Run, runs

MOST_NAMES = 8
MOST_SPANS = 4


@dataclass(frozen=True)
class View:
    """A vehicle under its rules."""

    vehicle: Vehicle

    @cached_property
    def links(self) -> tuple[Link, ...]:
        """Everything that joins two points."""
        return links(self.vehicle)

    @cached_property
    def table(self) -> Mapping[Point, tuple[Link, ...]]:
        """The links at each point."""
        return by_point(self.links)

    @cached_property
    def nets(self) -> Nets:
        """The nets with their classes."""
        return nets(self.vehicle)

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """The way of each load, traced."""
        return runs(self.vehicle)

    @cached_property
    def sources(self) -> tuple[Link, ...]:
        """Batteries, alternators and the outputs of converters, from plus to minus."""
        return tuple(link for link in self.links if link.kind == "source")

    @cached_property
    def mains(self) -> tuple[Link, ...]:
        """The batteries; where there is none, all sources."""
        batteries = tuple(link for link in self.sources if self.vehicle.parts[link.a.part].kind == "battery")
        return batteries or self.sources

    @cached_property
    def grounds(self) -> frozenset[int]:
        """The nets that the minus of a battery or a body is on."""
        number = self.nets.net
        ends = [link.b for link in self.mains] + [
            Point(part.id) for part in self.vehicle.parts.values() if part.kind == "body"
        ]
        plus = {number.get(link.a) for link in self.mains}
        return frozenset(number[end] for end in ends if end in number and number[end] not in plus)

    @cached_property
    def fed(self) -> frozenset[Point]:
        """The points that a battery's plus reaches without passing a load, in some position of the controls."""
        starts = [link.a for link in self.mains]
        seen, waiting = set(starts), starts
        while waiting:
            at = waiting.pop()
            for link in self.table.get(at, ()):
                end = link.other(at)
                passes = link.kind not in ("load", "source") and not (link.one_way and link.a != at)
                if passes and end not in seen and not self.on_ground(end):
                    seen.add(end)
                    waiting.append(end)
        return frozenset(seen)

    def net(self, point: Point) -> int | None:
        """The number of the net a point is on."""
        return self.nets.net.get(merged(point))

    def on_ground(self, point: Point) -> bool:
        """Whether wires and joints alone lead from a point to a body or to a battery's minus."""
        return self.net(point) in self.grounds

    def part(self, point: Point) -> Part | None:
        """The part of a point."""
        return self.vehicle.parts.get(point.part)

    def wired(self, point: Point) -> bool:
        """Whether a wire ends at a point, or a bar, a ring or a mating leads on from it."""
        return any(link.kind in ("wire", "joint") for link in self.table.get(merged(point), ()))

    def assumed(self, wire: Wire) -> bool:
        """Whether a number of a wire is not known."""
        return bool(wire.assumed) or not (wire.area_mm2.known and wire.length_m.known)


def some(names: Iterable[object], most: int = MOST_NAMES) -> Fact:
    """Names as a list, shortened where it is long."""
    return shortened([str(name) for name in dict.fromkeys(names)], most)


def spans(things: Iterable[Part | Wire | None], most: int = MOST_SPANS) -> tuple[Span, ...]:
    """The places of the first few things, each once."""
    found = dict.fromkeys(thing.span for thing in things if thing is not None and thing.span is not None)
    return tuple(found)[:most]
