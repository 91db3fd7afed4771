"""What repairs have shown: which of them changed what is seen, what is still wrong after them, and the belief by what
was observed since.

A repair that took a complaint away, or changed how a load is wrong, was of something that was wrong: whatever is wrong
still is beside it. From then on it is taken as good, and what was observed since is of the rest alone.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.likelihood import sound_look
from loombench.diagnose.observation import LoadSeen, Observation, Told


def put_right(observations: Sequence[Observation]) -> tuple[str, ...]:
    """The groups that were put right, the first one first."""
    return tuple(dict.fromkeys(group for one in observations for group in one.repaired))


def helped(bench: Bench, observations: Sequence[Observation]) -> tuple[str, ...]:
    """The groups whose repair alone changed what a load was seen to do, on purpose and in the same state, the first one
    first: to what it should, or to something else that it should not."""
    found: dict[str, None] = {}
    for was, one, since in _looked_again(observations):
        if len(since) == 1 and one.seen != was.seen and was.seen != sound_look(bench, was.load, was.condition):
            found.setdefault(since[0])
    return tuple(found)


def _looked_again(observations: Sequence[Observation]) -> Iterator[tuple[LoadSeen, LoadSeen, tuple[str, ...]]]:
    """A look on purpose, the next one at the same load in the same state, and what was put right in between."""
    before: dict[tuple[str, str], LoadSeen] = {}
    for one in observations:
        if isinstance(one, LoadSeen) and one.verified:
            about = (one.load, str(one.condition))
            if about in before:
                yield before[about], one, one.repaired[len(before[about].repaired) :]
            before[about] = one


def still_wrong(bench: Bench, observations: Sequence[Observation]) -> tuple[LoadSeen, ...]:
    """What is not as in the sound vehicle by the last look on purpose since the last repair."""
    last = {(one.load, one.condition): one for one in observations if isinstance(one, LoadSeen) and one.verified}
    most = max((len(one.repaired) for one in last.values()), default=0)
    return tuple(
        one
        for one in last.values()
        if len(one.repaired) == most > 0 and one.seen != sound_look(bench, one.load, one.condition)
    )


def since(belief: Belief, group: str) -> Belief:
    """The belief by what was observed since a group was put right, and by what was told of the vehicle's history; what
    was observed before says nothing.

    `update` of it would weigh everything again.
    """
    kept = [isinstance(one, Told) or group in one.repaired for one in belief.observations]
    some = tuple(one for one, keep in zip(belief.observations, kept, strict=True) if keep)
    found = update(Belief(replace(belief.bench, supply=None)), some)
    of = iter(found.support)
    nothing = np.zeros(len(found.hypotheses.members))
    return replace(
        found, observations=belief.observations, support=tuple(next(of) if keep else nothing for keep in kept)
    )
