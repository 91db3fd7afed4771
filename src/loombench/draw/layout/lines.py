"""Lines as they are drawn: into rails up to their bars, from a fork along to its pin, and where several leave one pin
together the others end on the first one under a dot, so that none lies on another."""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed, Spot, straightened
from loombench.draw.layout.items import RAIL, Plan
from loombench.draw.layout.rails import meets_mm


@dataclass(frozen=True)
class Drawn:
    """The corners of each run as drawn, and the dots where lines meet."""

    ways: Mapping[str, tuple[Spot, ...]]
    joints: tuple[Spot, ...]


def drawn(plan: Plan, placed: Placed) -> Drawn:
    """The lines as they are drawn: up to the bars of rails, and apart from each other."""
    ways = {run.key: _to_bars(plan, placed, run.start, run.end, placed.ways[run.key]) for run in plan.runs}
    users: dict[tuple[str, str], list[str]] = {}
    for run in plan.runs:
        for end in (run.start, run.end):
            users.setdefault(end, []).append(run.key)
    starts = {run.key: run.start for run in plan.runs}
    joints: list[Spot] = []
    for port, keys in users.items():
        kept: list[tuple[Spot, ...]] = []
        # The longest one first keeps its whole line.
        for key in sorted(keys, key=lambda one: (-_length(ways[one]), one)) if len(keys) > 1 else ():
            way = ways[key] if starts[key] == port else ways[key][::-1]
            rest, met = _left_over(way, kept)
            if met is not None and len(rest) > 1:
                joints.append(met)
            if len(rest) > 1:
                ways[key] = rest if starts[key] == port else rest[::-1]
            kept.append(way)
    joints += [
        placed.ports[item.key, port.fork_of] for item in plan.items.values() for port in item.ports if port.fork_of
    ]
    return Drawn(MappingProxyType(ways), tuple(dict.fromkeys(joints)))


def _length(way: Sequence[Spot]) -> float:
    return sum(abs(bx - ax) + abs(by - ay) for (ax, ay), (bx, by) in itertools.pairwise(way))


def _to_bars(
    plan: Plan, placed: Placed, start: tuple[str, str], end: tuple[str, str], way: tuple[Spot, ...]
) -> tuple[Spot, ...]:
    """The line lengthened into the rails it ends at, up to their bars."""
    first = _goes_on(plan, placed, start, way[0])
    last = _goes_on(plan, placed, end, way[-1])
    return straightened([*first, *way, *last])


def _goes_on(plan: Plan, placed: Placed, end: tuple[str, str], spot: Spot) -> list[Spot]:
    """Where a line goes on to inside an item: the bar of a rail, or the pin that it stands beside."""
    item = plan.items[end[0]]
    port = next(one for one in item.ports if one.key == end[1])
    if item.sort == RAIL:
        return [(spot[0], round(placed.corners[item.key][1] + meets_mm(item, port.side), 2))]
    return [placed.ports[item.key, port.fork_of]] if port.fork_of else []


def _left_over(way: tuple[Spot, ...], kept: Iterable[tuple[Spot, ...]]) -> tuple[tuple[Spot, ...], Spot | None]:
    """What of a line does not lie on those kept, from the spot where it leaves them; that spot, None at the start."""
    lines = list(kept)
    leaves, index = way[0], 0
    for at, (one, two) in enumerate(itertools.pairwise(way)):
        reach = max((_along(one, two, line) for line in lines), default=0.0)
        if reach <= 0.0:
            break
        length = abs(two[0] - one[0]) + abs(two[1] - one[1])
        if reach < length - 1e-6:
            share = reach / length
            leaves = (round(one[0] + share * (two[0] - one[0]), 2), round(one[1] + share * (two[1] - one[1]), 2))
            index = at
            break
        leaves, index = two, at + 1
    if leaves == way[0]:
        return way, None
    return straightened([leaves, *way[index + 1 :]]), leaves


def _along(one: Spot, two: Spot, line: tuple[Spot, ...]) -> float:
    """How far from `one` towards `two` a line runs along, in mm."""
    best = 0.0
    for a, b in itertools.pairwise(line):
        for axis in (0, 1):
            other = 1 - axis
            if not (one[other] == two[other] == a[other] == b[other]) or one[axis] == two[axis]:
                continue
            low, high = sorted((a[axis], b[axis]))
            if low - 1e-6 <= one[axis] <= high + 1e-6:
                end = min(two[axis], high) if two[axis] > one[axis] else max(two[axis], low)
                best = max(best, abs(end - one[axis]))
    return best
