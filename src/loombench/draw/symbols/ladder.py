"""Several elements between the pins of one housing: each stands upright between two rails, one rail a pin.

Switches, relays, units and timers are drawn so. A pin that several elements share has a rail with dots; an element
whose two pins leave on the same side gets a line back to it on its right.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from loombench.draw.shapes import (
    BOTTOM,
    DASHED,
    FRAME,
    NOTE,
    START,
    THIN,
    TOP,
    Circle,
    Line,
    Pin,
    Rect,
    Shape,
    Symbol,
    Text,
    Wanted,
    moved,
)
from loombench.draw.symbols.frame import (
    GAP_MM,
    NOTE_MM,
    on_raster,
    pin_text,
    pin_text_mm,
    point_name,
    symbol,
    text_bottom_mm,
    text_right_mm,
    upside_down,
)
from loombench.draw.symbols.glyphs import HALF_MM, HEIGHT_MM, Glyph
from loombench.vehicle.model import Part

STUB_MM = 2.5
RAIL_MM = 2.5
BACK_MM = 5.0
DOT_MM = 0.45
MIDDLE_MM = HEIGHT_MM / 2.0
_NOTE_ROWS = (6.7, 10.3, 3.5, 13.6)
"""Baselines of notes, in the order in which they are used: none lies on a mechanical link, which is in the middle."""

Ends = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Rung:
    """One element. `uppers` and `lowers` are its pins at the top and at the bottom with their distance from the middle;
    `shapes` lie around x = 0 from y = 0 to `HEIGHT_MM`; up to four `notes` stand to the right of it. A mechanical link
    meets it at `link_mm`."""

    uppers: Ends
    lowers: Ends
    shapes: Glyph
    notes: tuple[str, ...] = ()
    link_mm: float = 0.0
    left_mm: float = HALF_MM

    @property
    def ends(self) -> Ends:
        """All its pins, from the top."""
        return (*self.uppers, *self.lowers)

    @property
    def right_mm(self) -> float:
        """How far it reaches to the right of its middle, notes included."""
        notes = text_right_mm(self.note_texts()) + GAP_MM if self.notes else 0.0
        return max(HALF_MM, max(dx for _, dx in self.ends) + RAIL_MM, notes, text_right_mm(self.shapes) + GAP_MM)

    def turned(self) -> "Rung":
        """The same upside down."""
        shapes = tuple(upside_down(shape, HEIGHT_MM) for shape in self.shapes)
        return replace(self, uppers=self.lowers, lowers=self.uppers, shapes=shapes)

    def note_texts(self, x_mm: float = 4.4) -> tuple[Text, ...]:
        """The notes, below each other."""
        rows = sorted(_NOTE_ROWS[: len(self.notes)])
        x = max(x_mm, max(dx for _, dx in self.ends) + 1.2)
        return tuple(Text(x, y, note, NOTE_MM, START, NOTE) for y, note in zip(rows, self.notes, strict=False))


def rung(upper: str, lower: str, shapes: Glyph, notes: tuple[str, ...] = (), link_mm: float = 0.0) -> Rung:
    """An element with two poles."""
    return Rung(((upper, 0.0),), ((lower, 0.0),), shapes, notes, link_mm)


@dataclass(frozen=True)
class _End:
    pin: str
    x_mm: float
    side: str
    right: bool = False
    """Whether it is right of the middle of its element, so that its name has no room at its left."""
    edge_mm: float = 0.0
    """Where its element's pins end on the right: a line back has to pass there."""


