"""The name nearest to one that is not known, to offer it; nothing is ever replaced in silence."""

from collections.abc import Iterable

NONE = "none"
LONGEST = 40
"""Longer names are not compared: the work grows with the square of the length."""


def distance(one: str, two: str, limit: int) -> int:
    """Edits (insert, delete, replace, swap of neighbours) from one to the other; above `limit` it may stop short."""
    if abs(len(one) - len(two)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(two) + 1))
    for i, a in enumerate(one, 1):
        last, before, row = before, row, [i]
        for j, b in enumerate(two, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (a != b))
            if i > 1 and j > 1 and a == two[j - 2] and one[i - 2] == b:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
        if min(row) > limit:
            return limit + 1
    return row[-1]


def nearest(name: str, names: Iterable[str]) -> str:
    """The closest of `names`, the first of equals; `NONE` where all are farther than half the name's length."""
    wanted = name.casefold()
    if len(wanted) > LONGEST:
        return NONE
    best, limit = NONE, max(1, len(wanted) // 2)
    for other in names:
        if len(other) > LONGEST:
            continue
        steps = distance(wanted, other.casefold(), limit)
        if steps <= limit:
            best, limit = other, steps - 1
            if limit < 0:
                break
    return best
