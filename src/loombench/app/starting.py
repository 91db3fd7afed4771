"""Starting a vehicle from a skeleton."""

from loombench.base.outcome import Outcome
from loombench.text.skeleton import find_skeleton


def skeleton_text(kind: str) -> Outcome[str | None]:
    """The text of the skeleton of that kind; None with a problem where there is none."""
    return find_skeleton(kind)
