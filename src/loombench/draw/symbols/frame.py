"""Putting a symbol together: turning shapes, writing its texts beside it, measuring the box."""

import math
from collections.abc import Iterable
from dataclasses import replace

from loombench.draw.shapes import (
    END,
    LABEL,
    NAME,
    NOTE,
    PIN_NAME,
    RASTER_MM,
    START,
    Arc,
    Line,
    Pin,
    Polyline,
    Rect,
    Shape,
    Symbol,
    Text,
)
from loombench.draw.symbols.ratings import part_rating
from loombench.draw.textwidth import fitted, text_width_mm, wrapped
from loombench.vehicle.model import Part
from loombench.vehicle.points import Point

NAME_MM, LABEL_MM, PIN_MM, NOTE_MM = 3.2, 2.6, 2.5, 2.5
LINE_MM = 3.2
PIN_TEXT_MM, NAME_WIDTH_MM = 30.0, 60.0
TEXT_WIDTH_MM = 26.0
GAP_MM = 0.8


def on_raster(length_mm: float) -> float:
    """The least length on the raster that is not below this one."""
    return math.ceil(round(length_mm / RASTER_MM, 4)) * RASTER_MM


def point_name(part: Part, pin: str, half: str = "") -> str:
    """The name of a pin's point as the model has it."""
    return str(Point(part.id, pin, half, ring=part.kind == "stud" and bool(pin)))


def upside_down(shape: Shape, height_mm: float) -> Shape:
    """The shape turned over within a height; texts stay upright."""
    match shape:
        case Line():
            return replace(shape, y1_mm=height_mm - shape.y1_mm, y2_mm=height_mm - shape.y2_mm)
        case Polyline():
            return replace(shape, points=tuple((x, height_mm - y) for x, y in shape.points))
        case Rect():
            return replace(shape, y_mm=height_mm - shape.y_mm - shape.height_mm)
        case Arc():
            return replace(
                shape, y_mm=height_mm - shape.y_mm, start_deg=-shape.end_deg % 360, end_deg=-shape.start_deg % 360
            )
        case Text():
            return replace(shape, y_mm=height_mm - shape.y_mm + 0.72 * shape.size_mm)
        case _:
            return replace(shape, y_mm=height_mm - shape.y_mm)


def parted(name: str) -> tuple[str, str]:
    """A name without its vehicle's, and that: `trailer::X70` is `X70` and `trailer`."""
    before, mark, own = name.rpartition("::")
    return (own, before) if mark else (name, "")


def name_texts(x_mm: float, y_mm: float, name: str, size_mm: float = NAME_MM) -> tuple[Text, ...]:
    """A part's id, never cut short of a name that nobody would give; that of another vehicle small behind it."""
    own, other = parted(name)
    shown = Text(x_mm, y_mm, fitted(own, NAME_WIDTH_MM, size_mm, bold=True), size_mm, START, NAME)
    if not other:
        return (shown,)
    behind = x_mm + text_width_mm(shown.text, size_mm, bold=True) + 1.0
    return (shown, Text(behind, y_mm, fitted(other, NAME_WIDTH_MM, NOTE_MM), NOTE_MM, START, NOTE))


def pin_text(x_mm: float, y_mm: float, text: str, anchor: str = END) -> Text:
    """A terminal's name as printed on the part."""
    return Text(x_mm, y_mm, fitted(text, PIN_TEXT_MM, PIN_MM), PIN_MM, anchor, PIN_NAME)


def pin_text_mm(text: str) -> float:
    """How much room a terminal's name takes beside its lead."""
    return min(PIN_TEXT_MM, text_width_mm(text, PIN_MM)) + 0.9


def side_texts(part: Part, x_mm: float, y_mm: float, notes: Iterable[str] = (), lines: int = 2) -> tuple[Text, ...]:
    """The texts beside a symbol, from the top: id, rating, label in at most so many lines, notes."""
    found: list[Text] = [*name_texts(x_mm, y_mm + NAME_MM, part.id)]
    y = y_mm + NAME_MM
    for line in (part_rating(part), *wrapped(part.label, TEXT_WIDTH_MM, LABEL_MM, lines)):
        if line:
            y += LINE_MM
            found.append(Text(x_mm, y, fitted(line, TEXT_WIDTH_MM, LABEL_MM), LABEL_MM, START, LABEL))
    for note in notes:
        y += LINE_MM
        found.append(Text(x_mm, y, fitted(note, TEXT_WIDTH_MM, NOTE_MM), NOTE_MM, START, NOTE))
    return tuple(found)


def text_right_mm(shapes: Iterable[Shape]) -> float:
    """Where the texts among the shapes end."""
    ends = [0.0]
    for shape in shapes:
        if isinstance(shape, Text):
            width = text_width_mm(shape.text, shape.size_mm, shape.role == NAME)
            ends.append(shape.x_mm + {START: width, END: 0.0}.get(shape.anchor, width / 2.0))
    return max(ends)


def text_left_mm(shapes: Iterable[Shape]) -> float:
    """Where the texts among the shapes begin."""
    starts = [0.0]
    for shape in shapes:
        if isinstance(shape, Text):
            width = text_width_mm(shape.text, shape.size_mm, shape.role == NAME)
            starts.append(shape.x_mm - {START: 0.0, END: width}.get(shape.anchor, width / 2.0))
    return min(starts)


def text_bottom_mm(shapes: Iterable[Shape]) -> float:
    """How low the texts among the shapes reach, descenders included."""
    return max((shape.y_mm + 0.25 * shape.size_mm for shape in shapes if isinstance(shape, Text)), default=0.0)


def symbol(part: Part, width_mm: float, height_mm: float, pins: Iterable[Pin], shapes: Iterable[Shape]) -> Symbol:
    """The symbol with its box on the raster, wide enough for its texts."""
    every = tuple(shapes)
    width = on_raster(max(width_mm, text_right_mm(every) + GAP_MM))
    return Symbol(part.id, part.kind, width, on_raster(height_mm), tuple(pins), every)
