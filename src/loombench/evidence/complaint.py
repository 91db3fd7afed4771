"""A complaint: what someone says a part does, or does not do, and when. Also what is said to work."""

from dataclasses import dataclass

from loombench.vehicle.condition import Condition

SYMPTOMS = ("dead", "dim", "slow", "always-on", "works", "blows-fuse")
"""dead: does nothing though it should; dim, slow: does less than it should; always-on: does something though it should
not; works: does what it should; blows-fuse: the fuse `target` blows."""


@dataclass(frozen=True)
class Complaint:
    """`target` is a part, or `part.element`; `condition` the state it was seen in; `text` what was said."""

    target: str
    symptom: str
    condition: Condition
    text: str
