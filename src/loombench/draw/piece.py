"""A piece of a page: an arranged plan with its lines, and the words on its wires."""

from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed, Spot
from loombench.draw.layout.combing import combed
from loombench.draw.layout.items import GROUND, RAIL, WIRE, Item, Plan
from loombench.draw.layout.labels import Box, Label, place_labels
from loombench.draw.layout.lines import Drawn, drawn
from loombench.draw.layout.rails import BAR_MM, bar_width_mm
from loombench.vehicle.model import Vehicle, Wire


@dataclass(frozen=True)
class Piece:
    """An arranged plan with its lines and labels; `unlabelled` are wires whose words found no place."""

    plan: Plan
    placed: Placed
    lines: Drawn
    labels: tuple[Label, ...]
    unlabelled: tuple[str, ...] = ()


def piece_of(vehicle: Vehicle, plan: Plan, placed: Placed) -> Piece:
    """The piece that an arrangement gives."""
    lines = drawn(plan, placed)
    boxes = [box for item in plan.items.values() for box in solid(item, placed.corners[item.key])]
    lines = replace(lines, ways=MappingProxyType(combed(lines.ways, lines.joints, boxes)))
    texts = {run.key: wire_texts(vehicle.wire_by_id[run.wire]) for run in plan.runs if run.sort == WIRE}
    placing = place_labels(texts, lines.ways, boxes, [*lines.joints, *placed.ports.values()])
    return Piece(plan, placed, lines, placing.labels, placing.without)


def solid(item: Item, corner: Spot) -> tuple[Box, ...]:
    """What of an item nothing may lie on. Lines run into a rail below its bar, beside its words."""
    x, y = corner
    if item.sort != RAIL:
        return (Box(x, y, item.width_mm, item.height_mm),)
    bar = bar_width_mm(item)
    words = Box(x + bar, y, item.width_mm - bar, item.height_mm)
    below = item.height_mm if item.level == GROUND else BAR_MM + 0.8
    return (Box(x, y, bar, below), words)


def wire_texts(wire: Wire) -> tuple[str, ...]:
    """The words on a wire, the fullest first: colour letters, size and number, `?` for what is unknown."""
    colour = str(wire.colour)
    size = wire.size_text or (f"{wire.area_mm2.nominal:g}" if wire.area_mm2.known else "?")
    size = size.replace("mm2", "").strip() or "?"
    number = f" {wire.number}" if wire.number else ""
    short = wire.number if wire.number and not wire.colour.words else colour
    return tuple(dict.fromkeys((f"{colour} {size}{number}", f"{colour} {size}", short)))
