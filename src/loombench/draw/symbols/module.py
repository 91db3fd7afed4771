"""Modules: named pins, what drives or reads each of them inside, and the rules in words."""

from collections.abc import Iterator

from loombench.base.wording import Catalogue, catalogue
from loombench.draw.shapes import (
    BOTTOM,
    LABEL,
    MIDDLE,
    NAME,
    NOTE,
    START,
    THICK,
    THIN,
    TOP,
    Circle,
    Line,
    Pin,
    Polyline,
    Rect,
    Shape,
    Symbol,
    Text,
    Wanted,
    moved,
)
from loombench.draw.symbols.boxed import pitch_mm, sided
from loombench.draw.symbols.frame import (
    LABEL_MM,
    LINE_MM,
    NAME_MM,
    NOTE_MM,
    on_raster,
    parted,
    pin_text,
    pin_text_mm,
    point_name,
    symbol,
    upside_down,
)
from loombench.draw.symbols.rules import module_rows
from loombench.draw.textwidth import text_width_mm, wrapped
from loombench.vehicle.model import Part
from loombench.vehicle.module import Input, ModuleSpec, Output

STUB_MM, DEPTH_MM = 2.5, 5.0
LEAST_PITCH_MM, TEXT_MM = 7.5, 52.0


def module(part: Part, wanted: Wanted) -> Symbol:
    """The box: pins with drivers at its edges, in the middle id, label, and a row for each pin and rule drawn."""
    spec = part.module or ModuleSpec()
    outputs = {output.pin for output in spec.outputs if output.side == "high"}
    top, bottom = sided(part, wanted, frozenset(outputs) | frozenset(spec.grounds))
    step = max(pitch_mm([*top, *bottom]), LEAST_PITCH_MM)
    room = max(TEXT_MM, step * max(len(top), len(bottom)) - 3.0)
    rows = _rows(part, spec, (*top, *bottom), room, catalogue(wanted.language))
    text = max(text_width_mm(row.text, row.size_mm, row.role == NAME) for row in rows)
    ends = [_at(step, len(row) - 1) + max(4.4, pin_text_mm(row[-1]) + 0.4) for row in (top, bottom) if row]
    width = on_raster(max([*ends, text + 3.0]))
    upper = STUB_MM + 3.0 + DEPTH_MM if top else 0.8
    lower = DEPTH_MM + 3.0 + STUB_MM if bottom else 0.8
    height = on_raster(upper + LINE_MM * len(rows) + 1.0 + lower)
    edge_top, edge_bottom = STUB_MM if top else 0.0, height - (STUB_MM if bottom else 0.0)
    shapes: list[Shape] = [Rect(0.0, edge_top, width, edge_bottom - edge_top, corner_mm=0.8)]
    pins: list[Pin] = []
    for names, side in ((top, TOP), (bottom, BOTTOM)):
        for at, pin in enumerate(names):
            x = _at(step, at)
            pins.append(Pin(point_name(part, pin), x, 0.0 if side == TOP else height, side))
            inner = [moved(shape, x, 0.0) for shape in _inner(spec, pin)]
            inner = [Line(x, 0.0, x, STUB_MM + 3.4), *inner]
            shapes += inner if side == TOP else [upside_down(shape, height) for shape in inner]
            shapes.append(pin_text(x + 0.6, STUB_MM + 2.7 if side == TOP else height - STUB_MM - 0.9, pin, START))
    shapes += [moved(row, 1.5, upper + LINE_MM * at) for at, row in enumerate(rows)]
    return symbol(part, width, height, pins, shapes)


def _at(step: float, number: int) -> float:
    return on_raster(step / 2.0) + step * number


def _rows(part: Part, spec: ModuleSpec, pins: tuple[str, ...], width: float, words: Catalogue) -> tuple[Text, ...]:
    rows = [Text(0.0, NAME_MM, parted(part.id)[0], NAME_MM, START, NAME)]
    if parted(part.id)[1]:
        rows.append(Text(0.0, NAME_MM, parted(part.id)[1], NOTE_MM, START, NOTE))
    rows += [Text(0.0, NAME_MM, line, LABEL_MM, START, LABEL) for line in wrapped(part.label, width, LABEL_MM, 2)]
    for said in module_rows(words, spec, pins):
        rows += [Text(0.0, NAME_MM, line, NOTE_MM, START, NOTE) for line in wrapped(said, width, NOTE_MM, 2)]
    return tuple(rows)


def _inner(spec: ModuleSpec, pin: str) -> Iterator[Shape]:
    """What a pin meets inside, drawn from the pin at the top downwards, around x = 0."""
    y = STUB_MM + 3.4
    for output in spec.outputs:
        if output.pin == pin:
            yield from _driver(output, y)
            return
    for read in spec.inputs:
        if read.pin == pin:
            yield from _reader(read, y)
            return
    if pin in spec.grounds:
        yield Line(-1.6, y, 1.6, y, THICK)
    else:
        yield Circle(0.0, y + 0.4, 0.4)


def _driver(output: Output, y: float) -> Iterator[Shape]:
    """A switch to the supply (an arrow) or to ground (a plate)."""
    yield Line(0.0, y, -1.5, y + 2.2)
    yield Circle(0.0, y, 0.3, filled=True)
    yield Line(0.0, y + 2.4, 0.0, y + 3.6)
    if output.side == "high":
        yield Polyline(((-0.9, y + 3.4), (0.9, y + 3.4), (0.0, y + 4.6)), filled=True)
    else:
        yield Line(-1.4, y + 3.8, 1.4, y + 3.8, THICK)
    if output.pwm_share < 1.0:
        yield Polyline(
            ((1.2, y + 2.4), (1.2, y + 1.2), (2.2, y + 1.2), (2.2, y + 2.4), (3.0, y + 2.4), (3.0, y + 1.2)), THIN
        )


def _reader(read: Input, y: float) -> Iterator[Shape]:
    """A triangle that looks inwards, with the resistor that pulls it where it has one."""
    yield Line(0.0, y, 0.0, y + 0.8)
    yield Polyline(((-1.3, y + 0.8), (1.3, y + 0.8), (0.0, y + 3.2)), closed=True)
    if read.on_when == "low":
        yield Circle(0.0, y + 3.6, 0.4, cover=True)
    if read.pull != "none":
        yield Line(0.0, y, 2.6, y, THIN)
        yield Line(2.6, y, 2.6, y + 0.8, THIN)
        yield Rect(2.0, y + 0.8, 1.2, 2.4, THIN, cover=True)
        yield Text(2.6, y + 5.2, "+" if read.pull == "up" else "–", 2.5, MIDDLE, NOTE)
