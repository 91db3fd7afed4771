"""A box with named pins: what has more than two poles and no symbol of its own."""

from loombench.draw.shapes import BOTTOM, LABEL, MIDDLE, NAME, START, TOP, Line, Pin, Rect, Shape, Symbol, Text, Wanted
from loombench.draw.symbols.frame import (
    LABEL_MM,
    LINE_MM,
    NAME_MM,
    on_raster,
    parted,
    pin_text,
    pin_text_mm,
    point_name,
    symbol,
)
from loombench.draw.textwidth import fitted, text_width_mm, wrapped
from loombench.vehicle.model import Part

STUB_MM = 2.5


def sided(part: Part, wanted: Wanted, down: frozenset[str] = frozenset()) -> tuple[list[str], list[str]]:
    """The wanted pins that leave at the top and at the bottom: by what leads to the supply, else by `down`."""
    pins = [pin for pin in part.pins if wanted.takes(point_name(part, pin))]
    if any(point_name(part, pin) in wanted.upward for pin in part.pins):
        top = [pin for pin in pins if point_name(part, pin) in wanted.upward]
    else:
        top = [pin for pin in pins if pin not in down]
    return top, [pin for pin in pins if pin not in top]


def pitch_mm(pins: list[str]) -> float:
    """The distance at which the names of pins stand side by side."""
    return on_raster(max([5.0, *(pin_text_mm(pin) + 0.6 for pin in pins)]))


def boxed(part: Part, wanted: Wanted, down: frozenset[str] = frozenset(), inside: tuple[str, ...] = ()) -> Symbol:
    """A box with its id and label in it, and `inside` below them."""
    top, bottom = sided(part, wanted, down)
    lines = [parted(part.id)[0], *wrapped(part.label, 34.0, LABEL_MM, 2), *inside]
    step = pitch_mm([*top, *bottom])
    text = max(text_width_mm(line, NAME_MM if at == 0 else LABEL_MM, at == 0) for at, line in enumerate(lines))
    width = on_raster(max(step * max(len(top), len(bottom), 1), text + 3.0, 10.0))
    y_top = STUB_MM if top else 0.0
    body = on_raster((3.2 if top else 0.8) + LINE_MM * len(lines) + (3.6 if bottom else 1.2))
    height = y_top + body + (STUB_MM if bottom else 0.0)
    shapes: list[Shape] = [Rect(0.0, y_top, width, body, corner_mm=0.8)]
    pins: list[Pin] = []
    for row, side in ((top, TOP), (bottom, BOTTOM)):
        for at, pin in enumerate(row):
            x = step / 2 + step * at if step % 5.0 == 0.0 else step * at + on_raster(step / 2 - 1.25)
            outer, inner = (0.0, y_top) if side == TOP else (height, y_top + body)
            pins.append(Pin(point_name(part, pin), x, outer, side))
            shapes.append(Line(x, outer, x, inner))
            shapes.append(pin_text(x, inner + (2.9 if side == TOP else -1.0), pin, MIDDLE))
    y = y_top + (3.2 if top else 0.8)
    for at, line in enumerate(lines):
        size, role = (NAME_MM, NAME) if at == 0 else (LABEL_MM, LABEL)
        shapes.append(Text(1.5, y + LINE_MM * (at + 0.85), fitted(line, width - 2.0, size, at == 0), size, START, role))
    return symbol(part, width, height, pins, shapes)
