"""Where the marks of places stand on a plan: as near to their spot as they can without lying on each other."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loombench.vehicle.model import Place, Vehicle

MARK_MM = 6.5
"""The distance of two marks."""


@dataclass(frozen=True)
class Field:
    """A vehicle on the plan: its upper left corner and size."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float

    def spot(self, place: Place) -> tuple[float, float]:
        """Where a place is; in the middle of the length where it is not said."""
        along = 0.5 if place.along is None else place.along
        reach = {"left": 0.78, "right": -0.78}.get(place.across, 0.0)
        inset = 0.03 * self.length_mm
        x = self.x_mm + inset + along * (self.length_mm - 2 * inset)
        return x, self.y_mm + self.width_mm * (0.5 + 0.5 * reach)


def said(place: Place) -> bool:
    """Whether a place has a spot on the plan."""
    return place.along is not None or bool(place.across)


def placed(spots: Iterable[tuple[str, tuple[float, float]]]) -> dict[str, tuple[float, float]]:
    """Each mark on the free point of a grid that is nearest to its spot, first come first served."""
    taken: dict[tuple[int, int], str] = {}
    found: dict[str, tuple[float, float]] = {}
    for name, (x, y) in spots:
        column, row = round(x / MARK_MM), round(y / MARK_MM)
        cell = min(
            (
                (column + dx, row + dy)
                for dx in range(-8, 9)
                for dy in range(-8, 9)
                if (column + dx, row + dy) not in taken
            ),
            key=lambda at: ((at[0] * MARK_MM - x) ** 2 + (at[1] * MARK_MM - y) ** 2, at),
        )
        taken[cell] = name
        found[name] = (cell[0] * MARK_MM, cell[1] * MARK_MM)
    return found


def loom_places(vehicle: Vehicle) -> Mapping[str, tuple[str, ...]]:
    """The places each loom comes to, in the order of its wires: those of its ends and those its wires pass."""
    found: dict[str, dict[str, None]] = {}
    for wire in vehicle.wires:
        if not wire.loom:
            continue
        along = [vehicle.parts[wire.a.part].place, *wire.via, vehicle.parts[wire.b.part].place]
        found.setdefault(wire.loom, {}).update(dict.fromkeys(name for name in along if name))
    return {loom: tuple(places) for loom, places in found.items()}


def held(vehicle: Vehicle) -> Mapping[str, tuple[str, ...]]:
    """What a person looks for at each place: connectors, studs, boxes, sockets; then what else has a name there."""
    first = ("connector", "stud", "carrier", "socket", "plug", "battery", "module")
    found: dict[str, list[tuple[int, str]]] = {}
    for part in vehicle.parts.values():
        if part.place and not part.holder and part.kind not in ("splice", "body"):
            rank = first.index(part.kind) if part.kind in first else len(first)
            found.setdefault(part.place, []).append((rank, part.id))
    return {place: tuple(name for _, name in sorted(items, key=lambda one: one[0])) for place, items in found.items()}
