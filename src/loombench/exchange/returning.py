"""The way back from a harness to the points of a vehicle whose parts are known: `exchange.leaving` the other way round.

A box's sockets are told from its slots by KBL (`A.F12.out` beside `F12.out`), and what has but one cavity loses its
number in VEC; both are found.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from loombench.exchange.harness import Spot
from loombench.exchange.leaving import ONLY, Spots
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point, read_point

SOCKET = "A."
"""What KBL puts before the cavities of a box's own connector."""


@dataclass(frozen=True)
class Return:
    """Finds the points of spots in a vehicle of parts."""

    parts: Vehicle

    def point(self, spot: Spot) -> Point | None:
        """The point that a spot stands for; None where no part has it."""
        for one in (spot, Spot(spot.holder, spot.cavity.removeprefix(SOCKET))):
            if one in self._known:
                return self._known[one]
        return self._ring_or_half(spot)

    @cached_property
    def _known(self) -> Mapping[Spot, Point]:
        spots = Spots(self.parts)
        points = [
            Point(part.id, pin, half, ring=part.kind == "stud")
            for part in self.parts.parts.values()
            for pin in part.pins
            for half in (part.halves or ("",))
        ]
        points += [Point(part.id) for part in self.parts.parts.values() if part.kind in ("splice", "body", "stud")]
        return MappingProxyType({spots.spot(point): point for point in points})

    def _ring_or_half(self, spot: Spot) -> Point | None:
        """Rings are made by the wires that end at them, and so is a half that only wires name."""
        name, mark, half = spot.holder.partition("@")
        part = self.parts.parts.get(name)
        if mark and part is not None and part.kind == "connector" and spot.cavity in part.pins:
            return Point(name, spot.cavity, half)
        point = read_point(spot.holder)
        ring = point is not None and point.ring and spot.cavity == ONLY
        stud = self.parts.parts.get(point.part) if point is not None else None
        return point if ring and stud is not None and stud.kind == "stud" else None
