"""The labels of a harness's wires: one for each end, with where this end goes and where the other one is."""

from collections.abc import Iterator

from loombench.exchange.csvout import csv_text
from loombench.exchange.harness import End, Harness, Wire
from loombench.exchange.leaving import BAR, STRAP
from loombench.exchange.xmlout import plain

HEADS = ("label", "wire", "number", "colour", "size", "from", "to", "harness")
OPEN = "open"


def write_labels(harness: Harness) -> str:
    """The labels, two rows a wire (one more for each tap); straps and bars bear none."""
    return csv_text(HEADS, (row for wire in harness.wires if wire.type not in (BAR, STRAP) for row in _ends(wire)))


def _ends(wire: Wire) -> Iterator[tuple[str, ...]]:
    colour = "/".join(wire.colour.parts)
    size = wire.size_text or (f"{plain(wire.area_mm2)}mm2" if wire.area_mm2 is not None else "")
    for place, end in enumerate(wire.ends):
        here = _spot(end)
        there = " ".join(_spot(other) for number, other in enumerate(wire.ends) if number != place) or OPEN
        words = (wire.number, colour, size, here, ">", there)
        label = " ".join(word for word in words if word)
        yield (label, wire.id, wire.number, colour, size, here, there, wire.loom)


def _spot(end: End) -> str:
    return str(end.spot) if end.spot is not None else OPEN
