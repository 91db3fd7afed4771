"""Several elements in one housing, a motor with its cam, and what has three poles."""

from loombench.draw.shapes import (
    MIDDLE,
    NAME,
    NOTE,
    PIN_NAME,
    THIN,
    Body,
    Circle,
    Line,
    Polyline,
    Rect,
    Shape,
    Symbol,
    Text,
    Wanted,
)
from loombench.draw.symbols.frame import NOTE_MM, point_name, side_texts, text_bottom_mm
from loombench.draw.symbols.glyphs import HEIGHT_MM, glyph, leads
from loombench.draw.symbols.ladder import Rung, ladder, rung
from loombench.draw.symbols.ratings import inner_rating
from loombench.draw.symbols.switch import control_rungs, strip
from loombench.draw.textwidth import wrapped
from loombench.vehicle.model import Inner, Part

_NOTE_MM = 15.0


def unit(part: Part, wanted: Wanted) -> Symbol:
    """The elements of a housing whose pins are wanted, each with its label, and the contacts the machine moves."""
    rungs = [
        _element(part, inner)
        for inner in part.elements
        if len(inner.pins) > 1 and all(wanted.takes(point_name(part, pin)) for pin in inner.pins[:2])
    ]
    linked: list[tuple[int, ...]] = []
    texts: tuple[Shape, ...] = side_texts(part, 0.0, 0.0)
    for control in part.controls:
        own = control_rungs(part, control, wanted)
        linked.append(tuple(range(len(rungs), len(rungs) + len(own))))
        rungs += own
        if own:
            texts += strip(part, control, wanted, text_bottom_mm(texts) + 0.6)
    return ladder(part, rungs, wanted, texts, tuple(linked))


def _element(part: Part, inner: Inner) -> Rung:
    words = [word for word in inner.words if word in ("slow", "fast")]
    said = " ".join([*words, inner_rating(inner)]).strip()
    notes = (*((said,) if said else ()), *wrapped(inner.label, _NOTE_MM, NOTE_MM, 3))
    body = Body(0.0, HEIGHT_MM / 2.0, f"{part.id}.{inner.name or inner.kind}", inner.kind)
    return rung(inner.pins[0], inner.pins[1], (*glyph(inner.kind, inner.words), body), notes[:4])


def converter(part: Part, wanted: Wanted) -> Symbol:
    """A converter: what comes in at the top, ground and what it gives at the bottom."""
    box: tuple[Shape, ...] = (
        Rect(-4.0, 4.0, 8.0, 7.0), Line(-4.0, 11.0, 4.0, 4.0),
        Text(-2.0, 7.1, "=", 3.0, MIDDLE, PIN_NAME), Text(2.0, 10.4, "=", 3.0, MIDDLE, PIN_NAME),
        Line(0.0, 0.0, 0.0, 4.0), Line(-2.5, 11.0, -2.5, HEIGHT_MM), Line(2.5, 11.0, 2.5, HEIGHT_MM),
    )  # fmt: skip
    one = Rung((("in", 0.0),), (("gnd", -2.5), ("out", 2.5)), box)
    return ladder(part, (one,), wanted, side_texts(part, 0.0, 0.0), framed=False)


def alternator(part: Part, wanted: Wanted) -> Symbol:
    """An alternator with its rectifier and regulator; B+ and D+ at the top, minus at the bottom."""
    body: tuple[Shape, ...] = (
        Circle(0.0, 7.5, 3.6), Text(0.0, 7.9, "G", 3.4, MIDDLE, NAME), Text(0.0, 10.2, "3~", 2.5, MIDDLE, NOTE),
        *leads(3.9, 11.1),
    )  # fmt: skip
    diode = (Polyline(((-0.9, 3.3), (0.9, 3.3), (0.0, 1.8)), filled=True), Line(-0.9, 1.8, 0.9, 1.8))
    sense = (Line(5.0, 0.0, 5.0, 7.5), Line(5.0, 7.5, 3.6, 7.5))
    one = Rung((("B+", 0.0), ("D+", 5.0)), (("-", 0.0),), (*body, *diode, *sense))
    return ladder(part, (one,), wanted, side_texts(part, 0.0, 0.0), framed=False)


def sensor(part: Part, wanted: Wanted) -> Symbol:
    """A sensor with three poles: a divider whose tap is moved by what it measures."""
    tap = (
        Line(5.0, HEIGHT_MM, 5.0, 7.5), Line(5.0, 7.5, 1.7, 7.5),
        Polyline(((1.6, 7.5), (3.0, 6.8), (3.0, 8.2)), THIN, filled=True),
    )  # fmt: skip
    supply, ground, signal = part.pins[0], part.pins[1], part.pins[2]
    one = Rung(((supply, 0.0),), ((ground, 0.0), (signal, 5.0)), (*glyph("resistor"), *tap))
    return ladder(part, (one,), wanted, side_texts(part, 0.0, 0.0), framed=False)


def bus_node(part: Part, wanted: Wanted) -> Symbol:
    """What hangs on the two wires of a bus: a driver and a receiver in one box."""
    send = Polyline(((-2.6, 6.4), (-0.6, 6.4), (-1.6, 8.4)), closed=True)
    receive = Polyline(((0.6, 8.4), (2.6, 8.4), (1.6, 6.4)), closed=True)
    box: tuple[Shape, ...] = (
        Rect(-4.0, 4.0, 8.0, 7.0), send, receive, Line(-2.5, 0.0, -2.5, 4.0), Line(2.5, 0.0, 2.5, 4.0),
    )  # fmt: skip
    high, low = part.pins[0], part.pins[1]
    one = Rung(((high, -2.5), (low, 2.5)), (), box)
    return ladder(part, (one,), wanted, side_texts(part, 0.0, 0.0), framed=False)
