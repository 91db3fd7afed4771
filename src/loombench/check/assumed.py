"""What the file leaves open and the program fills in: said once, so that nobody takes a guess for a drawing."""

from collections.abc import Iterator

from loombench.base.problems import Problem, note
from loombench.check.view import View, some, spans
from loombench.vehicle.model import Part, Wire


def assumptions(view: View) -> Iterator[Problem]:
    """One note with all wires and parts some number of which is a range, by kind."""
    lengths = [wire for wire in view.vehicle.wires if "length" in wire.assumed]
    sizes = [wire for wire in view.vehicle.wires if "size" in wire.assumed]
    kinds: dict[str, list[Part]] = {}
    for part in view.vehicle.parts.values():
        if part.kind != "strap" and guessed(part):
            kinds.setdefault(part.kind, []).append(part)
    if lengths or sizes or kinds:
        things: list[Part | Wire] = [*lengths[:1], *sizes[:1], *(parts[0] for parts in kinds.values())]
        parts_said = "; ".join(f"{kind} {some(part.id for part in parts)}" for kind, parts in kinds.items())
        yield note("assumed", *spans(things), lengths=len(lengths), sizes=len(sizes), parts=parts_said or "-")


def assumed_straps(view: View) -> Iterator[Problem]:
    """Straps whose length or section is a guess: every reading over ground hangs on them."""
    found = [part for part in view.vehicle.parts.values() if part.kind == "strap" and guessed(part)]
    if found:
        yield note("strap-assumed", *spans(found), straps=some(part.id for part in found), count=len(found))


def guessed(part: Part) -> bool:
    """Whether a main number of the part or of an element in it is a range."""
    return any(
        not band.known for params in (part.params, *(e.params for e in part.elements)) for band in params.values()
    )
