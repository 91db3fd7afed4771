"""Splices, studs and bodies: a rail with a place for each wire, whose order the arrangement chooses."""

from loombench.draw.layout.items import BETWEEN, GROUND, RAIL, Item, Note, Port
from loombench.draw.shapes import BOTTOM, TOP
from loombench.draw.symbols.frame import parted
from loombench.draw.textwidth import text_width_mm, wrapped
from loombench.vehicle.model import Part

PITCH_MM = 5.0
EDGE_MM = 2.5
NAME_MM, NOTE_MM, LINE_MM = 3.2, 2.5, 3.2
TEXT_WIDTH_MM = 26.0
GROUND_MM = 5.0
BAR_MM = 1.5
"""How far below its upper edge the bar of a rail lies: wires from below come up to it too."""


def rail(part: Part, ports: tuple[Port, ...], note: Note | None, quiet: tuple[str, ...], ground: bool) -> Item:
    """The rail of a splice, stud or body with these ports; `quiet` are lines below its name, after the name of its own
    vehicle where that is coupled. At a `ground` ways end."""
    own, vehicle = parted(part.id)
    below = ((vehicle,) if vehicle else ()) + tuple(parted(text)[0] for text in quiet)
    texts = (own, *(line for text in below for line in wrapped(text, TEXT_WIDTH_MM, NOTE_MM, 2)))
    notes = wrapped(note.text, TEXT_WIDTH_MM, NOTE_MM, 2) if note else ()
    most = max(sum(port.side == side for port in ports) for side in (TOP, BOTTOM))
    bar = EDGE_MM * 2 + PITCH_MM * max(most - 1, 0)
    wide = max(
        [text_width_mm(texts[0], NAME_MM, True), *(text_width_mm(text, NOTE_MM) for text in (*texts[1:], *notes))]
    )
    lines = len(texts) + len(notes)
    height = max(GROUND_MM + BAR_MM + 0.5 if ground else 3.0, NAME_MM + LINE_MM * (lines - 1) + 1.0)
    level = GROUND if ground else BETWEEN
    return Item(
        part.id, part.id, RAIL, part.kind, bar + wide + 1.0, height, ports, level, texts=(*texts, *notes), note=note
    )


def meets_mm(item: Item, side: str) -> float:
    """Where lines from a side end, below the upper edge: on the bar; at a stud, whose rings are points of their own,
    those from below end at its lower edge, so that none ends where another does."""
    return BAR_MM + (0.8 if item.kind == "stud" and side == BOTTOM else 0.0)


def bar_width_mm(item: Item) -> float:
    """How wide the bar of a rail is with its ends."""
    most = max(len(item.on(TOP)), len(item.on(BOTTOM)))
    return 2 * EDGE_MM + PITCH_MM * max(most - 1, 0)
