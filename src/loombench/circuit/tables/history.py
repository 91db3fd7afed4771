"""Conditions followed solve by solve, and which faults go through one alike.

Whatever a network's agents do on the way, they do because of yes-or-no questions (`signature`) and, where fuses have
more than they hold, because of which opens first. A fault under which every solve answers alike has the same history,
so its end is the same state with its own volts. Those that answer otherwise somewhere are handed back, sorted by where
and how, for one of each to be replayed and the others to follow that one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loombench.circuit.tables.base import Forced
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.stop import HELD, NO_ANSWER, Answer, Row, Stop, look_together


@dataclass(frozen=True, eq=False)
class Step:
    """One solve on the way, and what agents saw in it."""

    stop: Stop
    answer: Answer


Parted = dict[tuple[int, Answer, Forced], list[int]]
"""Rows that leave a trail, by where they do, what is seen there, and what they hold."""


@dataclass(frozen=True, eq=False)
class Trail:
    """The solves of a condition in order; `ends` those of its phases with their places along the settled phases.
    `held` are variables that are held all along."""

    steps: tuple[Step, ...]
    ends: tuple[int, ...]
    held: Forced

    def ended(self) -> "Trail":
        """What says where the trail ends and which fuses open on it; it cannot be followed any more."""
        kept = sorted({*self.ends, *(k for k, step in enumerate(self.steps) if step.answer[1])})
        return Trail(tuple(self.steps[k] for k in kept), tuple(kept.index(end) for end in self.ends), self.held)

    def forced(self, change: Change) -> Forced:
        """What a row holds beyond what the trail does."""
        return tuple(sorted(set(change.held.items()) - set(self.held)))

    def _may_follow(self, change: Change) -> bool:
        """Whether nothing that agents look at is held otherwise than it is all along."""
        if not change.watched:
            return True
        return all(step.stop.is_at(name, state) for step in self.steps for name, state in change.held.items())

    def may_follow(self, changes: Mapping[int, Change]) -> list[Row]:
        """The rows that go through alike as long as they are seen to."""
        return [(row, change, self.forced(change)) for row, change in changes.items() if self._may_follow(change)]


def follow(trails: Sequence[tuple[Trail, Mapping[int, Change]]]) -> list[tuple[list[int], Parted]]:
    """For each trail the rows, of those given with it, that go through alike, and the others."""
    left = [trail.may_follow(changes) for trail, changes in trails]
    parted: list[Parted] = [{} for _ in trails]
    for apart_here, along, (trail, changes) in zip(parted, left, trails, strict=True):
        follows = {row for row, _, _ in along}
        for row, change in changes.items():
            if row not in follows and not trail.held:
                apart_here.setdefault((0, HELD, tuple(sorted(change.held.items()))), []).append(row)
    for number in range(max((len(trail.steps) for trail, _ in trails), default=0)):
        going = [k for k, (trail, _) in enumerate(trails) if number < len(trail.steps) and left[k]]
        look_together([(trails[k][0].steps[number].stop, left[k]) for k in going])
        for k in going:
            step, alike = trails[k][0].steps[number], []
            for one, answer in zip(left[k], step.stop.answers(left[k]), strict=True):
                if answer == step.answer != NO_ANSWER:
                    alike.append(one)
                else:
                    held = tuple(sorted(one[1].held.items()))
                    parted[k].setdefault((number, answer, held), []).append(one[0])
            left[k] = alike
    return [([row for row, _, _ in some], own) for some, own in zip(left, parted, strict=True)]
