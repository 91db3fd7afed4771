"""What was worked out for the last few things that were asked about, by which objects these were."""

from collections.abc import Callable
from typing import Generic, TypeVar

K = TypeVar("K")
V = TypeVar("V")
KEPT = 4
"""The single faults of a vehicle and its pairs take turns, in two kinds of work."""


class Recent(Generic[K, V]):
    """A table for each of the few things asked about last. A thing is some objects; it is the same where each of them
    is, or where they are numbers or words, equal."""

    def __init__(self, kept: int = KEPT) -> None:
        self._kept = kept
        self._known: list[tuple[tuple[object, ...], dict[K, V]]] = []

    def of(self, *things: object) -> dict[K, V]:
        """The table of a thing, empty at first."""
        found = next((table for known, table in self._known if _same(known, things)), None)
        table: dict[K, V] = {} if found is None else found
        others = [one for one in self._known if one[1] is not table]
        self._known = [(things, table), *others][: self._kept]
        return table


def kept(known: dict[K, V], name: K, make: Callable[[], V], most: int, worth: Callable[[V], bool]) -> V:
    """What there is by that name, made where there is nothing, and kept where that is `worth` it; of more than `most`
    what was asked for longest ago is let go."""
    found = known.pop(name) if name in known else make()
    if not worth(found):
        return found
    known[name] = found
    while len(known) > most:
        del known[next(iter(known))]
    return found


def _same(some: tuple[object, ...], others: tuple[object, ...]) -> bool:
    plain = (int, float, str)
    pairs = zip(some, others, strict=True)
    return all(one is other or (isinstance(one, plain) and one == other) for one, other in pairs)
