"""Lines combed: what makes a step as small as a slip of the pen runs straight, and two that come nearer to each other
than the eye keeps apart move apart; nothing else changes."""

import itertools
from collections.abc import Iterator, Mapping, Sequence

from loombench.draw.layout.arrange import Spot, straightened
from loombench.draw.layout.labels import Box

STEP_MM = 0.6
"""A step smaller than this looks like a mistake of the drawing: a third of a line's width."""
NEAR_MM = 2.0
"""Nearer to each other two lines look like one: their edges are 1.7 mm wide."""
CLEAR_MM = 2.4
"""What moves stays so far from every other line along it, or as far as it was."""
BESIDE_MM = 0.5
"""Nothing is moved so near beside something solid."""


def combed(
    ways: Mapping[str, Sequence[Spot]], joints: Sequence[Spot], solid: Sequence[Box]
) -> dict[str, tuple[Spot, ...]]:
    """The lines with those pieces moved whose both ends are corners, upright ones sideways, level ones up or down. What
    has a joint on it stays, and nothing is moved into what is solid."""
    made = {key: tuple(way) for key, way in ways.items()}
    for key in ways:
        for at, to in _wanted(made, key):
            near = list(itertools.pairwise(made[key]))[at - 1 : at + 2]
            moved = _moved(made[key], at, to)
            held = any(_touch(one, (joint, joint)) for one in near for joint in joints)
            if not held and _is_better(made, key, at, moved, solid):
                made[key] = straightened(list(moved))
                break
    return made


def _wanted(ways: Mapping[str, tuple[Spot, ...]], key: str) -> Iterator[tuple[int, float]]:
    """Pieces of a line that ought to lie elsewhere, by the number of their first corner, and where."""
    way = ways[key]
    for at in range(1, len(way) - 2):
        step = abs(way[at + 1][0] - way[at][0]) + abs(way[at + 1][1] - way[at][1])
        if step < STEP_MM:
            axis = 0 if way[at][1] == way[at + 1][1] else 1
            if at + 2 < len(way) - 1:
                yield at + 1, way[at][axis]
            if at - 1 > 0:
                yield at - 1, way[at + 1][axis]
    for at in range(1, len(way) - 2):
        axis = 0 if way[at][0] == way[at + 1][0] else 1
        for other in _beside(ways, key, (way[at], way[at + 1]), axis):
            gap = way[at][axis] - other
            if 0.0 < abs(gap) < NEAR_MM:
                yield at, round(other + (CLEAR_MM if gap > 0 else -CLEAR_MM), 2)


def _moved(way: tuple[Spot, ...], at: int, to: float) -> tuple[Spot, ...]:
    one, two = way[at], way[at + 1]
    ends = ((to, one[1]), (to, two[1])) if one[0] == two[0] else ((one[0], to), (two[0], to))
    return (*way[:at], *ends, *way[at + 2 :])


def _is_better(
    ways: Mapping[str, tuple[Spot, ...]], key: str, at: int, moved: tuple[Spot, ...], solid: Sequence[Box]
) -> bool:
    """Whether a piece lies better where it was moved: no nearer to what runs along it, on nothing, crossing as much."""
    piece, before = (moved[at], moved[at + 1]), (ways[key][at], ways[key][at + 1])
    axis = 0 if before[0][0] == before[1][0] else 1
    nearest = min((abs(piece[0][axis] - one) for one in _beside(ways, key, piece, axis)), default=CLEAR_MM)
    was = min((abs(before[0][axis] - one) for one in _beside(ways, key, before, axis)), default=CLEAR_MM)
    if nearest < (CLEAR_MM if was < NEAR_MM else min(CLEAR_MM, was)) - 1e-6:
        return False
    pairs = list(zip(itertools.pairwise(moved), itertools.pairwise(ways[key]), strict=True))[at - 1 : at + 2]
    if any(_enters(new, box) and not _enters(old, box) for new, old in pairs for box in solid):
        return False
    return all(_meetings(moved, other) == _meetings(ways[key], other) for name, other in ways.items() if name != key)


def _beside(ways: Mapping[str, tuple[Spot, ...]], key: str, piece: tuple[Spot, Spot], axis: int) -> Iterator[float]:
    """Where pieces of other lines lie that run along one for a part of its length."""
    along = 1 - axis
    low, high = sorted((piece[0][along], piece[1][along]))
    for name, way in ways.items():
        for one, two in itertools.pairwise(way) if name != key else ():
            if one[axis] != two[axis]:
                continue
            start, end = sorted((one[along], two[along]))
            if min(high, end) - max(low, start) > -NEAR_MM:
                yield one[axis]


def _enters(piece: tuple[Spot, Spot], box: Box) -> bool:
    """Whether a piece runs through a box or so near beside it that it looks like its edge."""
    (ax, ay), (bx, by) = piece
    across = min(ax, bx) < box.x + box.wide + BESIDE_MM and max(ax, bx) > box.x - BESIDE_MM
    return across and min(ay, by) < box.y + box.high and max(ay, by) > box.y


def _meetings(one: Sequence[Spot], two: Sequence[Spot]) -> int:
    """How often two lines cross or touch, each pair of pieces once."""
    return sum(_touch(a, b) for a in itertools.pairwise(one) for b in itertools.pairwise(two))


def _touch(one: tuple[Spot, Spot], two: tuple[Spot, Spot]) -> bool:
    return all(
        max(min(one[0][axis], one[1][axis]), min(two[0][axis], two[1][axis]))
        <= min(max(one[0][axis], one[1][axis]), max(two[0][axis], two[1][axis]))
        for axis in (0, 1)
    )
