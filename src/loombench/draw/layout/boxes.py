"""Fuse boxes on a page: the fuses that hang on one bar, in a frame with the bar above them.

A box is not drawn as a whole: on a page about one function that would be one thing with wires to everywhere. Each bar
that takes part is a frame of its own; relays in the box stand outside of it, with a line from the bar to them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loombench.draw.layout.items import CARRIER, Item, Port
from loombench.draw.shapes import (
    BOTTOM,
    END,
    FRAME,
    LABEL,
    NAME,
    NOTE,
    START,
    THICK,
    TOP,
    Line,
    Rect,
    Shape,
    Symbol,
    Text,
    Wanted,
)
from loombench.draw.symbol import symbol_of
from loombench.draw.symbols.frame import on_raster
from loombench.draw.textwidth import fitted, text_width_mm
from loombench.vehicle.graph import Link, merged
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.points import Point

FUSES = ("fuse", "fuselink", "breaker")
HEAD_MM, BAR_MM, GAP_MM, LEAD_MM = 2.5, 8.0, 2.5, 7.5
NAME_MM, LABEL_MM = 3.2, 2.5


@dataclass(frozen=True)
class Boxed:
    """A frame, the fuses in it, and what its bar leads to outside: `(port, name of the point)` each."""

    item: Item
    parts: tuple[str, ...]
    leads: tuple[tuple[str, str], ...]


def boxes(vehicle: Vehicle, joints: Iterable[Link], height: Mapping[Point, float]) -> tuple[Boxed, ...]:
    """The frames for the bars among the joints; `height` has every point of the page."""
    bars: dict[str, list[list[Point]]] = {}
    for point in height:
        if vehicle.parts[point.part].kind == "carrier":
            _join(bars.setdefault(point.part, []), point, point)
    for link in joints:
        if vehicle.parts[link.via].kind == "carrier":
            _join(bars.setdefault(link.via, []), merged(link.a), merged(link.b))
    return tuple(
        _frame(vehicle, vehicle.parts[box], number, net, height)
        for box, nets in bars.items()
        for number, net in enumerate(nets)
        if any(point.part == box or _hangs(vehicle, vehicle.parts[box], point) for point in net)
    )


def bridges(vehicle: Vehicle, joints: Iterable[Link]) -> tuple[Link, ...]:
    """The joints in boxes that are on no bar: from what is in the box straight to something else in it."""
    nets: dict[str, list[list[Point]]] = {}
    found = [link for link in joints if vehicle.parts[link.via].kind == "carrier"]
    for link in found:
        _join(nets.setdefault(link.via, []), merged(link.a), merged(link.b))
    bare = {
        point
        for box, every in nets.items()
        for net in every
        if not any(point.part == box or _hangs(vehicle, vehicle.parts[box], point) for point in net)
        for point in net
    }
    return tuple(link for link in found if merged(link.a) in bare)


def _join(nets: list[list[Point]], a: Point, b: Point) -> None:
    touching = [net for net in nets if a in net or b in net]
    merged_net = list(dict.fromkeys([point for net in touching for point in net] + [a, b]))
    nets[:] = [net for net in nets if net not in touching] + [merged_net]


def _frame(
    vehicle: Vehicle,
    box: Part,
    number: int,
    net: list[Point],
    height: Mapping[Point, float],
) -> Boxed:
    fuses = [vehicle.parts[point.part] for point in net if _hangs(vehicle, box, point)]
    fuses = [part for part in vehicle.parts.values() if part in fuses]
    leads = [point for point in net if point.part != box.id and not _hangs(vehicle, box, point)]
    feeds = [point for point in leads if _feeds(point, net, height)]
    own = [point for point in net if point.part == box.id]
    bar_y = HEAD_MM + BAR_MM
    shapes: list[Shape] = []
    inside: list[tuple[Symbol, float, float]] = []
    ports: list[Port] = []
    x = GAP_MM + max([0.0, *(on_raster(text_width_mm(point.pin, LABEL_MM) - 4.0) for point in own)])
    fuse_y = bar_y + 2.5
    for part in fuses:
        symbol = symbol_of(part, Wanted(upward=frozenset({f"{part.id}.in"})))
        inside.append((symbol, x, fuse_y))
        for pin in symbol.pins:
            at = x + pin.x_mm
            if pin.name == f"{part.id}.in":
                shapes.append(Line(at, bar_y, at, fuse_y))
            else:
                ports.append(Port(pin.name, pin.name, BOTTOM, at, fuse_y + pin.y_mm))
        x += symbol.width_mm + GAP_MM
    bottom = max([bar_y + 5.0, *(y + symbol.height_mm for symbol, _, y in inside)])
    meets = [line.x1_mm for line in shapes if isinstance(line, Line)]
    for point in [point for point in leads if point not in feeds]:
        ports.append(Port(f"bar>{point}", "", BOTTOM, x + GAP_MM, bottom))
        shapes.append(Line(x + GAP_MM, bar_y, x + GAP_MM, bottom))
        meets.append(x + GAP_MM)
        x += LEAD_MM
    above = x + GAP_MM if not meets else meets[0]
    for point in own:
        ports.append(Port(str(point), str(point), TOP, above, 0.0))
        shapes.append(Line(above, 0.0, above, bar_y))
        shapes.append(Text(above - 0.6, HEAD_MM + 3.2, point.pin, LABEL_MM, END, NOTE))
        meets.append(above)
        above += LEAD_MM
    for point in feeds:
        ports.append(Port(f"bar>{point}", "", TOP, above, 0.0))
        shapes.append(Line(above, 0.0, above, bar_y))
        meets.append(above)
        above += LEAD_MM
    ports = [_at_edge(port, bottom) for port in ports]
    shapes += [
        Line(port.x_mm or 0.0, y, port.x_mm or 0.0, bottom)
        for port in ports
        for y in [next((at + symbol.height_mm for symbol, left, at in inside if _owns(symbol, port)), bottom)]
        if port.side == BOTTOM and y < bottom
    ]
    name_x = above - LEAD_MM + 4.5 if own or feeds else GAP_MM
    words = text_width_mm(box.id, NAME_MM, True), min(text_width_mm(box.label, LABEL_MM), 26.0)
    wide = max(x, above, *(at + GAP_MM for at in meets), name_x + max(words) + 1.0)
    if max(meets) > min(meets):
        shapes.append(Line(min(meets), bar_y, max(meets), bar_y, THICK))
    shapes.insert(0, Rect(0.0, HEAD_MM, wide, bottom - HEAD_MM, FRAME))
    shapes.append(Text(name_x, HEAD_MM + 3.4, fitted(box.id, wide - name_x, NAME_MM, True), NAME_MM, START, NAME))
    shapes.append(Text(name_x, HEAD_MM + 6.4, fitted(box.label, wide - name_x, LABEL_MM), LABEL_MM, START, LABEL))
    item = Item(
        f"{box.id}#{number}", box.id, CARRIER, box.kind, wide, bottom, tuple(ports),
        shapes=tuple(shapes), inside=tuple(inside),
    )  # fmt: skip
    names = tuple((f"bar>{point}", str(point)) for point in leads)
    return Boxed(item, tuple(part.id for part in fuses), names)


def _at_edge(port: Port, bottom: float) -> Port:
    return Port(port.key, port.name, port.side, port.x_mm, bottom) if port.side == BOTTOM else port


def _owns(symbol: Symbol, port: Port) -> bool:
    return any(pin.name == port.name for pin in symbol.pins)


def _hangs(vehicle: Vehicle, box: Part, point: Point) -> bool:
    """Whether the point is the upper end of a fuse of this box."""
    part = vehicle.parts[point.part]
    return part.kind in FUSES and point.pin == part.pins[0] and part.holder in ("", box.id)


def _feeds(point: Point, net: list[Point], height: Mapping[Point, float]) -> bool:
    """Whether a point outside feeds the bar: it belongs higher than everything else on it."""
    own = height.get(point, 0.5)
    return all(own <= height.get(other, 0.5) for other in net) and own < max(height.get(one, 0.5) for one in net)
