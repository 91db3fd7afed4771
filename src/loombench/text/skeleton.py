"""Skeletons: small files full of `?` that load, to start from when there is no file and to fill in while tracing."""

from importlib.resources import files

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.text.sources import SUFFIX

SKELETONS = ("switch-and-lamp", "relay-and-load", "module-output", "reversing-motor", "trailer")


def skeleton(kind: str) -> str:
    """The text of a skeleton.

    Raises:
        KeyError: it is none of `SKELETONS`; for what a user typed there is `find_skeleton`.
    """
    if kind not in SKELETONS:
        raise KeyError(f"no skeleton {kind!r}; there are {', '.join(SKELETONS)}")
    return (files("loombench.text") / "data" / f"{kind}{SUFFIX}").read_text(encoding="utf-8")


def find_skeleton(text: str) -> Outcome[str | None]:
    """The text of the skeleton a user names; None with the nearest names where there is none."""
    name = text.strip().casefold().replace(" ", "-")
    if name in SKELETONS:
        return Outcome(skeleton(name))
    allowed = ", ".join(SKELETONS)
    return Outcome(
        None, (error("skeleton-unknown", name=name[:40], nearest=nearest(name, SKELETONS), allowed=allowed),)
    )
