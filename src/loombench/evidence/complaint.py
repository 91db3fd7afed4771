"""A complaint: what someone says a part does, or does not do, and when. Also what is said to work."""

from dataclasses import dataclass

from loombench.vehicle.condition import Condition

SYMPTOMS = ("dead", "dim", "slow", "always-on", "works", "blows-fuse", "glows")
"""dead: does nothing though it should; dim, slow: does less than it should; always-on: does something though it should
not; works: does what it should; blows-fuse: the fuse `target` blows; glows: gives a little though it should be off."""
FUSE_SYMPTOMS = ("blows-fuse",)


@dataclass(frozen=True)
class Complaint:
    """`target` is a part, or `part.element`; `condition` the state it was seen in; `text` what was said."""

    target: str
    symptom: str
    condition: Condition
    text: str