def ladder(
    part: Part,
    rungs: Iterable[Rung],
    wanted: Wanted,
    texts: tuple[Shape, ...],
    linked: tuple[tuple[int, ...], ...] = (),
    framed: bool = True,
) -> Symbol:
    """The symbol. `texts` are placed to the right, drawn from their own corner; `linked` are the numbers of the rungs
    that move together."""
    every = tuple(rungs)
    sides = _sides(part, every, wanted)
    put = tuple(one.turned() if _stands_on_head(one, sides) else one for one in every)
    xs = _columns(put, sides)
    ends = tuple(_ends(put, xs))
    rails = {pin: sides[pin] for pin in sides if _wants_rail(pin, sides[pin], ends)}
    count = {side: sum(where == side for where in rails.values()) for side in (TOP, BOTTOM)}
    y_body = STUB_MM + RAIL_MM * count[TOP]
    least = y_body + HEIGHT_MM + RAIL_MM * count[BOTTOM] + STUB_MM
    height = on_raster(max(least, text_bottom_mm(texts)))
    space = _Space(part, y_body, height, _levels(rails, height))
    shapes: list[Shape] = []
    for x, one in zip(xs, put, strict=True):
        notes = one.note_texts(BACK_MM + 1.2 if _goes_back(one, sides) else 4.4)
        shapes += [moved(shape, x, y_body) for shape in (*one.shapes, *notes)]
    pins: list[Pin] = []
    for pin, side in sides.items():
        found, drawn = space.rail(pin, side, [end for end in ends if end.pin == pin])
        pins.append(found)
        shapes += drawn
    right = max([2 * HALF_MM, *(x + _reach(one, sides) for x, one in zip(xs, put, strict=True))])
    right = max([right, *(pin.x_mm + RAIL_MM for pin in pins)])
    for pin in part.pins:
        if wanted.takes(point_name(part, pin)) and pin not in sides:
            x = on_raster(right + pin_text_mm(pin))
            pins.append(Pin(point_name(part, pin), x, 0.0, TOP))
            shapes += [Line(x, 0.0, x, 4.0), Circle(x, 4.5, 0.5, THIN), pin_text(x - 0.6, 2.0, pin)]
            right = x + RAIL_MM
    for numbers in linked:
        at = [xs[number] + put[number].link_mm for number in numbers]
        if len(at) > 1:
            shapes.append(Line(at[0], y_body + MIDDLE_MM, at[-1], y_body + MIDDLE_MM, DASHED))
    if framed:
        shapes.append(Rect(0.2, STUB_MM + 0.35, right - 0.4, height - 2 * STUB_MM - 0.7, FRAME, 0.6))
    beside = max(right, text_right_mm(shapes)) + GAP_MM
    shapes += [moved(shape, beside, 0.0) for shape in texts]
    order = sorted(pins, key=lambda pin: (pin.side != TOP, pin.x_mm))
    return symbol(part, right, height, order, shapes)


def _sides(part: Part, rungs: tuple[Rung, ...], wanted: Wanted) -> dict[str, str]:
    """Top or bottom for each pin: what leads to the supply goes up, the other end of an element lies opposite."""
    up = {pin for pin in part.pins if point_name(part, pin) in wanted.upward}
    used = dict.fromkeys(pin for one in rungs for pin, _ in one.ends)
    sides = {pin: TOP for pin in used if pin in up}
    other = {TOP: BOTTOM, BOTTOM: TOP}
    waiting = list(rungs)
    while waiting:
        one = next((one for one in waiting if any(pin in sides for pin, _ in one.ends)), waiting[0])
        waiting.remove(one)
        known = next((sides[pin] for pin, _ in one.uppers if pin in sides), "")
        known = known or next((other[sides[pin]] for pin, _ in one.lowers if pin in sides), TOP)
        for pins, side in ((one.uppers, known), (one.lowers, other[known])):
            for pin, _ in pins:
                sides.setdefault(pin, side)
    return {pin: sides[pin] for pin in used}


def _stands_on_head(one: Rung, sides: Mapping[str, str]) -> bool:
    uppers, lowers = {sides[pin] for pin, _ in one.uppers}, {sides[pin] for pin, _ in one.lowers}
    return uppers == {BOTTOM} and lowers <= {TOP}


def _goes_back(one: Rung, sides: Mapping[str, str]) -> bool:
    ends = (*((pin, TOP) for pin, _ in one.uppers), *((pin, BOTTOM) for pin, _ in one.lowers))
    return any(sides[pin] != side for pin, side in ends)


