"""Where the words on wires go: on the longest straight piece that is free, on white ground, never on anything else."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise

from loombench.draw.layout.arrange import Spot
from loombench.draw.textwidth import text_width_mm

SIZE_MM = 2.5
PAD_MM = 0.5
HIGH_MM = SIZE_MM * 1.15
CLEAR_MM = 0.4
STEP_MM = 2.5
SHORT_MM, BESIDE_MM = 12.0, 1.3
STRANGE_MM = 2.4
"""From words beside a wire to the middle of any other line, nearly twice as far as to their own: or they could be read
as the words on that one."""
HALF_STROKE_MM = 0.5
LINE = "line "


@dataclass(frozen=True)
class Box:
    """A rectangle on the page, in mm."""

    x: float
    y: float
    wide: float
    high: float

    def meets(self, other: "Box") -> bool:
        """Whether two rectangles have more than an edge in common."""
        return (
            self.x < other.x + other.wide
            and other.x < self.x + self.wide
            and self.y < other.y + other.high
            and other.y < self.y + self.high
        )

    def grown(self, by: float) -> "Box":
        """The rectangle with a margin."""
        return Box(self.x - by, self.y - by, self.wide + 2 * by, self.high + 2 * by)


@dataclass(frozen=True)
class Label:
    """Words on a wire: the ground they stand on, and whether they are turned to read upwards."""

    wire: str
    text: str
    ground: Box
    turned: bool


@dataclass(frozen=True)
class Placing:
    """The labels that found a place, and the wires whose words did not."""

    labels: tuple[Label, ...]
    without: tuple[str, ...]


class Field:
    """What is on the page already, in cells, so that a look around is cheap. A box has an owner, who may lie on it."""

    CELL_MM = 20.0

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[tuple[Box, str]]] = {}

    def add(self, box: Box, owner: str) -> None:
        """Take the place of a box."""
        for cell in self._of(box):
            self._cells.setdefault(cell, []).append((box, owner))

    def free(self, box: Box, owner: str) -> bool:
        """Whether nothing of another owner lies there."""
        return not any(
            other != owner and box.meets(taken) for cell in self._of(box) for taken, other in self._cells.get(cell, ())
        )

    def strange(self, box: Box, owner: str) -> bool:
        """Whether a line of another owner runs there."""
        return any(
            other.startswith(LINE) and other != owner and box.meets(taken)
            for cell in self._of(box)
            for taken, other in self._cells.get(cell, ())
        )

    def _of(self, box: Box) -> Iterator[tuple[int, int]]:
        for column in range(int(box.x // self.CELL_MM), int((box.x + box.wide) // self.CELL_MM) + 1):
            for row in range(int(box.y // self.CELL_MM), int((box.y + box.high) // self.CELL_MM) + 1):
                yield column, row


def place_labels(
    texts: Mapping[str, Sequence[str]],
    ways: Mapping[str, tuple[Spot, ...]],
    boxes: Iterable[Box],
    spots: Iterable[Spot],
) -> Placing:
    """Place a label on each wire of `texts`, which has the words from the fullest to the shortest.

    `ways` are all lines, `boxes` what stands on the page, `spots` dots and pins. The wires with the least room choose
    first; a label lies on its own line, clear of all else.
    """
    field = field_of(ways, boxes, spots)
    labels: dict[str, Label] = {}
    order = sorted(texts, key=lambda key: (max(_lengths(ways[key]), default=0.0), key))
    for key in order:
        found = _first_free(key, texts[key], ways[key], field)
        if found is not None:
            labels[key] = found
            field.add(found.ground, f"label {key}")
    return Placing(tuple(labels[key] for key in texts if key in labels), tuple(k for k in texts if k not in labels))


def field_of(ways: Mapping[str, tuple[Spot, ...]], boxes: Iterable[Box], spots: Iterable[Spot]) -> Field:
    """A field with all that stands on a page: lines are owned by `line KEY`."""
    field = Field()
    for number, box in enumerate(boxes):
        field.add(box, f"box {number}")
    for key, way in ways.items():
        for a, b in pairwise(way):
            field.add(_stroke(a, b), f"{LINE}{key}")
    for number, (x, y) in enumerate(spots):
        field.add(Box(x - 0.8, y - 0.8, 1.6, 1.6), f"spot {number}")
    return field


def _stroke(a: Spot, b: Spot) -> Box:
    return Box(min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1])).grown(HALF_STROKE_MM)


def _lengths(way: Sequence[Spot]) -> Iterator[float]:
    for a, b in pairwise(way):
        yield abs(a[0] - b[0]) + abs(a[1] - b[1])


def _first_free(key: str, texts: Sequence[str], way: tuple[Spot, ...], field: Field) -> Label | None:
    """Lying words on the longest piece, then turned ones, then the next piece; shorter words when all that fails."""
    pieces = sorted(pairwise(way), key=lambda piece: (-_far(*piece), piece))
    own = f"{LINE}{key}"
    for text in texts:
        wide = text_width_mm(text, SIZE_MM) + 2 * PAD_MM
        for a, b in pieces:
            beside = ((at, False) for at in _beside(a, b, wide) if _readable(at, own, field))
            across = ((ground, turned) for turned in (False, True) for ground in _grounds(a, b, wide, turned))
            # On a short piece words across would hide the colour that they name.
            for ground, turned in chain(beside, across) if _far(a, b) < SHORT_MM else chain(across, beside):
                if field.free(ground.grown(CLEAR_MM), own):
                    return Label(key, text, ground, turned)
    return None


def _readable(ground: Box, own: str, field: Field) -> bool:
    """Whether words beside a piece are far from the lines of others, and clear of the next piece of their own wire,
    whose corner they would hide."""
    return field.free(ground, "") and not field.strange(ground.grown(STRANGE_MM - HALF_STROKE_MM), own)


def _beside(a: Spot, b: Spot, wide: float) -> Iterator[Box]:
    """Places for lying words beside an upright piece, right before left, from its middle outwards."""
    if a[0] != b[0] or _far(a, b) < HIGH_MM:
        return
    for at in _outwards((_far(a, b) - HIGH_MM) / 2, STEP_MM / 2):
        y = round((a[1] + b[1]) / 2 + at - HIGH_MM / 2, 2)
        for x in (a[0] + BESIDE_MM, a[0] - BESIDE_MM - wide):
            yield Box(round(x, 2), y, round(wide, 2), round(HIGH_MM, 2))


def _far(a: Spot, b: Spot) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def _grounds(a: Spot, b: Spot, wide: float, turned: bool) -> Iterator[Box]:
    """Places for words along a piece, from its middle outwards; along a lying piece words lie, on a standing one they
    lie across it or stand along it."""
    upright = a[0] == b[0]
    if turned and not upright:
        return
    across, down = (HIGH_MM, wide) if turned else (wide, HIGH_MM)
    needed = down if upright else across
    room = _far(a, b) - needed - 1.0
    if room < 0:
        return
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    for at in _outwards(room / 2):
        x, y = (middle[0], middle[1] + at) if upright else (middle[0] + at, middle[1])
        yield Box(round(x - across / 2, 2), round(y - down / 2, 2), round(across, 2), round(down, 2))


def _outwards(most: float, step: float = STEP_MM) -> Iterator[float]:
    yield 0.0
    at = step
    while at < most:
        yield -at
        yield at
        at += step
    if most > 0:
        yield -most
        yield most
