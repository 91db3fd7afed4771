"""How much the forecasts of a vehicle keep together of what they worked out, and what goes first."""

from typing import Protocol
from weakref import ReferenceType, ref

from loombench.base.heap import Growing
from loombench.vehicle.condition import Condition

MOST_BYTES = 256e6
"""With the program, the vehicle and the tables of a condition while they are made, up to 0.9 GiB for one of 1,000 wires
(measured)."""


class Keeper(Protocol):
    """Who keeps what was worked out by condition."""

    def drop(self, condition: Condition) -> None:
        """Let go of all that is kept of a condition; it is worked out again when it is asked for."""
        ...


class Room:
    """Room that several keepers share: where it is short, the condition goes that was used longest ago."""

    def __init__(self, most_bytes: float = MOST_BYTES) -> None:
        self.most_bytes = most_bytes
        self.heap = Growing()
        self.dropped = 0
        self._kept: dict[tuple[ReferenceType[Keeper], Condition], float] = {}
        self._total = 0.0

    @property
    def kept_bytes(self) -> float:
        """What all of them keep."""
        return self._total

    def use(self, keeper: Keeper, condition: Condition, kept_bytes: float) -> None:
        """A condition is being used, and keeps so much now: it is the last to go. What was kept by a keeper that nobody
        has any more is struck off before anything else goes."""
        key = ref(keeper), condition
        self._total += kept_bytes - self._kept.pop(key, 0.0)
        self._kept[key] = kept_bytes
        if self._total > self.most_bytes:
            for gone in [one for one in self._kept if one[0]() is None]:
                self._total -= self._kept.pop(gone)
        while self._total > self.most_bytes and len(self._kept) > 1:
            first = next(iter(self._kept))
            self._total -= self._kept.pop(first)
            self.dropped += 1
            keeper_there = first[0]()
            if keeper_there is not None:
                keeper_there.drop(first[1])