def _columns(rungs: tuple[Rung, ...], sides: Mapping[str, str]) -> list[float]:
    """The middle of each rung, on the raster."""
    xs: list[float] = []
    edge = 0.0
    for one in rungs:
        names = (pin_text_mm(pin) - dx for pin, dx in one.ends if dx <= 0.0)
        x = on_raster(edge + max(one.left_mm, *names))
        xs.append(x)
        edge = x + _reach(one, sides)
    return xs


def _reach(one: Rung, sides: Mapping[str, str]) -> float:
    """How far a rung reaches to the right of its middle, its line back included, its notes beside that."""
    if not _goes_back(one, sides):
        return one.right_mm
    notes = text_right_mm(one.note_texts(BACK_MM + 1.2)) + GAP_MM if one.notes else 0.0
    return max(one.right_mm, max(dx for _, dx in one.ends) + BACK_MM + RAIL_MM, notes)


def _ends(rungs: tuple[Rung, ...], xs: list[float]) -> Iterator[_End]:
    for x, one in zip(xs, rungs, strict=True):
        edge = x + max(dx for _, dx in one.ends)
        for pin, dx in one.uppers:
            yield _End(pin, x + dx, TOP, dx > 0.0, edge)
        for pin, dx in one.lowers:
            yield _End(pin, x + dx, BOTTOM, dx > 0.0, edge)


def _wants_rail(pin: str, side: str, ends: tuple[_End, ...]) -> bool:
    own = [end for end in ends if end.pin == pin]
    return len(own) > 1 or own[0].side != side


def _levels(rails: Mapping[str, str], height_mm: float) -> dict[str, float]:
    """How high each rail lies."""
    found: dict[str, float] = {}
    for at, pin in enumerate(pin for pin, side in rails.items() if side == TOP):
        found[pin] = STUB_MM + RAIL_MM * (at + 0.5)
    for at, pin in enumerate(pin for pin, side in rails.items() if side == BOTTOM):
        found[pin] = height_mm - STUB_MM - RAIL_MM * (at + 0.5)
    return found


@dataclass(frozen=True)
class _Space:
    part: Part
    y_body: float
    height_mm: float
    levels: Mapping[str, float]

    def rail(self, pin: str, side: str, ends: list[_End]) -> tuple[Pin, list[Shape]]:
        """The pin, and the lines from it to the ends of the elements it belongs to."""
        edge = 0.0 if side == TOP else self.height_mm
        body = {TOP: self.y_body, BOTTOM: self.y_body + HEIGHT_MM}
        level = self.levels.get(pin, body[side])
        shapes: list[Shape] = []
        meets: list[float] = []
        for end in ends:
            if end.side == side:
                meets.append(end.x_mm)
                shapes.append(Line(end.x_mm, body[side], end.x_mm, level))
            else:
                back = end.edge_mm + BACK_MM
                meets.append(back)
                shapes += [
                    Line(end.x_mm, body[end.side], back, body[end.side]),
                    Line(back, body[end.side], back, level),
                ]
        home = [end.x_mm for end in ends if end.side == side]
        x = (home or meets)[0]
        shapes.append(Line(x, edge, x, level))
        if min(meets) != max(meets):
            shapes.append(Line(min(meets), level, max(meets), level))
            inner = {at for at in meets if at not in (min(meets), max(meets))} | {x}
            shapes += [Circle(at, level, DOT_MM, filled=True) for at in sorted(inner)]
        y_text = 2.0 if side == TOP else self.height_mm - 0.65
        right = any(end.right for end in ends if end.side == side)
        shapes.append(pin_text(x + 0.6, y_text, pin, START) if right else pin_text(x - 0.6, y_text, pin))
        return Pin(point_name(self.part, pin), x, edge, side), [one for one in shapes if not _nothing(one)]


def _nothing(shape: Shape) -> bool:
    return isinstance(shape, Line) and (shape.x1_mm, shape.y1_mm) == (shape.x2_mm, shape.y2_mm)
