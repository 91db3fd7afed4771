"""Contacts and what moves them: the movable piece between its two terminals, drawn closed or open."""

from loombench.draw.shapes import DASHED, FAINT, MIDDLE, NOTE, PLAIN, THIN, Circle, Line, Polyline, Rect, Shape, Text
from loombench.draw.symbols.glyphs import HEIGHT_MM, Glyph

PIVOT_MM, FIXED_MM = 4.5, 10.5
RING_MM = 0.5
LINK_MM = -1.5
"""Where the mechanical link meets a contact that is open."""


def _terminal(x: float, y: float) -> Circle:
    return Circle(x, y, RING_MM, cover=True)


def contact(closed: bool) -> Glyph:
    """A contact, its movable piece hinged at the top."""
    lever = Line(0.0, PIVOT_MM, 0.0, FIXED_MM) if closed else Line(0.0, PIVOT_MM, -2.9, 10.0)
    ends = (Line(0.0, 0.0, 0.0, PIVOT_MM), Line(0.0, FIXED_MM, 0.0, HEIGHT_MM))
    return (*ends, lever, _terminal(0.0, PIVOT_MM), _terminal(0.0, FIXED_MM))


def link_mm(closed: bool) -> float:
    """Where a mechanical link meets the movable piece."""
    return 0.0 if closed else LINK_MM


def throw(spots_mm: tuple[float, ...], chosen: int | None, aside_mm: float = 0.0) -> Glyph:
    """A change-over contact: fixed terminals at those places, the movable piece on the chosen one, or aside on none."""
    shapes: list[Shape] = [Line(0.0, 0.0, 0.0, PIVOT_MM)]
    shapes += [Line(0.0, PIVOT_MM, spot, FIXED_MM, FAINT) for at, spot in enumerate(spots_mm) if at != chosen]
    to = aside_mm if chosen is None else spots_mm[chosen]
    shapes.append(Line(0.0, PIVOT_MM, to, FIXED_MM if chosen is not None else FIXED_MM - 0.6))
    for spot in spots_mm:
        shapes += [Line(spot, FIXED_MM, spot, HEIGHT_MM), _terminal(spot, FIXED_MM)]
    return (*shapes, _terminal(0.0, PIVOT_MM))


def mover(by: str, to_mm: float, springs: bool = False, from_mm: float = -4.2) -> Glyph:
    """What moves a contact, to the left of it: a hand, a process or a cam, with its link to the movable piece.

    A contact that springs back by itself has a triangle on its link.
    """
    y = HEIGHT_MM / 2.0
    shapes: list[Shape] = []
    if by == "process":
        shapes.append(Rect(from_mm - 0.2, y - 1.0, 2.0, 2.0))
        start = from_mm + 1.8
    elif by == "cam":
        shapes += [Circle(from_mm + 0.8, y, 1.0), Circle(from_mm + 0.4, y, 0.25, filled=True)]
        start = from_mm + 1.8
    else:
        shapes.append(Line(from_mm, y - 1.3, from_mm, y + 1.3, PLAIN))
        start = from_mm
    if springs:
        tip = start + 0.5
        shapes.append(Polyline(((tip, y), (tip + 1.1, y - 0.7), (tip + 1.1, y + 0.7)), THIN, closed=True))
    return (*shapes, Line(start, y, to_mm, y, DASHED))


def delay(kind: str) -> Glyph:
    """The coil of a timed relay: crossed if it picks up late, filled if it drops out late, a wave if it repeats."""
    coil: list[Shape] = [Line(0.0, 0.0, 0.0, 5.0), Line(0.0, 10.0, 0.0, HEIGHT_MM), Rect(-2.0, 5.0, 5.5, 5.0)]
    box = Rect(-3.9, 5.0, 1.9, 5.0, filled=kind == "off-delay")
    if kind == "on-delay":
        coil += [Line(-3.9, 5.0, -2.0, 10.0), Line(-3.9, 10.0, -2.0, 5.0)]
    elif kind != "off-delay":
        coil.append(Text(-2.95, 8.3, "~", 2.5, MIDDLE, NOTE))
    return (*coil, box)


def pulse(x_mm: float, y_mm: float) -> Glyph:
    """A train of pulses."""
    steps = ((0.0, 1.4), (0.7, 1.4), (0.7, 0.0), (1.7, 0.0), (1.7, 1.4), (2.7, 1.4), (2.7, 0.0), (3.7, 0.0), (3.7, 1.4))
    return (Polyline(tuple((x_mm + x, y_mm + y) for x, y in steps), THIN),)
