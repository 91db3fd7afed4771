"""A plan too large for one page broken in two, where the fewest lines are cut; each cut line ends in a join on both."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed
from loombench.draw.layout.items import GROUND, JOIN, RAIL, SUPPLY, Item, Plan, Port, Run
from loombench.draw.shapes import BOTTOM, TOP

WIDTH_MM, HEIGHT_MM, PORT_MM = 20.0, 5.0, 2.5
SEARCH = 0.3
"""How far before the wanted place a cut may lie, as a share of the whole."""
LEAST_ITEMS = 4
"""A piece with fewer things on it, or less than a quarter of all, is hardly worth a look."""


def halves(plan: Plan, placed: Placed, across: bool, at: float = 0.5) -> tuple[Plan, Plan] | None:
    """The plan cut near the share `at` of its height, or of its width if `across`; None where it cannot be cut.

    A ground stud stands on both sides with the wires of each: its name says that it is one stud.
    """
    own = [
        item for item in plan.items.values() if item.sort != JOIN and not (item.sort == RAIL and item.level == GROUND)
    ]
    if len(own) < 2:
        return None
    middle = {item.key: _middle(item, placed, across) for item in own}
    whole = placed.width_mm if across else placed.height_mm
    best = min(
        _cuts(sorted(middle.values())),
        key=lambda cut: (_cost(plan, middle, cut, whole, at), cut),
        default=None,
    )
    if best is None:
        return None
    above = {key for key, value in middle.items() if value < best}
    first = _settled(plan, above, set(middle))
    if not first or first == set(middle):
        first = above
    return _part(plan, first, set(middle) - first), _part(plan, set(middle) - first, first)


def _middle(item: Item, placed: Placed, across: bool) -> float:
    x, y = placed.corners[item.key]
    return round(x + item.width_mm / 2 if across else y + item.height_mm / 2, 2)


def _cuts(values: list[float]) -> Iterator[float]:
    for one, two in pairwise(values):
        if two > one:
            yield round((one + two) / 2, 3)


def _cost(plan: Plan, middle: Mapping[str, float], cut: float, whole: float, at: float) -> float:
    """The lines cut, and how far before the wanted share the cut lies; beyond it or far before it counts for all."""
    crossing = sum(
        (middle[run.start[0]] < cut) != (middle[run.end[0]] < cut)
        for run in plan.runs
        if run.start[0] in middle and run.end[0] in middle
    )
    off = at - cut / whole if whole else 0.0
    far = 1000.0 * -off if off < 0 else 1000.0 * off if off > SEARCH else 0.0
    few = min(sum(value < cut for value in middle.values()), sum(value > cut for value in middle.values()))
    least = max(LEAST_ITEMS, len(middle) / 4)
    return crossing + 10.0 * abs(off) + far + (2000.0 if few < least else 0.0)


def _settled(plan: Plan, first: set[str], every: set[str]) -> set[str]:
    """The first side, after what has all its lines cut has gone over to where they lead, a few times over."""
    near: dict[str, list[str]] = {key: [] for key in every}
    for run in plan.runs:
        one, two = run.start[0], run.end[0]
        if one in every and two in every:
            near[one].append(two)
            near[two].append(one)
    kept = set(first)
    for _ in range(3):
        lost = [key for key in plan.items if near.get(key) and all((two in kept) != (key in kept) for two in near[key])]
        if not lost:
            break
        kept ^= {lost[0]}
    return kept


def _part(plan: Plan, mine: set[str], theirs: set[str]) -> Plan:
    """One side: its items, studs and joins that lines of theirs lead to, and a join for each line to the other side."""
    items = {key: item for key, item in plan.items.items() if key in mine}
    runs: list[Run] = []
    for run in plan.runs:
        ends = (run.start[0], run.end[0])
        loose = [key for key in ends if key not in mine and key not in theirs]
        if all(key in mine or key in loose for key in ends):
            # Between two studs or joins alone a line stays on the first side.
            if len(loose) < 2 or run.start[0] < run.end[0]:
                runs.append(run)
                items.update({key: plan.items[key] for key in loose})
        elif any(key in mine for key in ends) and any(key in theirs for key in ends):
            made = _join(run, below=run.start[0] in mine)
            items[made.key] = made
            mark = (made.key, made.ports[0].key)
            runs.append(replace(run, end=mark) if run.start[0] in mine else replace(run, start=mark))
    used = {end for run in runs for end in (run.start, run.end)}
    items = {key: _without_unused(item, used) for key, item in items.items()}
    return Plan(MappingProxyType(items), tuple(runs))


def _join(run: Run, below: bool) -> Item:
    """Where a line leaves the page, at its foot or at its head."""
    key = f"join>{run.key}"
    port = Port(key, f"join:{run.key}", TOP if below else BOTTOM, PORT_MM, 0.0 if below else HEIGHT_MM)
    return Item(key, run.key, JOIN, JOIN, WIDTH_MM, HEIGHT_MM, (port,), GROUND if below else SUPPLY)


def _without_unused(item: Item, used: set[tuple[str, str]]) -> Item:
    """A rail keeps the places of the lines that are still there; everything else keeps its pins."""
    if item.sort != RAIL:
        return item
    return replace(item, ports=tuple(port for port in item.ports if (item.key, port.key) in used))
