"""What a function is made of, whatever state it is in: parts and wires by name, where a lead fits, what it shares."""

from collections.abc import Mapping
from dataclasses import dataclass

from loombench.app.drawing import Drawings, function_title
from loombench.app.partsheet import part_text
from loombench.app.pinsheet import points_of
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


@dataclass(frozen=True)
class FunctionFacts:
    """`kinds` are those of its parts, `names` its parts and wires with what is written on them, `points` the names of
    the points that a lead can be put on."""

    kinds: Mapping[str, str]
    names: tuple[tuple[str, str], ...]
    points: tuple[str, ...]
    shares: tuple[Shared, ...]


def facts_of(drawings: Drawings, function: Function, words: Catalogue) -> FunctionFacts:
    """The facts of a function."""
    vehicle = drawings.vehicle
    names = tuple((name, part_text(vehicle, name)) for name in (*function.parts, *sorted(function.wires)))
    kinds = {name: vehicle.parts[name].kind for name in function.parts}
    return FunctionFacts(kinds, names, points_of(vehicle, function.parts), shared(drawings, function, words))


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
