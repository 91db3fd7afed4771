"""What would come after each answer, worked out while the person is still measuring.

Only what costs time is kept: the forecast remembers the states it has solved. Nothing of the trial reaches the case.
"""

import heapq
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.finding import answer, next_step
from loombench.diagnose.answers import likely_answers
from loombench.diagnose.piecewise import Between, in_pieces
from loombench.record.trial import TrialStore
from loombench.vehicle.condition import Condition

ROWS_AT_ONCE = 96
"""So many rows are worked out before it is asked again whether to go on: those that go ways of their own are worked out
side by side, so that fewer at once take longer in all. On the largest vehicle it was left within a tenth of a second
(of 16 at once the answers of a look that takes five seconds were not ready in time)."""
DEPTH = 2
"""So many answers from now are followed: the steps shown in grey on a card are those after its answers."""
LEAST = 0.03
"""Answers farther on than the next that are less likely than this, from now, are not followed."""


class StoppedError(Exception):
    """The person has answered."""


def left_when(stopped: Callable[[], bool]) -> Between:
    """What stands between two pieces of a long question, and raises `StoppedError` where `stopped` says so."""

    def between(condition: Condition, done: int, of: int) -> None:  # noqa: ARG001
        if stopped():
            raise StoppedError

    return between


def look_ahead(case: Case, card: StepCard, stopped: Callable[[], bool]) -> int:
    """How many answers were followed to the next card before `stopped` said to leave it, or more would have taken the
    room of what the case itself stands on: first those of this card, the likeliest first, then those of the cards that
    they lead to."""
    room = case.bench.room

    def left() -> bool:
        return room.is_short or stopped()

    trial = replace(case, bench=in_pieces(case.bench, left_when(left), ROWS_AT_ONCE), store=TrialStore())
    time = case.events[-1].time
    followed = 0
    with room.ahead(), suppress(StoppedError):
        waiting = _answers(trial, card, 1, 1.0)
        while waiting and not left():
            one = heapq.heappop(waiting)
            after = answer(one.case, one.step, one.value, time)
            then = next_step(after)
            followed += 1
            if then is not None and one.depth < DEPTH:
                for more in _answers(after, then, one.depth + 1, one.chance):
                    heapq.heappush(waiting, more)
    return followed


@dataclass(frozen=True, eq=False)
class _Answer:
    """An answer to a step that is on offer in a case, `depth` answers from now, and how likely all of these are."""

    case: Case
    step: str
    value: float | str
    depth: int
    chance: float
    turn: int

    def __lt__(self, other: "_Answer") -> bool:
        return (self.depth, -self.chance, self.turn) < (other.depth, -other.chance, other.turn)


def _answers(case: Case, card: StepCard, depth: int, chance: float) -> list[_Answer]:
    """The answers to a card, likeliest first."""
    found = likely_answers(case.belief, case.course.situation, case.offered(card.id))
    return [
        _Answer(case, card.id, value, depth, chance * own, turn)
        for turn, (value, own) in enumerate(found)
        if depth == 1 or chance * own >= LEAST
    ]
