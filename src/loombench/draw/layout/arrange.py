"""Where everything stands: the plan as a graph for the layout engine, and its answer in millimetres.

The engine puts items in layers from supply to ground, keeps lines at right angles and ends them at their ports. Labels
are none of its business: each would become a layer of its own.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Protocol

from loombench.draw.layout.items import GROUND, RAIL, SUPPLY, Item, Plan
from loombench.draw.layout.rails import EDGE_MM, PITCH_MM
from loombench.draw.shapes import BOTTOM, LEFT, RIGHT, TOP

Spot = tuple[float, float]
_SIDES = MappingProxyType({TOP: "NORTH", BOTTOM: "SOUTH", LEFT: "WEST", RIGHT: "EAST"})
CLOSE_MM = 0.02
UNITS_PER_MM = 10.0
"""The engine rounds to whole units on the way."""


STRAIGHT, NARROW = "straight", "narrow"
"""What an arrangement is to be: with few corners; or not wide, with more of them."""
_PLACEMENT = MappingProxyType({STRAIGHT: "BRANDES_KOEPF", NARROW: "NETWORK_SIMPLEX"})


class Layouts(Protocol):
    """Gives the answer to a graph: an engine, or what remembers its answers."""

    def lay(self, graph: str) -> str:
        """The answer of the layout script, both as JSON."""


class LayoutError(Exception):
    """The engine gave no arrangement, or one that does not hold what was asked."""


@dataclass(frozen=True)
class Spacing:
    """Distances in mm: between items side by side, between layers, between lines, from a line to an item."""

    items: float = 5.0
    layers: float = 6.5
    lines: float = 3.8
    line_item: float = 2.6

    def closer(self) -> "Spacing":
        """The same with as little room as labels across a line need, to bring a drawing onto its paper."""
        return Spacing(self.items - 1.0, self.layers - 1.7, self.lines - 0.6, self.line_item - 0.6)

    def wider(self) -> "Spacing":
        """The same with more room between layers and lines, for labels."""
        return Spacing(self.items + 1.0, self.layers * 1.4, self.lines + 1.0, self.line_item + 0.5)


@dataclass(frozen=True)
class Placed:
    """An arrangement: upper left corners of items, places of ports by (item, port), corners of each run in its order
    from start to end; all in mm, with the size of the whole."""

    width_mm: float
    height_mm: float
    corners: Mapping[str, Spot]
    ports: Mapping[tuple[str, str], Spot]
    ways: Mapping[str, tuple[Spot, ...]]


def arrange(plan: Plan, layouts: Layouts, spacing: Spacing, manner: str = STRAIGHT) -> Placed:
    """The arrangement of a plan: `STRAIGHT` or `NARROW`.

    Raises:
        ValueError: the plan is wrong.
        LayoutError: there is none.
    """
    wrong = plan.problems()
    if wrong:
        raise ValueError(f"no plan to arrange: {wrong[0]}")
    answer = json.loads(layouts.lay(graph_of(plan, spacing, manner)))
    if "ok" not in answer:
        raise LayoutError(str(answer.get("error"))[:200])
    return _read(plan, answer["ok"])


def graph_of(plan: Plan, spacing: Spacing, manner: str = STRAIGHT) -> str:
    """The graph for the layout script, as JSON: the same plan gives the same text."""
    options = {
        "elk.algorithm": "layered",
        "elk.direction": "DOWN",
        "elk.edgeRouting": "ORTHOGONAL",
        "elk.partitioning.activate": "true",
        "elk.randomSeed": "1",
        "elk.layered.nodePlacement.strategy": _PLACEMENT[manner],
        "elk.layered.thoroughness": "7",
        "elk.layered.crossingMinimization.greedySwitch.type": "ONE_SIDED",
        "elk.padding": "[top=0,left=0,bottom=0,right=0]",
        "elk.spacing.nodeNode": spacing.items * UNITS_PER_MM,
        "elk.separateConnectedComponents": "false",
        "elk.spacing.edgeNode": spacing.line_item * UNITS_PER_MM,
        "elk.spacing.edgeEdge": spacing.lines * UNITS_PER_MM,
        "elk.layered.spacing.nodeNodeBetweenLayers": spacing.layers * UNITS_PER_MM,
        "elk.layered.spacing.edgeNodeBetweenLayers": spacing.line_item * UNITS_PER_MM,
        "elk.layered.spacing.edgeEdgeBetweenLayers": spacing.lines * UNITS_PER_MM,
        "elk.spacing.portPort": PITCH_MM * UNITS_PER_MM,
        "elk.aspectRatio": "0.7",
    }
    names = _names(plan)
    graph = {
        "id": "page",
        "layoutOptions": {key: str(value) for key, value in options.items()},
        "children": [_node(item, names) for item in plan.items.values()],
        "edges": [
            {"id": f"e{at}", "sources": [names[run.start]], "targets": [names[run.end]]}
            for at, run in enumerate(plan.runs)
        ],
    }
    return json.dumps(graph)


def _names(plan: Plan) -> dict[tuple[str, str], str]:
    """Short names for ports, and for items under the port ''."""
    found: dict[tuple[str, str], str] = {}
    for at, item in enumerate(plan.items.values()):
        found[item.key, ""] = f"n{at}"
        found.update({(item.key, port.key): f"n{at}p{number}" for number, port in enumerate(item.ports)})
    return found


def _node(item: Item, names: Mapping[tuple[str, str], str]) -> dict[str, Any]:
    free = item.sort == RAIL
    options = {
        "elk.partitioning.partition": "0" if item.level == SUPPLY else "1",
        "elk.portConstraints": "FIXED_SIDE" if free else "FIXED_POS",
    }
    if item.level == GROUND:
        # As a partition of its own what is lowest costs a tenth more crossings.
        options["elk.layered.layering.layerConstraint"] = "LAST"
    if free:
        options |= {
            "elk.portAlignment.default": "BEGIN",
            "elk.spacing.portsSurrounding": f"[top=0,left={EDGE_MM * UNITS_PER_MM},bottom=0,right=0]",
        }
    ports = []
    for port in item.ports:
        made: dict[str, Any] = {
            "id": names[item.key, port.key],
            "width": 0,
            "height": 0,
            "layoutOptions": {"elk.port.side": _SIDES[port.side]},
        }
        if port.x_mm is not None:
            made |= {"x": round(port.x_mm * UNITS_PER_MM, 1), "y": round(port.y_mm * UNITS_PER_MM, 1)}
        ports.append(made)
    return {
        "id": names[item.key, ""],
        "width": round(item.width_mm * UNITS_PER_MM, 1),
        "height": round(item.height_mm * UNITS_PER_MM, 1),
        "layoutOptions": options,
        "ports": ports,
    }


def _read(plan: Plan, graph: Mapping[str, Any]) -> Placed:
    corners: dict[str, Spot] = {}
    ports: dict[tuple[str, str], Spot] = {}
    for item, node in zip(plan.items.values(), graph["children"], strict=True):
        x, y = node["x"], node["y"]
        corners[item.key] = (_mm(x), _mm(y))
        for port, put in zip(item.ports, node.get("ports", ()), strict=True):
            ports[item.key, port.key] = (_mm(x + put["x"]), _mm(y + put["y"]))
    ways: dict[str, tuple[Spot, ...]] = {}
    for run, edge in zip(plan.runs, graph["edges"], strict=True):
        sections: list[Any] = edge.get("sections") or []
        if len(sections) != 1:
            raise LayoutError(f"the line {run.key} has {len(sections)} pieces")
        section = sections[0]
        spots = [section["startPoint"], *section.get("bendPoints", ()), section["endPoint"]]
        line = [(_mm(spot["x"]), _mm(spot["y"])) for spot in spots]
        ways[run.key] = _ended(line, ports[run.start], ports[run.end])
    placed = Placed(_mm(graph["width"]), _mm(graph["height"]), corners, ports, MappingProxyType(ways))
    _hold(plan, placed)
    return placed


def _mm(value: float) -> float:
    return round(float(value) / UNITS_PER_MM, 2)


def _ended(line: list[Spot], start: Spot, end: Spot) -> tuple[Spot, ...]:
    """The line from exactly its start to exactly its end, its corners square, without those that are none."""
    spots = [_drawn_to(spot, (start, end)) for spot in line]
    spots[0], spots[-1] = start, end
    for at in range(1, len(spots) - 1):
        x, y = spots[at]
        before = spots[at - 1]
        if abs(x - before[0]) <= CLOSE_MM:
            spots[at] = (before[0], y)
        elif abs(y - before[1]) <= CLOSE_MM:
            spots[at] = (x, before[1])
    return straightened(spots)


def _drawn_to(spot: Spot, ends: tuple[Spot, Spot]) -> Spot:
    x, y = spot
    for end in ends:
        x = end[0] if abs(x - end[0]) <= CLOSE_MM else x
        y = end[1] if abs(y - end[1]) <= CLOSE_MM else y
    return (x, y)


def straightened(spots: list[Spot]) -> tuple[Spot, ...]:
    """A line without corners on the way straight on, and without the same spot twice in a row."""
    kept: list[Spot] = []
    for spot in spots:
        if kept and kept[-1] == spot:
            continue
        if len(kept) > 1 and (kept[-2][0] == kept[-1][0] == spot[0] or kept[-2][1] == kept[-1][1] == spot[1]):
            kept[-1] = spot
            continue
        kept.append(spot)
    return tuple(kept)


def _hold(plan: Plan, placed: Placed) -> None:
    """Raises LayoutError unless all items are apart, all lines are square and end at their ports."""
    boxes = [(item.key, *placed.corners[item.key], item.width_mm, item.height_mm) for item in plan.items.values()]
    for at, (one, x, y, wide, high) in enumerate(boxes):
        for two, left, top, across, down in boxes[at + 1 :]:
            if x < left + across and left < x + wide and y < top + down and top < y + high:
                raise LayoutError(f"{one} and {two} lie on each other")
    for item in plan.items.values():
        x, y = placed.corners[item.key]
        for port in item.ports:
            left, top = placed.ports[item.key, port.key]
            if port.x_mm is not None and abs(left - x - port.x_mm) + abs(top - y - port.y_mm) > CLOSE_MM:
                raise LayoutError(f"{item.key} {port.key} is not where the symbol has it")
    for run in plan.runs:
        way = placed.ways[run.key]
        if len(way) < 2 or way[0] != placed.ports[run.start] or way[-1] != placed.ports[run.end]:
            raise LayoutError(f"the line {run.key} does not end at its ports")
        for (ax, ay), (bx, by) in pairwise(way):
            if ax != bx and ay != by:
                raise LayoutError(f"the line {run.key} runs aslant")
