"""The same page by the layout engine alone: its parts with their pins where they are drawn, its wires, and no wishes.

What the engine gives without levels, without an order of pins and without what is done afterwards is what a page has to
be better than. Crossings and bends are counted by the same code in both.
"""

import json
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from benchmarks.drawnnets import EXACT_MM, bends, crossings, far
from benchmarks.drawnpage import Drawn, Page, Spot

OPTIONS = MappingProxyType(
    {"elk.algorithm": "layered", "elk.direction": "DOWN", "elk.edgeRouting": "ORTHOGONAL", "elk.randomSeed": "1"}
)

Box = tuple[float, float, float, float]


def plain(page: Page, boxes: Mapping[str, Box], lay: Callable[[str], str]) -> tuple[int, int]:
    """Crossings and bends of the page's wires as the engine lays them by itself.

    `boxes` are the symbols on the page by name; `lay` takes a graph as JSON and gives `{"ok": graph}`.

    Raises:
        ValueError: the engine had no answer.
    """
    answer = json.loads(lay(json.dumps(graph(page, boxes))))
    if "ok" not in answer:
        raise ValueError(answer.get("error"))
    laid = Page(0, 0, wires=tuple(_lines(answer["ok"])))
    return crossings(laid), bends(laid)


def graph(page: Page, boxes: Mapping[str, Box]) -> dict[str, Any]:
    """The page's parts and wires as a graph for the engine."""
    nodes: dict[str, dict[str, Any]] = {}
    spots: list[tuple[Spot, str]] = []
    for part, (x0, y0, x1, y1) in boxes.items():
        fixed = {"elk.portConstraints": "FIXED_POS"}
        nodes[part] = {"id": f"n:{part}", "width": x1 - x0, "height": y1 - y0, "ports": [], "layoutOptions": fixed}
    for number, pin in enumerate(page.pins):
        if pin.symbol in nodes:
            x0, y0, x1, y1 = boxes[pin.symbol]
            across, down = min(max(pin.at[0] - x0, 0), x1 - x0), min(max(pin.at[1] - y0, 0), y1 - y0)
            name = f"p:{number}"
            sides = {"NORTH": down, "SOUTH": y1 - y0 - down, "WEST": across, "EAST": x1 - x0 - across}
            side = {"elk.port.side": min(sides, key=lambda one: sides[one])}
            port = {"id": name, "x": across, "y": down, "width": 0, "height": 0, "layoutOptions": side}
            nodes[pin.symbol]["ports"].append(port)
            spots.append((pin.at, name))
    edges = []
    for number, wire in enumerate(page.wires):
        ends = []
        for end in (wire.points[0], wire.points[-1]):
            name = next((name for at, name in spots if far(at, end) <= EXACT_MM), "")
            if not name:
                name = f"n:at{len(spots)}"
                nodes[name] = {"id": name, "width": 1, "height": 1}
                spots.append((end, name))
            ends.append(name)
        edges.append({"id": f"e{number}", "sources": ends[:1], "targets": ends[1:]})
    return {"id": "root", "layoutOptions": dict(OPTIONS), "children": list(nodes.values()), "edges": edges}


def _lines(laid: Mapping[str, Any]) -> list[Drawn]:
    lines = []
    for edge in laid["edges"]:
        for section in edge.get("sections", ()):
            corners = [section["startPoint"], *section.get("bendPoints", ()), section["endPoint"]]
            lines.append(Drawn(tuple((corner["x"], corner["y"]) for corner in corners), edge["id"]))
    return lines
