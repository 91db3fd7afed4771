"""Connectors, sockets and plugs: the pair of contacts with its number, the looms of the two halves."""

from collections.abc import Sequence
from dataclasses import replace

from loombench.draw.shapes import (
    BOTTOM,
    DASHED,
    LABEL,
    NOTE,
    START,
    TOP,
    Arc,
    Line,
    Pin,
    Rect,
    Shape,
    Symbol,
    Text,
    Wanted,
)
from loombench.draw.symbols.boxed import STUB_MM, pitch_mm, sided
from loombench.draw.symbols.frame import (
    LABEL_MM,
    NOTE_MM,
    TEXT_WIDTH_MM,
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

UNPLUGGED = "unplugged"
HEIGHT_MM = 10.0
HALF_MM = 7.5
"""How high each half of a plugged pair is."""
_TOGETHER_MM = 5.0


def connector(part: Part, wanted: Wanted) -> Symbol:
    """The cavities that are wanted side by side: one half's contact above, the other's below, apart if unplugged."""
    upper, lower = (*part.halves, "", "")[:2]
    cavities = [
        pin
        for pin in part.pins
        if wanted.takes(point_name(part, pin, upper)) or wanted.takes(point_name(part, pin, lower))
    ]
    if _turned(part, cavities, wanted):
        upper, lower = lower, upper
    step = max(pitch_mm(cavities), 7.5)
    gap = 1.2 if wanted.positions.get(part.id) == UNPLUGGED else 0.0
    shapes: list[Shape] = []
    pins: list[Pin] = []
    first = on_raster(max([5.0, *(2.4 + pin_text_mm(pin) for pin in cavities[:1])]))
    for at, pin in enumerate(cavities):
        x = first + step * at
        pins.append(Pin(point_name(part, pin, upper), x, 0.0, TOP))
        shapes += [*_pair(x, gap), pin_text(x - 2.1, _TOGETHER_MM + 1.4, pin)]
    pins += [Pin(point_name(part, pin, lower), first + step * at, HEIGHT_MM, BOTTOM) for at, pin in enumerate(cavities)]
    right = first + step * max(0, len(cavities) - 1)
    if len(cavities) > 1:
        shapes.append(Line(first, _TOGETHER_MM + 2.0, right, _TOGETHER_MM + 2.0, DASHED))
    x = right + 2.4
    for loom, y in ((upper, 2.4), (lower, HEIGHT_MM - 0.8)):
        shapes.append(Text(x - 1.4, y, fitted(parted(loom)[0], 40.0, NOTE_MM), NOTE_MM, START, NOTE))
    shapes += name_texts(x, _TOGETHER_MM + 1.0, part.id)
    return symbol(part, right + 2.5, HEIGHT_MM, pins, shapes)


def _turned(part: Part, cavities: list[str], wanted: Wanted) -> bool:
    """Whether the second half leads to the supply."""
    first, second = (*part.halves, "", "")[:2]
    up = [sum(point_name(part, pin, half) in wanted.upward for pin in cavities) for half in (first, second)]
    return up[1] > up[0]


def _pair(x: float, gap: float) -> tuple[Shape, ...]:
    """A pin in its socket, drawn from above; a gap parts them."""
    y = _TOGETHER_MM - gap
    pin = (Line(x, 0.0, x, y - 2.0), Rect(x - 0.5, y - 2.0, 1.0, 2.6, filled=True))
    return (
        *pin,
        Arc(x, _TOGETHER_MM + gap / 2.0, 1.5, 0.0, 180.0),
        Line(x, _TOGETHER_MM + 1.5 + gap / 2.0, x, HEIGHT_MM),
    )


def socket(part: Part, wanted: Wanted) -> Symbol:
    """A socket or plug of a standard form: a frame with its contacts, those of a socket open, of a plug filled."""
    top, bottom = sided(part, wanted)
    step = max(pitch_mm([*top, *bottom]), 5.0)
    form = next(iter(part.words), "")
    texts = (
        *name_texts(0.0, 3.2, part.id),
        *_form_text(form, 6.2),
        *side_texts(part, 0.0, 3.0 if form else 0.0)[len(name_texts(0.0, 0.0, part.id)) :],
    )
    height = on_raster(max(7.5 + (5.0 if bottom else 0.0), text_bottom_mm(texts)))
    first = on_raster(max([step / 2.0, *(pin_text_mm(row[0]) for row in (top, bottom) if row)]))
    width = first + step * (max(len(top), len(bottom), 1) - 1) + 2.5
    shapes: list[Shape] = [Rect(0.0, 2.5, width, height - (5.0 if bottom else 2.5), corner_mm=1.5)]
    pins: list[Pin] = []
    for row, side in ((top, TOP), (bottom, BOTTOM)):
        for at, pin in enumerate(row):
            x = first + step * at
            edge, to = (0.0, 5.2) if side == TOP else (height, height - 5.2)
            pins.append(Pin(point_name(part, pin), x, edge, side))
            shapes += [Line(x, edge, x, to), *_contact(part.kind, x, to, side)]
            shapes.append(pin_text(x - 0.6, 2.2 if side == TOP else height - 0.65, pin))
    shapes += [_beside(text, width + 0.8) for text in texts]
    return symbol(part, width, height, pins, shapes)


def _form_text(form: str, y_mm: float) -> tuple[Text, ...]:
    return (Text(0.0, y_mm, fitted(form, TEXT_WIDTH_MM, LABEL_MM), LABEL_MM, START, LABEL),) if form else ()


def mated(upper: Part, lower: Part, pins: Sequence[str]) -> tuple[Symbol, Symbol]:
    """A socket and the plug in it with the contacts that are wanted, the halves to be drawn one right above the other:
    the wires of the upper one come from above, those of the lower one go on below, each contact in its partner."""
    step = max(pitch_mm(list(pins)), 5.0)
    first = on_raster(max([step / 2.0, *(pin_text_mm(pin) for pin in pins[:1])]))
    width = first + step * (len(pins) - 1) + 2.5
    xs = [first + step * at for at in range(len(pins))]
    halves = []
    for part, side in ((upper, TOP), (lower, BOTTOM)):
        top, edge = (STUB_MM, 0.0) if side == TOP else (0.0, HALF_MM)
        shapes: list[Shape] = [Rect(0.0, top, width, HALF_MM - STUB_MM, corner_mm=1.0)]
        # The filled pin of the plug meets the open contact of the socket, whichever of them is above.
        middle = HALF_MM - 1.5 if side == TOP else 1.5
        for x, pin in zip(xs, pins, strict=True):
            shapes += [Line(x, edge, x, middle), *_meeting(part.kind, x, middle, side)]
            shapes.append(pin_text(x - 0.6, 2.2 if side == TOP else HALF_MM - 0.65, pin))
        form = next(iter(part.words), "")
        texts = (
            *name_texts(0.0, 2.7 if side == TOP else 3.8, part.id),
            *(_form_text(form, 5.7) if side == TOP else ()),
        )
        shapes += [_beside(text, width + 0.8) for text in texts]
        ends = [Pin(point_name(part, pin), x, edge, side) for x, pin in zip(xs, pins, strict=True)]
        halves.append(replace(symbol(part, width, HALF_MM, ends, shapes), height_mm=HALF_MM))
    return halves[0], halves[1]


def _meeting(kind: str, x: float, y: float, side: str) -> tuple[Shape, ...]:
    """One contact at the face where the halves meet."""
    sign = 1.0 if side == TOP else -1.0
    if kind == "plug":
        return (Rect(x - 0.5, y if side == TOP else y - 1.5, 1.0, 1.5, filled=True),)
    return (Arc(x, y + sign * 1.2, 1.2, *((180.0, 360.0) if side == TOP else (0.0, 180.0))),)


def _beside(text: Text, x_mm: float) -> Text:
    return Text(text.x_mm + x_mm, text.y_mm, text.text, text.size_mm, text.anchor, text.role)


def _contact(kind: str, x: float, y: float, side: str) -> tuple[Shape, ...]:
    if kind == "plug":
        return (Rect(x - 0.5, y if side == TOP else y - 1.8, 1.0, 1.8, filled=True),)
    return (Arc(x, y + 1.2, 1.2, 180.0, 360.0),) if side == TOP else (Arc(x, y - 1.2, 1.2, 0.0, 180.0),)
