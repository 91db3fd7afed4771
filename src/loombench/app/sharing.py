"""What a function has in common with others: the fuse, the ground, the splice that they hang on too."""

from dataclasses import dataclass

from loombench.app.drawing import Drawings, function_title
from loombench.base.wording import Catalogue
from loombench.draw.circuit.functions import Function

COMMON = ("fuse", "fuselink", "breaker", "stud", "splice")
MOST_NAMED = 12
"""What more functions than this have in common (a main fuse, battery minus) says nothing of any of them."""


@dataclass(frozen=True)
class Shared:
    """A part with the other functions that hang on it: key and title of each."""

    part: str
    kind: str
    label: str
    functions: tuple[tuple[str, str], ...]


def shared(drawings: Drawings, function: Function, words: Catalogue) -> tuple[Shared, ...]:
    """What a function shares, in the order met."""
    found = []
    for name in function.parts:
        part = drawings.vehicle.parts.get(name)
        if part is None or part.kind not in COMMON:
            continue
        others = tuple(one for one in drawings.of_part.get(name, ()) if one.key != function.key)
        if 0 < len(others) <= MOST_NAMED:
            titles = tuple((one.key, function_title(one, words)) for one in others)
            found.append(Shared(name, part.kind, part.label, titles))
    return tuple(found)
