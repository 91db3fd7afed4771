"""A complaint: what someone says a part does, or does not do, and when. Also what is said to work."""

from dataclasses import dataclass

from loombench.vehicle.condition import Condition

SYMPTOMS = (
    "dead", "dim", "slow", "always-on", "works", "blows-fuse",
    "glows", "joins-in", "pulsing", "quick", "steady", "one-way", "backwards", "wrong-place",
    "cuts-out",
    "blows-at-once", "blows-later", "flat", "in-doubt",
)  # fmt: skip
"""dead: does nothing though it should; dim, slow: does less than it should; always-on: does something though it should
not; works: does what it should; blows-fuse: the fuse `target` blows, blows-at-once and blows-later: when it does.
glows: gives a little though it should be off; joins-in: does something when another works; pulsing: comes and goes by
itself; quick: flashes faster than it should; steady: does not flash though it should; one-way: turns in the other
direction alone; backwards: turns the wrong way; wrong-place: does not stop where it should; cuts-out: works a
while, then stops by itself; flat: the battery `target`
is flat; in-doubt: nothing is known, it is to be looked at."""
FUSE_SYMPTOMS = ("blows-fuse", "blows-at-once", "blows-later")


HISTORIES = (
    "rain", "washing", "flooded", "repair", "fitted", "accident", "crushed", "together", "stood", "rodents",
    "jump-start", "bumps", "heat", "moved",
)  # fmt: skip
"""What may have happened before. repair, fitted: work, something fitted; crushed: damage that is seen; together:
several functions failed at once; stood: long unused; moved: it shows with movement; the others as they say."""


@dataclass(frozen=True)
class History:
    """Something that happened, `word` of `HISTORIES`, and `where`: a place, loom or part, empty where none was."""

    word: str
    where: str
    text: str


PRESENCES = ("", "moved", "hot", "wet", "sometimes")
"""When what is complained about is there: always, or only then; sometimes: nobody knows when."""


@dataclass(frozen=True)
class Complaint:
    """`target` is a part, or `part.element`; `condition` the state it was seen in; `text` what was said; `presence`
    whether it comes and goes."""

    target: str
    symptom: str
    condition: Condition
    text: str
    presence: str = ""
