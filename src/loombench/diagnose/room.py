"""How much the forecasts of a vehicle keep together of what they worked out, and what goes first."""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Protocol
from weakref import ReferenceType, ref

from loombench.base.heap import Growing
from loombench.vehicle.condition import Condition

MOST_BYTES = 256e6
"""With the program, the vehicle and the tables of a condition while they are made, up to 1.1 GiB for one of 1,000 wires
whose cases are also worked ahead (measured)."""
LAST_TURNS = 3
"""What was used for one of so many steps before this one is likely to be wanted for the next: each is about the
complaint's state, and most about one that was looked at just before."""


class Keeper(Protocol):
    """Who keeps what was worked out by condition."""

    def drop(self, condition: Condition) -> None:
        """Let go of all that is kept of a condition; it is worked out again when it is asked for."""
        ...


@dataclass(frozen=True)
class _Kept:
    """What is kept of a condition, the turn in which it was used last, and the pass ahead of time in which it was."""

    kept_bytes: float
    turn: float = -math.inf
    ahead: int = 0


class Room:
    """Room that several keepers share: where it is short, the condition goes that was used longest ago, what was used
    lately last. Nothing of that goes for what is worked out ahead: then the room `is_short`.

    A turn is what is asked for between working ahead and working ahead, however often that is broken off.
    """

    def __init__(self, most_bytes: float = MOST_BYTES) -> None:
        self.most_bytes = most_bytes
        self.heap = Growing()
        self.dropped = 0
        self.is_short = False
        self._is_ahead = self._was_ahead = False
        self._turn = self._pass = 0
        self._kept: dict[tuple[ReferenceType[Keeper], Condition], _Kept] = {}
        self._total = 0.0

    @property
    def kept_bytes(self) -> float:
        """What all of them keep."""
        return self._total

    @contextmanager
    def ahead(self) -> Iterator[None]:
        """What is used in the block is used ahead of time."""
        self._pass += 1
        self._is_ahead = True
        try:
            yield
        finally:
            self._is_ahead = self.is_short = False
            self._was_ahead = True

    def use(self, keeper: Keeper, condition: Condition, kept_bytes: float) -> None:
        """A condition is being used, and keeps so much now: it is the last to go. What was kept by a keeper that nobody
        has any more is struck off before anything else goes."""
        if self._was_ahead and not self._is_ahead:
            self._turn += 1
            self._was_ahead = False
        key = ref(keeper), condition
        before = self._kept.pop(key, _Kept(0.0))
        self._total += kept_bytes - before.kept_bytes
        now = replace(before, ahead=self._pass) if self._is_ahead else replace(before, turn=self._turn)
        self._kept[key] = replace(now, kept_bytes=kept_bytes)
        if self._total > self.most_bytes:
            for gone in [one for one in self._kept if one[0]() is None]:
                self._total -= self._kept.pop(gone).kept_bytes
        while self._total > self.most_bytes and len(self._kept) > 1:
            *others, _ = self._kept
            first = next((one for one in others if not self._is_lately(self._kept[one])), None)
            if first is None and self._is_ahead:
                self.is_short = True
                return
            self._drop(first or others[0])

    def _is_lately(self, one: _Kept) -> bool:
        """Whether something was used in the last turns, or in the pass ahead of time that goes on or was the last."""
        return one.turn >= self._turn - LAST_TURNS or (one.ahead == self._pass > 0)

    def _drop(self, gone: tuple[ReferenceType[Keeper], Condition]) -> None:
        self._total -= self._kept.pop(gone).kept_bytes
        self.dropped += 1
        keeper = gone[0]()
        if keeper is not None:
            keeper.drop(gone[1])
