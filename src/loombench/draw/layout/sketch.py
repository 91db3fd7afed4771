"""Where things would stand, roughly and at once: enough to see where a plan that is too large for a page is cut.

Layers from supply to ground by the longest way down to each thing, in each layer by what it is joined to. No lines are
laid and no engine is asked.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed, Spacing, Spot
from loombench.draw.layout.items import GROUND, SUPPLY, Plan

SWEEPS = 6


def sketched(plan: Plan, spacing: Spacing) -> Placed:
    """The sketch of a plan, its corners alone: no ports and no lines."""
    near: dict[str, list[str]] = {key: [] for key in plan.items}
    above: dict[str, list[str]] = {key: [] for key in plan.items}
    for run in plan.runs:
        start, end = run.start[0], run.end[0]
        if start != end:
            near[start].append(end)
            near[end].append(start)
            above[end].append(start)
    rows = _ordered(_rows(plan, above), near)
    corners: dict[str, Spot] = {}
    y = wide = 0.0
    for row in rows:
        x = 0.0
        for key in row:
            corners[key] = (x, y)
            x += plan.items[key].width_mm + spacing.items
        wide = max(wide, x - spacing.items)
        y += max(plan.items[key].height_mm for key in row) + spacing.layers + spacing.lines
    # Each row in the middle, as what is joined stands below each other.
    for row in rows:
        last = plan.items[row[-1]]
        spare = (wide - corners[row[-1]][0] - last.width_mm) / (len(row) + 1)
        for at, key in enumerate(row, 1):
            corners[key] = (round(corners[key][0] + spare * at, 2), round(corners[key][1], 2))
    none: Mapping[str, tuple[Spot, ...]] = MappingProxyType({})
    return Placed(round(wide, 2), round(y, 2), MappingProxyType(corners), MappingProxyType({}), none)


def _rows(plan: Plan, above: Mapping[str, Sequence[str]]) -> list[list[str]]:
    """The items by layer, each below all that is above it; what goes round in a circle is opened where it is met."""
    layer: dict[str, int] = {}
    for first, item in plan.items.items():
        way = {first: iter(above[first])} if item.level != GROUND and first not in layer else {}
        while way:
            key, rest = next(reversed(way.items()))
            further = next((one for one in rest if one not in layer and one not in way), None)
            if further is not None:
                way[further] = iter(above[further])
            else:
                layer[key] = max((layer[one] + 1 for one in above[key] if one in layer), default=0)
                del way[key]
    lowest = max((layer[key] for key, item in plan.items.items() if item.level != GROUND), default=0) + 1
    for key, item in plan.items.items():
        layer[key] = lowest if item.level == GROUND else 0 if item.level == SUPPLY else layer[key]
    rows: list[list[str]] = [[] for _ in range(lowest + 1)]
    for key in plan.items:
        rows[layer[key]].append(key)
    return [row for row in rows if row]


def _ordered(rows: list[list[str]], near: Mapping[str, Sequence[str]]) -> list[list[str]]:
    """The rows with each thing by the middle of what it is joined to, down and up again a few times."""
    at = {key: (place + 1) / (len(row) + 1) for row in rows for place, key in enumerate(row)}
    for sweep in range(SWEEPS):
        for row in rows if sweep % 2 == 0 else rows[::-1]:
            middle = {key: sum(at[one] for one in near[key]) / len(near[key]) if near[key] else at[key] for key in row}
            row.sort(key=lambda key: middle[key])
            at.update({key: (place + 1) / (len(row) + 1) for place, key in enumerate(row)})
    return rows
