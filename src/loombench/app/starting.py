"""Starting a vehicle from a skeleton."""

from dataclasses import dataclass

from loombench.text.skeleton import SKELETONS, skeleton


@dataclass(frozen=True)
class SkeletonText:
    """The text of a skeleton, or why there is none."""

    text: str = ""
    problem: str = ""


def skeleton_text(kind: str) -> SkeletonText:
    """The skeleton of that kind."""
    if kind not in SKELETONS:
        return SkeletonText(problem=f"There is no skeleton '{kind}'. There are: {', '.join(sorted(SKELETONS))}.")
    return SkeletonText(skeleton(kind))
