"""A vehicle as a graph of pins: what joins what, for programs that lay out, count or search graphs.

A node is a pin, a splice, a stud, a ring or a body; the two halves of a connector are two nodes for each cavity. An
edge is a wire, or what joins two pins inside: a joint, a fuse, a switch, a load, a supply, an output, a mated pair. It
is a multigraph: parallel wires are edges of their own.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from loombench.facts.conductor import resistance_ohm_per_m
from loombench.vehicle.graph import links
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point

MATED = "mated"
Value = str | float
"""What an attribute can be; a number is in the unit of its name."""


@dataclass(frozen=True)
class Node:
    """A node: its point's name, and attributes; those that are not known are left out."""

    id: str
    attributes: tuple[tuple[str, Value], ...]


@dataclass(frozen=True)
class Edge:
    """An edge between two nodes by their ids; `id` is unique."""

    id: str
    a: str
    b: str
    kind: str
    attributes: tuple[tuple[str, Value], ...] = ()


@dataclass(frozen=True)
class Graph:
    """Nodes and edges in the order of the vehicle's parts and wires."""

    name: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]


def graph_of(vehicle: Vehicle) -> Graph:
    """The graph of pins of a vehicle."""
    points: dict[Point, None] = {}
    for part in vehicle.parts.values():
        if part.kind == "connector":
            points.update(dict.fromkeys(Point(part.id, pin, half) for half in part.halves for pin in part.pins))
        elif part.kind in ("splice", "stud", "body"):
            points[Point(part.id)] = None
        else:
            points.update(dict.fromkeys(Point(part.id, pin) for pin in part.pins))
    classes = nets(vehicle)
    edges = [_wire(wire, classes.strictest(wire.a)) for wire in vehicle.wires]
    points.update(dict.fromkeys(point for wire in vehicle.wires for point in (wire.a, wire.b)))
    counts: dict[str, int] = {}
    for link in links(vehicle):
        if link.kind == "wire":
            continue
        counts[link.via] = counts.get(link.via, 0) + 1
        points.update(dict.fromkeys((link.a, link.b)))
        name = f"{link.via}:{counts[link.via]}"
        attributes: tuple[tuple[str, Value], ...] = (
            ("via", link.via),
            *((("one_way", "yes"),) if link.one_way else ()),
        )
        edges.append(Edge(name, str(link.a), str(link.b), link.kind, attributes))
    edges.extend(_mated(points))
    nodes = tuple(
        Node(str(point), tuple((key, value) for key, value in _node(vehicle, point, classes.strictest(point)) if value))
        for point in points
    )
    return Graph(vehicle.name, nodes, tuple(edges))


def _node(vehicle: Vehicle, point: Point, net_class: str) -> Iterator[tuple[str, Value]]:
    part = vehicle.parts.get(point.part)
    kind = part.kind if part is not None else ""
    yield "kind", "ring" if point.ring else kind if kind in ("splice", "stud", "body") else "pin"
    yield "part", point.part
    yield "part_kind", kind
    yield "cavity", point.pin
    yield "half", point.half
    yield "place", part.place if part is not None else ""
    yield "label", part.label if part is not None else ""
    yield "class", net_class


def _wire(wire: Wire, net_class: str) -> Edge:
    area_mm2 = wire.area_mm2.nominal if "size" not in wire.assumed and wire.area_mm2.known else None
    length_m = wire.length_m.nominal if "length" not in wire.assumed and wire.length_m.known else None
    found: dict[str, Value | None] = {
        "number": wire.number,
        "class": net_class,
        "colour_base": wire.colour.words[0] if wire.colour.words else "",
        "colour_stripe": "/".join(wire.colour.words[1:]),
        "size_mm2": area_mm2,
        "length_mm": length_m * 1000 if length_m is not None else None,
        "resistance_ohm": resistance_ohm_per_m(area_mm2) * length_m if area_mm2 and length_m is not None else None,
        "harness": wire.loom,
        "cable": wire.cable,
        "passes": " ".join(wire.via),
    }
    attributes = tuple((key, value) for key, value in found.items() if value is not None and value != "")
    return Edge(wire.id, str(wire.a), str(wire.b), "wire", attributes)


def _mated(points: dict[Point, None]) -> Iterator[Edge]:
    cavities: dict[tuple[str, str], list[Point]] = {}
    for point in points:
        if point.half:
            cavities.setdefault((point.part, point.pin), []).append(point)
    for (part, pin), halves in cavities.items():
        for one, other in combinations(halves, 2):
            yield Edge(f"{part}.{pin}:{one.half}={other.half}", str(one), str(other), MATED, (("via", part),))
