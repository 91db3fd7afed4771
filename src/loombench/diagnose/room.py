"""How much the forecasts of a vehicle keep together of what they worked out, and what goes first."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Protocol
from weakref import ReferenceType, ref

from loombench.base.heap import Growing
from loombench.vehicle.condition import Condition

MOST_BYTES = 256e6
"""With the program, the vehicle and the tables of a condition while they are made, up to 0.9 GiB for one of 1,000 wires
(measured)."""
LAST_TURNS = 3
"""What was used since so many steps ago is likely to be wanted for the next one: each is about the complaint's state,
and most about one that was looked at just before."""


class Keeper(Protocol):
    """Who keeps what was worked out by condition."""

    def drop(self, condition: Condition) -> None:
        """Let go of all that is kept of a condition; it is worked out again when it is asked for."""
        ...


@dataclass(frozen=True)
class _Kept:
    """What is kept of a condition, and the turn in which it was used last other than ahead of time."""

    kept_bytes: float
    turn: float = -float("inf")


class Room:
    """Room that several keepers share: where it is short, the condition goes that was used longest ago, what was used
    lately last. While somebody works ahead that stays whatever comes: then the room `is_short`."""

    def __init__(self, most_bytes: float = MOST_BYTES) -> None:
        self.most_bytes = most_bytes
        self.heap = Growing()
        self.dropped = 0
        self.is_short = False
        self._ahead = False
        self._turn = 0
        self._kept: dict[tuple[ReferenceType[Keeper], Condition], _Kept] = {}
        self._total = 0.0

    @property
    def kept_bytes(self) -> float:
        """What all of them keep."""
        return self._total

    @contextmanager
    def ahead(self) -> Iterator[None]:
        """What is used in the block is used ahead of time. A turn ends before it."""
        self._turn += 1
        self._ahead = True
        try:
            yield
        finally:
            self._ahead = self.is_short = False

    def use(self, keeper: Keeper, condition: Condition, kept_bytes: float) -> None:
        """A condition is being used, and keeps so much now: it is the last to go. What was kept by a keeper that nobody
        has any more is struck off before anything else goes."""
        key = ref(keeper), condition
        before = self._kept.pop(key, _Kept(0.0))
        self._total += kept_bytes - before.kept_bytes
        self._kept[key] = _Kept(kept_bytes, before.turn if self._ahead else self._turn)
        if self._total > self.most_bytes:
            for gone in [one for one in self._kept if one[0]() is None]:
                self._total -= self._kept.pop(gone).kept_bytes
        while self._total > self.most_bytes and len(self._kept) > 1:
            *others, _ = self._kept
            old = (one for one in others if self._kept[one].turn < self._turn - LAST_TURNS)
            first = next(old, None if self._ahead else others[0])
            if first is None:
                self.is_short = True
                return
            self._total -= self._kept.pop(first).kept_bytes
            self.dropped += 1
            keeper_there = first[0]()
            if keeper_there is not None:
                keeper_there.drop(first[1])
