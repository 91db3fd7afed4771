"""Fuse and relay boxes: the bars and joins inside, with a pin for each contact they lead to."""

from loombench.draw.shapes import BOTTOM, FRAME, RASTER_MM, THICK, TOP, Line, Pin, Rect, Shape, Symbol, Wanted, moved
from loombench.draw.symbols.frame import on_raster, pin_text, pin_text_mm, side_texts, symbol
from loombench.vehicle.model import Part
from loombench.vehicle.points import WIRE, Point

_PITCH_MM = 7.5
_BAR_MM = 6.25
_HEIGHT_MM = 12.5


def bars(part: Part) -> tuple[tuple[Point, ...], ...]:
    """The contacts that each bar or join keeps together, what feeds it first."""
    found: list[list[Point]] = []
    for one, two in part.links:
        ends = [one.at(WIRE), two.at(WIRE)]
        met = [bar for bar in found if any(end in bar for end in ends)]
        joined = list(dict.fromkeys([*(point for bar in met for point in bar), *ends]))
        found = [bar for bar in found if bar not in met]
        found.append(joined)
    return tuple(tuple(bar) for bar in found)


def carrier(part: Part, wanted: Wanted) -> Symbol:
    """A frame around the bars of which contacts are wanted; a pin is named by the contact it leads to."""
    shown = [tuple(point for point in bar if wanted.takes(str(point))) for bar in bars(part)]
    shown = [bar for bar in shown if bar]
    held = {point for bar in shown for point in bar}
    loose = [Point(part.id, pin) for pin in part.pins]
    shown += [(point,) for point in loose if wanted.takes(str(point)) and point not in held]
    shapes: list[Shape] = []
    pins: list[Pin] = []
    left = 0.0
    for bar in shown:
        up = [point for point in bar if str(point) in wanted.upward] or list(bar[:1])
        down = [point for point in bar if point not in up]
        first = on_raster(max([5.0, *(pin_text_mm(point.pin) for point in bar if point.part == part.id)]))
        xs: list[float] = []
        for row, side in ((up, TOP), (down, BOTTOM)):
            for at, point in enumerate(row):
                x = left + first + _PITCH_MM * at
                edge = 0.0 if side == TOP else _HEIGHT_MM
                xs.append(x)
                pins.append(Pin(str(point), x, edge, side))
                shapes.append(Line(x, edge, x, _BAR_MM))
                if point.part == part.id:
                    shapes.append(pin_text(x - 0.6, 2.2 if side == TOP else _HEIGHT_MM - 0.65, point.pin))
        shapes.append(Line(min(xs) - 1.25, _BAR_MM, max(xs) + 1.25, _BAR_MM, THICK))
        left = max(xs) + RASTER_MM
    width = max(left, 2 * RASTER_MM)
    shapes.append(Rect(0.2, 2.75, width - 0.4, _HEIGHT_MM - 5.5, FRAME, 0.6))
    texts = side_texts(part, 0.0, 0.0, (), 2)
    shapes += [moved(text, width + 0.8, 0.0) for text in texts]
    order = sorted(pins, key=lambda pin: (pin.side != TOP, pin.x_mm))
    return symbol(part, width, _HEIGHT_MM, order, shapes)
