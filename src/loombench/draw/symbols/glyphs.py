"""What stands between two leads: the bodies of two-pole elements, drawn upright.

Each is drawn around x = 0 from y = 0 to `HEIGHT_MM`, its first pin at the top, leads included.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.draw.shapes import (
    DASHED,
    MIDDLE,
    NAME,
    NOTE,
    PIN_NAME,
    PLAIN,
    THICK,
    THIN,
    Arc,
    Circle,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
)

HEIGHT_MM = 15.0
HALF_MM = 5.0
Glyph = tuple[Shape, ...]


def leads(top_mm: float, bottom_mm: float, x_mm: float = 0.0) -> Glyph:
    """The two leads, down to where the body begins and from where it ends."""
    return (Line(x_mm, 0.0, x_mm, top_mm), Line(x_mm, bottom_mm, x_mm, HEIGHT_MM))


def _lamp(_: tuple[str, ...]) -> Glyph:
    r, d = 3.5, 3.5 * 0.7071
    cross = (Line(-d, 7.5 - d, d, 7.5 + d), Line(-d, 7.5 + d, d, 7.5 - d))
    return (*leads(4.0, 11.0), Circle(0.0, 7.5, r), *cross)


def _fuse(_: tuple[str, ...]) -> Glyph:
    return (Line(0.0, 0.0, 0.0, HEIGHT_MM), Rect(-1.5, 3.75, 3.0, 7.5))


def _fuselink(_: tuple[str, ...]) -> Glyph:
    dots = (Circle(0.0, 3.75, 0.6, filled=True), Circle(0.0, 11.25, 0.6, filled=True))
    wave = (Arc(0.0, 5.625, 1.875, 270.0, 90.0, THICK), Arc(0.0, 9.375, 1.875, 90.0, 270.0, THICK))
    return (*leads(3.75, 11.25), *dots, *wave)


def _breaker(words: tuple[str, ...]) -> Glyph:
    cross = (Line(-0.9, 3.6, 0.9, 5.4), Line(-0.9, 5.4, 0.9, 3.6))
    thermal = ((-4.6, 9.6), (-3.8, 9.6), (-3.8, 8.2), (-2.6, 8.2), (-2.6, 9.6), (-1.8, 9.6))
    reset = (Line(-3.2, 5.4, -3.2, 7.2), Line(-4.0, 5.4, -2.4, 5.4)) if "manual" in words else ()
    lever = (Line(0.0, 11.0, 0.0, 4.5), Line(-1.8, 7.9, 0.0, 7.9, DASHED))
    return (*leads(4.5, 11.0), *cross, *lever, Polyline(thermal), Rect(-5.0, 7.2, 3.6, 3.4, THIN), *reset)


def _led(_: tuple[str, ...]) -> Glyph:
    # The tips stay clear of the texts beside it.
    return (*_diode(()), *_ray(2.4, 5.7), *_ray(2.6, 7.9))


def _ray(x: float, y: float) -> Glyph:
    head = ((x + 1.8, y - 1.8), (x + 0.7, y - 1.5), (x + 1.5, y - 0.7))
    return (Line(x, y, x + 1.8, y - 1.8, THIN), Polyline(head, THIN, filled=True))


def _diode(_: tuple[str, ...]) -> Glyph:
    body = ((-2.5, 5.2), (2.5, 5.2), (0.0, 9.6))
    return (Line(0.0, 0.0, 0.0, HEIGHT_MM), Polyline(body, closed=True), Line(-2.5, 9.6, 2.5, 9.6))


def _motor(words: tuple[str, ...]) -> Glyph:
    both = "reversing" in words
    brushes = (Rect(-1.0, 3.0, 2.0, 1.0, filled=True), Rect(-1.0, 11.0, 2.0, 1.0, filled=True))
    letter = Text(0.0, 8.4, "M", 3.6, MIDDLE, NAME)
    turn: Glyph = (Line(-1.6, 9.5, 1.6, 9.5, THIN),)
    if both:
        turn = (
            Line(-1.8, 9.6, 1.8, 9.6, THIN),
            Polyline(((-2.3, 9.6), (-1.4, 9.15), (-1.4, 10.05)), THIN, filled=True),
            Polyline(((2.3, 9.6), (1.4, 9.15), (1.4, 10.05)), THIN, filled=True),
        )
    return (*leads(3.0, 12.0), Circle(0.0, 7.5, 3.5), *brushes, letter, *turn)


def _heater(_: tuple[str, ...]) -> Glyph:
    rungs = tuple(Line(-1.5, 3.75 + 1.25 * step, 1.5, 3.75 + 1.25 * step, THIN) for step in range(1, 6))
    return (*leads(3.75, 11.25), Rect(-1.5, 3.75, 3.0, 7.5), *rungs)


def _resistor(_: tuple[str, ...]) -> Glyph:
    return (*leads(3.75, 11.25), Rect(-1.5, 3.75, 3.0, 7.5))


def _coil(_: tuple[str, ...]) -> Glyph:
    return (*leads(5.0, 10.0), Rect(-3.75, 5.0, 7.5, 5.0))


def _solenoid(_: tuple[str, ...]) -> Glyph:
    plunger = (Line(2.5, 7.5, 4.2, 7.5, THICK), Line(4.2, 6.2, 4.2, 8.8))
    return (*leads(4.75, 10.25), Rect(-3.0, 4.75, 5.5, 5.5), Line(-3.0, 10.25, 2.5, 4.75, THIN), *plunger)


def _horn(_: tuple[str, ...]) -> Glyph:
    flare = ((1.2, 6.5), (4.4, 4.2), (4.4, 10.8), (1.2, 8.5))
    return (*leads(5.0, 10.0), Rect(-1.8, 5.0, 3.0, 5.0), Polyline(flare, closed=True))


def _cutout(_: tuple[str, ...]) -> Glyph:
    warm = Text(-3.2, 8.5, "t°", 2.5, MIDDLE, NOTE)
    contact = (Line(-0.9, 4.6, 1.2, 4.6), Line(0.0, 11.0, 0.75, 4.3))
    return (*leads(4.6, 11.0), *contact, Rect(-5.0, 6.0, 3.6, 3.4, THIN), Line(-1.4, 7.7, 0.4, 7.7, DASHED), warm)


def _sensor(_: tuple[str, ...]) -> Glyph:
    slope = Polyline(((-3.4, 11.4), (-2.2, 11.4), (2.8, 3.6)), THIN)
    return (*_resistor(()), slope)


def _terminator(_: tuple[str, ...]) -> Glyph:
    return (*_resistor(()), Line(-2.4, 3.75, 2.4, 3.75), Line(-2.4, 11.25, 2.4, 11.25))


def _conductor(_: tuple[str, ...]) -> Glyph:
    braid = tuple(Line(-1.2, 4.4 + 1.3 * step, 1.2, 5.3 + 1.3 * step, THIN) for step in range(5))
    return (*leads(3.75, 11.25), Rect(-1.2, 3.75, 2.4, 7.5, PLAIN, 0.4), *braid)


def _cell(_: tuple[str, ...]) -> Glyph:
    plates = (
        Line(-3.6, 5.0, 3.6, 5.0), Line(-1.8, 6.3, 1.8, 6.3, THICK),
        Line(-3.6, 8.7, 3.6, 8.7), Line(-1.8, 10.0, 1.8, 10.0, THICK),
    )  # fmt: skip
    signs = (Text(-3.2, 4.0, "+", 3.0, MIDDLE, PIN_NAME), Text(-3.2, 13.0, "–", 3.0, MIDDLE, PIN_NAME))
    return (*leads(5.0, 10.0), Line(0.0, 6.3, 0.0, 8.7, DASHED), *plates, *signs)


def _box(_: tuple[str, ...]) -> Glyph:
    return (*leads(4.0, 11.0), Rect(-3.5, 4.0, 7.0, 7.0))


GLYPHS: Mapping[str, Callable[[tuple[str, ...]], Glyph]] = MappingProxyType(
    {
        "lamp": _lamp, "led": _led, "fuse": _fuse, "fuselink": _fuselink, "breaker": _breaker, "diode": _diode,
        "motor": _motor, "heater": _heater, "resistor": _resistor, "relay-coil": _coil, "solenoid": _solenoid,
        "horn": _horn, "cutout": _cutout, "sensor": _sensor, "terminator": _terminator, "conductor": _conductor,
        "battery": _cell, "generic": _box,
    }
)  # fmt: skip
"""The body of each kind of element that has two poles."""


def glyph(kind: str, words: tuple[str, ...] = ()) -> Glyph:
    """The body of an element; a plain box for a kind that has none of its own."""
    return GLYPHS.get(kind, _box)(words)
