"""An arrangement with more room between its layers, as far as the paper goes: nothing changes sides or order.

Readings stand at both ends of a wire beside its words, and short wires show more of their colour. The engine is not
asked again: between two layers everything below moves down.
"""

import math
from collections.abc import Iterable
from dataclasses import replace
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed, Spot
from loombench.draw.layout.items import Plan

MOST_MM = 6.0
"""So much more between two layers leaves room for a reading at both ends of a wire and for its words."""
LEAST_MM = 0.5
EDGE_MM = 0.25
"""So far from an item a gap is opened: its own ports move with it."""


def stretched(plan: Plan, placed: Placed, height_mm: float) -> Placed:
    """The arrangement at most so high, each gap between layers by the same; as it is where there is no room."""
    gaps = _gaps((placed.corners[item.key][1], item.height_mm) for item in plan.items.values())
    more = min(MOST_MM, (height_mm - placed.height_mm) / len(gaps)) if gaps else 0.0
    if more < LEAST_MM:
        return placed
    # Half of it at either edge: lines that run across between the layers stay together in the middle.
    half = math.floor(more * 50.0) / 100.0
    cuts = [edge for gap in gaps for edge in gap]

    def down(y: float) -> float:
        return round(y + half * sum(edge < y for edge in cuts), 2)

    def put(spot: Spot) -> Spot:
        return (spot[0], down(spot[1]))

    return replace(
        placed,
        height_mm=down(placed.height_mm),
        corners=MappingProxyType({key: put(spot) for key, spot in placed.corners.items()}),
        ports=MappingProxyType({key: put(spot) for key, spot in placed.ports.items()}),
        ways=MappingProxyType({key: tuple(put(spot) for spot in way) for key, way in placed.ways.items()}),
    )


def _gaps(extents: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Between what heights nothing stands, from a little below what is above to a little above what is below."""
    found: list[tuple[float, float]] = []
    reach = None
    for top, high in sorted(extents):
        if reach is not None and top - reach > 2 * EDGE_MM:
            found.append((reach + EDGE_MM, top - EDGE_MM))
        reach = max(top + high, reach if reach is not None else top + high)
    return found
