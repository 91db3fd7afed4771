"""A battery whose minus no wire of the page leads to: its frame connection is drawn on it."""

from dataclasses import replace

from loombench.draw.shapes import NOTE, START, TOP, Line, Symbol, Text, moved
from loombench.vehicle.model import Vehicle

EARTH_MM = 2.5
EARTH_STROKES = ((0.0, 2.2), (0.9, 1.4), (1.8, 0.6))
"""The strokes of a frame connection on the minus of a battery: how far above it, and half how wide."""


def grounded(vehicle: Vehicle, symbol: Symbol, minus: str) -> Symbol:
    """A battery whose minus no wire of the page leads to: the sign of the frame on it, with the stud it goes to."""
    pin = next((one for one in symbol.pins if one.name == minus and one.side == TOP), None)
    if pin is None:
        return symbol
    down = EARTH_MM
    ends = (end for wire in vehicle.wires for end in (wire.a, wire.b) if minus in (str(wire.a), str(wire.b)))
    stud = next((end.part for end in ends if vehicle.parts[end.part].kind == "stud"), "")
    strokes = [Line(pin.x_mm - half, down - up, pin.x_mm + half, down - up) for up, half in EARTH_STROKES]
    name = Text(pin.x_mm + 3.0, down - 0.2, stud, 2.5, START, NOTE)
    return replace(
        symbol,
        height_mm=symbol.height_mm + down,
        pins=tuple(replace(one, y_mm=one.y_mm + down) for one in symbol.pins),
        shapes=(*strokes, name, *(moved(shape, 0.0, down) for shape in symbol.shapes)),
    )
