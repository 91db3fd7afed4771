"""Shapes written out as SVG. Everything is said in attributes of the elements, so that each program shows it alike;
texts stay texts, and nothing in them is markup."""

import html
import math
import re
from collections.abc import Iterable
from types import MappingProxyType

from loombench.base.ink import INK, PAPER, QUIET
from loombench.draw.shapes import (
    DASHED,
    FAINT,
    FRAME,
    LABEL,
    NAME,
    NOTE,
    PIN_NAME,
    PLAIN,
    THICK,
    THIN,
    Arc,
    Body,
    Circle,
    Line,
    Polyline,
    Rect,
    Shape,
    Symbol,
    Text,
    moved,
)

FONTS = '"IBM Plex Sans","DejaVu Sans",sans-serif'
PIN_R_MM = 0.2
_STROKE = MappingProxyType(
    {
        PLAIN: f'stroke="{INK}" stroke-width="0.35"',
        THIN: f'stroke="{INK}" stroke-width="0.25"',
        THICK: f'stroke="{INK}" stroke-width="0.8"',
        DASHED: f'stroke="{INK}" stroke-width="0.25" stroke-dasharray="1 0.7"',
        FRAME: f'stroke="{INK}" stroke-width="0.25" stroke-dasharray="2.4 0.8 0.4 0.8"',
        FAINT: f'stroke="{QUIET}" stroke-width="0.25" stroke-dasharray="0.35 0.65"',
    }
)
_TEXT = MappingProxyType(
    {
        NAME: f'font-weight="600" fill="{INK}"',
        LABEL: f'fill="{INK}"',
        PIN_NAME: f'fill="{INK}"',
        NOTE: f'fill="{QUIET}"',
    }
)
_DROPPED = re.compile(
    # Control signs, half characters and the signs that turn the direction of text by force: the first two are no XML,
    # with the others a name could be made to look like another.
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]"
)


def number(value: float) -> str:
    """A length as it is written: hundredths of a millimetre, no trailing zeros, no minus zero."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def escaped(text: str) -> str:
    """A text that means nothing but itself, in an element or in an attribute."""
    return html.escape(_DROPPED.sub("", re.sub(r"\s", " ", text)), quote=True)


def shape_svg(shape: Shape) -> str:
    """One shape as one element."""
    n = number
    match shape:
        case Line():
            ends = f'x1="{n(shape.x1_mm)}" y1="{n(shape.y1_mm)}" x2="{n(shape.x2_mm)}" y2="{n(shape.y2_mm)}"'
            return f'<line {ends} {_STROKE[shape.role]} stroke-linecap="round"/>'
        case Polyline(points=points, role=role, closed=closed, filled=filled):
            name = "polygon" if closed or filled else "polyline"
            fill = INK if filled else "none"
            spots = " ".join(f"{n(x)},{n(y)}" for x, y in points)
            return f'<{name} points="{spots}" fill="{fill}" {_STROKE[role]} stroke-linejoin="round"/>'
        case Circle():
            at = f'cx="{n(shape.x_mm)}" cy="{n(shape.y_mm)}" r="{n(shape.r_mm)}"'
            return f'<circle {at} fill="{_fill(shape.filled, shape.cover)}" {_STROKE[shape.role]}/>'
        case Arc():
            return _arc(shape)
        case Rect():
            at = f'x="{n(shape.x_mm)}" y="{n(shape.y_mm)}" width="{n(shape.width_mm)}" height="{n(shape.height_mm)}"'
            corner = f' rx="{n(shape.corner_mm)}"' if shape.corner_mm else ""
            return f'<rect {at}{corner} fill="{_fill(shape.filled, shape.cover)}" {_STROKE[shape.role]}/>'
        case Text():
            at = f'x="{n(shape.x_mm)}" y="{n(shape.y_mm)}" font-size="{n(shape.size_mm)}" text-anchor="{shape.anchor}"'
            return f'<text class="{shape.role}" {at} {_TEXT[shape.role]}>{escaped(shape.text)}</text>'
        case Body():
            return ""


def _fill(filled: bool, cover: bool) -> str:
    return INK if filled else PAPER if cover else "none"


def _arc(arc: Arc) -> str:
    start, end = math.radians(arc.start_deg), math.radians(arc.end_deg)
    x1, y1 = arc.x_mm + arc.r_mm * math.cos(start), arc.y_mm + arc.r_mm * math.sin(start)
    x2, y2 = arc.x_mm + arc.r_mm * math.cos(end), arc.y_mm + arc.r_mm * math.sin(end)
    large = int((arc.end_deg - arc.start_deg) % 360.0 > 180.0)
    r, n = number(arc.r_mm), number
    way = f"M{n(x1)} {n(y1)}A{r} {r} 0 {large} 1 {n(x2)} {n(y2)}"
    return f'<path d="{way}" fill="none" {_STROKE[arc.role]} stroke-linecap="round"/>'


def shapes_svg(shapes: Iterable[Shape], x_mm: float = 0.0, y_mm: float = 0.0) -> str:
    """Shapes with their corner at x and y; positions are written out, so that a reader need not know of transforms."""
    return "".join(shape_svg(moved(shape, x_mm, y_mm)) for shape in shapes)


def symbol_svg(symbol: Symbol, x_mm: float = 0.0, y_mm: float = 0.0) -> str:
    """A symbol with its upper left corner at x and y, its pins last."""
    pins = "".join(
        f'<circle class="pin" data-pin="{escaped(pin.name)}" cx="{number(x_mm + pin.x_mm)}" '
        f'cy="{number(y_mm + pin.y_mm)}" r="{PIN_R_MM}" fill="{INK}"/>'
        for pin in symbol.pins
    )
    shapes = shapes_svg(symbol.shapes, x_mm, y_mm)
    return f'<g class="part" data-part="{escaped(symbol.part)}" data-kind="{escaped(symbol.kind)}">{shapes}{pins}</g>'


def page_svg(body: str, width_mm: float, height_mm: float, title: str, description: str) -> str:
    """A whole SVG file, one unit a millimetre, on white paper."""
    size = f'width="{number(width_mm)}mm" height="{number(height_mm)}mm"'
    box = f'viewBox="0 0 {number(width_mm)} {number(height_mm)}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="img" font-family="{escaped(FONTS)}">'
        f"<title>{escaped(title)}</title><desc>{escaped(description)}</desc>"
        f'<rect width="{number(width_mm)}" height="{number(height_mm)}" fill="{PAPER}"/>{body}</svg>\n'
    )
