"""Straight-line and log-log interpolation in a table, without going past its ends."""

import math
from bisect import bisect_right
from collections.abc import Sequence

Point = tuple[float, float]


def linear(points: Sequence[Point], x: float) -> float:
    """The value at `x` on the line through `points` (sorted by x, all x different); held constant past the ends."""
    if x <= points[0][0]:
        return points[0][1]
    if x >= points[-1][0]:
        return points[-1][1]
    upper = bisect_right(points, x, key=lambda point: point[0])
    (x0, y0), (x1, y1) = points[upper - 1], points[upper]
    return y0 if x == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def log_log(points: Sequence[Point], x: float) -> float:
    """As `linear`, on logarithmic axes: all x and y of `points`, and `x`, are above zero. Exact at the points."""
    for known_x, known_y in points:
        if x == known_x:
            return known_y
    return math.exp(linear([(math.log(px), math.log(py)) for px, py in points], math.log(x)))
