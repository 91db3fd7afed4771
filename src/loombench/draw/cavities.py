"""Where the cavities of a plug are, seen from the side somebody looks at."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.vehicle.face import Face
from loombench.vehicle.model import Part, Vehicle

OTHER: Mapping[str, str] = MappingProxyType({"wires": "mating", "mating": "wires"})
MOST_IN_ONE_ROW = 4


@dataclass(frozen=True)
class Spots:
    """Cavities by column and row from the upper left; `assumed` where nothing says how they are numbered, `side_known`
    whether it is said from which side that holds. `round` ones lie on a circle and not in rows."""

    at: tuple[tuple[str, float, float], ...]
    columns: float
    rows: float
    assumed: bool
    side_known: bool
    round: bool = False

    def neighbours(self, cavity: str) -> tuple[str, ...]:
        """The cavities beside, above and below one, the nearest first; none where there is no such cavity."""
        here = next(((x, y) for name, x, y in self.at if name == cavity), None)
        if here is None:
            return ()
        near = [(math.dist(here, (x, y)), name) for name, x, y in self.at if name != cavity]
        return tuple(name for distance, name in sorted(near) if distance < 1.2)[:4]


def face_of(vehicle: Vehicle, part: Part, plug: str = "", half: str = "") -> tuple[Face, bool]:
    """What is declared of a plug or half; and whether it is said of the other half, which is its mirror image.

    What lock, tool and blind cavities a half has is not known from the other.
    """
    owner = f"{part.id}.{plug}" if plug else part.id
    own = vehicle.faces.get(f"{owner}@{half}") if half else None
    plain = vehicle.faces.get(owner)
    first = part.halves[0] if part.halves else ""
    if own is not None:
        return own, False
    if plain is not None and (not half or half == first):
        return plain, False
    told = plain or next((one for one in vehicle.faces.values() if one.owner == owner and one.half != half), None)
    if told is None:
        return Face(owner), False
    return replace(told, lock="", tool="", tool_from="", blind=()), True


def cavities_of(part: Part, plug: str = "") -> tuple[str, ...]:
    """The cavities of a plug as they are printed on it."""
    pins = part.plugs.get(plug, part.pins) if plug else part.pins
    return tuple(pin.removeprefix(f"{plug}/") for pin in pins)


def spots(face: Face, cavities: tuple[str, ...], seen_from: str, other_half: bool = False) -> Spots:
    """The cavities as seen from `seen_from` (`wires` or `mating`); the other half of a connector is the mirror image.

    Where nothing is said they are put in rows from the left, and that is said to be assumed.
    """
    assumed = not (face.grid or face.numbering)
    mirrored = (bool(face.seen_from) and face.seen_from != seen_from) is not other_half
    if face.numbering in ("clockwise", "anticlockwise"):
        return _ring(face, cavities, mirrored)
    rows = face.grid or _rows(face, cavities)
    width = max((len(row) for row in rows), default=1)
    found: list[tuple[str, float, float]] = []
    for y, row in enumerate(rows):
        for x, name in enumerate(row):
            if name:
                found.append((name, float(width - 1 - x if mirrored else x), float(y)))
    return Spots(tuple(found), float(width), float(max(1, len(rows))), assumed, bool(face.seen_from))


def _rows(face: Face, cavities: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    count = face.rows or (1 if len(cavities) <= MOST_IN_ONE_ROW else 2)
    width = math.ceil(len(cavities) / count) if cavities else 1
    if face.numbering == "zigzag":
        return tuple(cavities[row::count] for row in range(count))
    rows = [cavities[width * row : width * (row + 1)] for row in range(count)]
    if face.numbering == "back-and-forth":
        padded = [(*row, *("",) * (width - len(row))) for row in rows]
        rows = [row[::-1] if at % 2 else row for at, row in enumerate(padded)]
    return tuple(row for row in rows if row)


def _ring(face: Face, cavities: tuple[str, ...], mirrored: bool) -> Spots:
    """On a circle from the top."""
    count = max(1, len(cavities))
    radius = max(1.0, 0.5 / math.sin(math.pi / count)) if count > 1 else 0.0
    turn = 1.0 if (face.numbering == "clockwise") is not mirrored else -1.0
    found = []
    for at, name in enumerate(cavities):
        angle = 2.0 * math.pi * at / count * turn
        found.append((name, radius + radius * math.sin(angle), radius - radius * math.cos(angle)))
    size = 2.0 * radius + 1.0
    return Spots(tuple(found), size, size, False, bool(face.seen_from), True)
