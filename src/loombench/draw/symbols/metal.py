"""Splices, ground studs, bodies and the straps between them."""

from loombench.base.wording import catalogue
from loombench.draw.shapes import (
    BOTTOM,
    LABEL,
    RASTER_MM,
    START,
    THICK,
    TOP,
    Circle,
    Line,
    Pin,
    Shape,
    Symbol,
    Text,
    Wanted,
)
from loombench.draw.symbols.frame import (
    LABEL_MM,
    name_texts,
    on_raster,
    parted,
    pin_text,
    pin_text_mm,
    point_name,
    side_texts,
    symbol,
    text_bottom_mm,
)
from loombench.draw.textwidth import fitted
from loombench.vehicle.model import Part

SPLICE_MM = 0.75
_PITCH_MM = 5.0


def splice(part: Part, wanted: Wanted) -> Symbol:
    """A dot with its name; its one point is met from above and from below."""
    del wanted
    x, name = RASTER_MM, point_name(part, "")
    texts: list[Shape] = [*name_texts(x + 1.2, 3.4, part.id, LABEL_MM)]
    if part.label:
        texts.append(Text(x + 1.2, 6.4, fitted(part.label, 24.0, LABEL_MM), LABEL_MM, START, LABEL))
    height = 7.5 if part.label else 5.0
    dot = (Line(x, 0.0, x, height), Circle(x, 2.5, SPLICE_MM, filled=True))
    pins = (Pin(name, x, 0.0, TOP), Pin(name, x, height, BOTTOM))
    return symbol(part, 5.0, height, pins, (*dot, *texts))


def stud(part: Part, wanted: Wanted) -> Symbol:
    """A ground stud: its rings at the top, below it the metal it stands on; with place and body in words."""
    names = [pin for pin in part.pins if wanted.takes(point_name(part, pin))]
    if not names or (wanted.pins is not None and point_name(part, "") in wanted.pins):
        names.insert(0, "")
    usual = RASTER_MM if len(names) > 1 else _PITCH_MM
    first = on_raster(max(usual, pin_text_mm(names[0])))
    xs = [first + _PITCH_MM * at for at in range(len(names))]
    middle = on_raster((xs[0] + xs[-1]) / 2.0)
    shapes: list[Shape] = [Line(min(*xs, middle), 3.75, max(*xs, middle), 3.75)]
    pins: list[Pin] = []
    for x, pin in zip(xs, names, strict=True):
        pins.append(Pin(point_name(part, pin), x, 0.0, TOP))
        shapes += [Line(x, 0.0, x, 3.75), *((pin_text(x - 0.6, 2.2, pin),) if pin else ())]
    shapes += [Line(middle, 3.75, middle, 9.0), Circle(middle, 5.6, 1.0, cover=True)]
    shapes += [Circle(middle, 5.6, 0.3, filled=True), *_metal(middle, 9.0, 6.0)]
    on = (catalogue(wanted.language).say("symbol.on-body", body=parted(part.body)[0]),) if part.body else ()
    texts = side_texts(
        part, max(middle + 3.0, xs[-1]) + 1.6, 0.0, (*on, *((parted(part.place)[0],) if part.place else ())), 1
    )
    return symbol(part, max(middle + 3.0, xs[-1] + 1.0), max(12.5, text_bottom_mm(texts)), pins, (*shapes, *texts))


def body(part: Part, wanted: Wanted) -> Symbol:
    """A piece of metal: what stands on it meets it from above."""
    del wanted
    shapes = (Line(5.0, 0.0, 5.0, 4.0), *_metal(5.0, 4.0, 10.0), *name_texts(11.0, 5.2, part.id))
    return symbol(part, 10.0, 7.5, (Pin(point_name(part, ""), 5.0, 0.0, TOP),), shapes)


def _metal(x: float, y: float, width: float) -> tuple[Shape, ...]:
    """The sign for a frame or chassis: a plate with slanting strokes below it."""
    left, steps = x - width / 2.0, round(width / 2.0)
    strokes = (Line(left + 2.0 * at, y, left + 2.0 * at - 1.0, y + 2.0) for at in range(steps + 1))
    kept = tuple(stroke for stroke in strokes if stroke.x2_mm >= left)
    return (Line(left, y, left + width, y, THICK), *kept)
