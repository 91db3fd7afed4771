"""The lines of a page: each wire and each joint from what is above to what is below."""

from collections.abc import Iterator, Mapping, Sequence

from loombench.draw.layout.boxes import Boxed, bridges
from loombench.draw.layout.items import LINK, WIRE, Item, Run
from loombench.draw.layout.taken import RAILS, Taken
from loombench.draw.shapes import BOTTOM, TOP
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Wire
from loombench.vehicle.points import Point


class Runs:
    """The lines between `items`; `place` says of the name of a point which item and port it is."""

    def __init__(self, taken: Taken, items: Mapping[str, Item], place: Mapping[str, tuple[str, str]]) -> None:
        self.taken, self.items, self.place = taken, items, place

    def of_wires(self) -> Iterator[Run]:
        for wire in self.taken.wires:
            ends = [self._end(wire, wire.a), self._end(wire, wire.b)]
            turned = self._below(ends[0], ends[1], self.taken.up(wire.a), self.taken.up(wire.b))
            start, end = reversed(ends) if turned else ends
            yield Run(wire.id, WIRE, start, end, wire.id, turned)

    def _end(self, wire: Wire, end: Point) -> tuple[str, str]:
        part = self.taken.vehicle.parts[end.part]
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

    def of_joints(self, boxed: Sequence[Boxed]) -> Iterator[Run]:
        for box in boxed:
            for port, name in box.leads:
                if name in self.place:
                    ends = [(box.item.key, port), self.place[name]]
                    if self._below(ends[0], ends[1], 0.0, 0.0):
                        ends.reverse()
                    yield Run(f"{box.item.key}>{name}", LINK, ends[0], ends[1])
        for link in bridges(self.taken.vehicle, self.taken.links):
            ends = [self.place[str(Point(end.part, end.pin))] for end in (link.a, link.b)]
            if self._below(ends[0], ends[1], self.taken.up(link.a), self.taken.up(link.b)):
                ends.reverse()
            yield Run(f"{link.a}={link.b}", LINK, ends[0], ends[1])
        for link in self.taken.outside():
            ends = [self._link_end(link, link.a), self._link_end(link, link.b)]
            if self._below(ends[0], ends[1], self.taken.up(link.a), self.taken.up(link.b)):
                ends.reverse()
            yield Run(f"{link.a}={link.b}", LINK, ends[0], ends[1])

    def _link_end(self, link: Link, end: Point) -> tuple[str, str]:
        if self.taken.vehicle.parts[end.part].kind in RAILS:
            return (end.part, f"{link.via}>{end}")
        return self.place[str(Point(end.part, end.pin))]
