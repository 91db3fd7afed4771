"""Parts with two poles: lamp, fuse, motor and so on, one lead up, one down, their texts to the right."""

from loombench.draw.shapes import BOTTOM, TOP, Body, Pin, Shape, Symbol, Wanted, moved
from loombench.draw.symbols.frame import on_raster, pin_text, pin_text_mm, point_name, side_texts, symbol, upside_down
from loombench.draw.symbols.glyphs import HALF_MM, HEIGHT_MM, glyph
from loombench.vehicle.model import Part

_UNNAMED = ("fuse", "fuselink", "breaker", "battery")
"""Kinds whose poles bear no names on the part, or have them in the symbol."""


def two_pole(part: Part, wanted: Wanted, notes: tuple[str, ...] = ()) -> Symbol:
    """The symbol of a part with two pins and one element."""
    first, second = part.pins[0], part.pins[1]
    kind = part.elements[0].kind if part.elements else part.kind
    names = [point_name(part, pin) for pin in (first, second)]
    turned = names[1] in wanted.upward and names[0] not in wanted.upward
    shapes: list[Shape] = list(glyph(kind, part.words))
    if turned:
        shapes = [upside_down(shape, HEIGHT_MM) for shape in shapes]
        names.reverse()
        first, second = second, first
    named = part.kind not in _UNNAMED
    x = on_raster(max(HALF_MM, pin_text_mm(first), pin_text_mm(second))) if named else HALF_MM
    shapes = [moved(shape, x, 0.0) for shape in shapes]
    if named:
        shapes += [pin_text(x - 0.6, 2.2, first), pin_text(x - 0.6, HEIGHT_MM - 0.9, second)]
    shapes += side_texts(part, x + HALF_MM + 0.6, 0.6, notes)
    shapes.append(Body(x, HEIGHT_MM / 2.0, part.id, kind))
    pins = (Pin(names[0], x, 0.0, TOP), Pin(names[1], x, HEIGHT_MM, BOTTOM))
    return symbol(part, x + HALF_MM, HEIGHT_MM, pins, shapes)
