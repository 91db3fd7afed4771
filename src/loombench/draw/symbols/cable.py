"""Cables: the sign around the wires of a screened one, the sign across those that are twisted together."""

from loombench.draw.shapes import BOTTOM, DASHED, THIN, Line, Pin, Rect, Shape, Symbol, Wanted
from loombench.draw.symbols.frame import pin_text, point_name, side_texts, symbol
from loombench.vehicle.model import Part

SCREEN_MM = 4.0


def cable(part: Part, wanted: Wanted) -> Symbol:
    """A piece of the cable by itself: two cores, twisted and screened as it is, with the pin of its screen."""
    screened = "shield" in part.pins and wanted.takes(point_name(part, "shield"))
    cores = (Line(3.0, 0.6, 3.0, 8.8), Line(7.0, 0.6, 7.0, 8.8))
    shapes: list[Shape] = [*cores, *cable_marks(part, (3.0, 7.0), 4.7)]
    pins: list[Pin] = []
    if screened:
        pins.append(Pin(point_name(part, "shield"), 10.0, 12.5, BOTTOM))
        shapes += [Line(9.0, 4.7, 10.0, 4.7, THIN), Line(10.0, 4.7, 10.0, 12.5), pin_text(9.4, 11.6, "shield")]
    return symbol(part, 10.0, 12.5, pins, (*shapes, *side_texts(part, 10.8, 0.0)))


def cable_marks(part: Part, xs_mm: tuple[float, ...], y_mm: float) -> tuple[Shape, ...]:
    """The signs of a cable on upright wires at those places: a screen around them, crossing lines where twisted."""
    left, right = min(xs_mm), max(xs_mm)
    shapes: list[Shape] = []
    if "twisted" in part.words and right > left:
        shapes += [
            Line(left, y_mm - 1.2, right, y_mm + 1.2, THIN),
            Line(left, y_mm + 1.2, right, y_mm - 1.2, THIN),
        ]
    if "shield" in part.words:
        width = right - left + SCREEN_MM
        shapes.append(Rect(left - SCREEN_MM / 2.0, y_mm - 2.0, width, 4.0, DASHED, 2.0))
    return tuple(shapes)
