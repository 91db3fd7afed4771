"""Lines as they are drawn: into rails up to their bars, from a fork along to its pin, and where several leave one pin
together the others end on the first one under a dot, so that none lies on another."""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed, Spot, straightened
from loombench.draw.layout.items import RAIL, Plan, Run
from loombench.draw.layout.rails import meets_mm

CLEAR_MM = 2.0
"""Nearer to each other two lines are hard to tell apart."""


@dataclass(frozen=True)
class Drawn:
    """The corners of each run as drawn, and the dots where lines meet."""

    ways: Mapping[str, tuple[Spot, ...]]
    joints: tuple[Spot, ...]


def drawn(plan: Plan, placed: Placed) -> Drawn:
    """The lines as they are drawn: up to the bars of rails, and apart from each other."""
    laid = exchanged(plan, placed)
    ways = {run.key: _to_bars(plan, placed, run.start, run.end, laid[run.key]) for run in plan.runs}
    users: dict[tuple[str, str], list[str]] = {}
    for run in plan.runs:
        for end in (run.start, run.end):
            users.setdefault(_pin(plan, end), []).append(run.key)
    starts = {run.key: _pin(plan, run.start) for run in plan.runs}
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


def _pin(plan: Plan, end: tuple[str, str]) -> tuple[str, str]:
    """The pin that a line leads to in the end: a fork's is the one it stands beside."""
    port = next(one for one in plan.items[end[0]].ports if one.key == end[1])
    return (end[0], port.fork_of or port.key)


def exchanged(plan: Plan, placed: Placed) -> dict[str, tuple[Spot, ...]]:
    """The lines as they were laid, but two that leave a pin and its fork and cross change places there: both lead to
    the pin, so it is all one which of them stands at the fork."""
    ways = dict(placed.ways)
    at = {end: run for run in plan.runs for end in (run.start, run.end)}
    done: set[tuple[str, str]] = set()
    for item in plan.items.values():
        for port in item.ports:
            pin, fork = (item.key, port.fork_of), (item.key, port.key)
            if not port.fork_of or pin in done or pin not in at or fork not in at:
                continue
            one, two = _from(ways, at[pin], pin), _from(ways, at[fork], fork)
            if at[pin] == at[fork] or len(one) < 3 or len(two) < 3 or not _meet(one, two):
                continue
            new_one, new_two = _beginning(one, placed.ports[fork]), _beginning(two, placed.ports[pin])
            own = {at[pin].key, at[fork].key}
            if _meet(new_one, new_two) or any(_blocked(plan, placed, way, own, item.key) for way in (new_one, new_two)):
                continue
            done.add(pin)
            whole_one = straightened([placed.ports[pin], *new_one])
            ways[at[pin].key] = whole_one if at[pin].start == pin else whole_one[::-1]
            ways[at[fork].key] = new_two if at[fork].start == fork else new_two[::-1]
    return ways


def _from(ways: Mapping[str, tuple[Spot, ...]], run: Run, end: tuple[str, str]) -> tuple[Spot, ...]:
    """The line of a run as it leaves one of its ends."""
    return ways[run.key] if run.start == end else ways[run.key][::-1]


def _beginning(way: tuple[Spot, ...], start: Spot) -> tuple[Spot, ...]:
    """The line from a start beside its own: its first piece, which is upright, moves over."""
    return straightened([start, (start[0], way[1][1]), *way[2:]])


def _meet(one: tuple[Spot, ...], two: tuple[Spot, ...]) -> bool:
    """Whether two lines cross or touch."""
    return any(_near(a, b, 0.0) for a in itertools.pairwise(one) for b in itertools.pairwise(two))


def _near(one: tuple[Spot, Spot], two: tuple[Spot, Spot], by_mm: float) -> bool:
    """Whether the rectangles around two pieces come within so much of each other."""
    return all(
        max(min(one[0][axis], one[1][axis]), min(two[0][axis], two[1][axis])) - by_mm
        <= min(max(one[0][axis], one[1][axis]), max(two[0][axis], two[1][axis]))
        for axis in (0, 1)
    )


def _blocked(plan: Plan, placed: Placed, way: tuple[Spot, ...], own: set[str], item: str) -> bool:
    """Whether the first piece of a line would lie along another line or on another item."""
    first = (way[0], way[1])
    others = (piece for key, other in placed.ways.items() if key not in own for piece in itertools.pairwise(other))
    if any(piece[0][0] == piece[1][0] and _near(first, piece, CLEAR_MM) for piece in others):
        return True
    for one in plan.items.values():
        x, y = placed.corners[one.key]
        if one.key != item and _near(first, ((x, y), (x + one.width_mm, y + one.height_mm)), 0.5):
            return True
    return False


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
