"""Net classes: `class pyro A7.X1/3 A7.X1/4` marks the nets at those points; how far they spread is found later."""

from loombench.text.draft import Draft
from loombench.text.partline import say_class
from loombench.text.resolve import FIRST, resolve
from loombench.text.syntax import Statement
from loombench.vehicle.kinds import NET_CLASSES
from loombench.vehicle.points import Point, read_point

CLASS_EXAMPLE = "class pyro A7.X1/3"


def read_class(draft: Draft, statement: Statement) -> None:
    """Keep the line until all parts are known."""
    line = statement.line
    if len(line.tokens) < 3:
        draft.missing(line, "class", CLASS_EXAMPLE)
    elif line.tokens[1].text not in NET_CLASSES:
        say_class(draft, line, line.tokens[1])
    else:
        draft.marks.append(line)


def mark_classes(draft: Draft) -> None:
    """Mark the pins that the kept lines name."""
    for line in draft.marks:
        for token in line.tokens[2:]:
            stop = resolve(draft, line, token, _any_half(draft, token.text), FIRST)
            if stop is not None:
                point = stop.leave
                mark = (point.pin, line.tokens[1].text)
                part = draft.parts[point.part]
                if mark not in part.class_marks:
                    draft.amend(part.id, class_marks=(*part.class_marks, mark))


def _any_half(draft: Draft, text: str) -> str:
    """The half a cavity is looked up in: both halves are one net, so a mark need not say which."""
    point = read_point(text)
    part = draft.parts.get(point.part) if point is not None else None
    return part.halves[0] if part is not None and part.halves else ""


def run_cables(draft: Draft) -> None:
    """Put the wires at a cable's points into the cable."""
    ends: dict[Point, list[int]] = {}
    if draft.cabled:
        for index, wire in enumerate(draft.wires):
            ends.setdefault(wire.a, []).append(index)
            ends.setdefault(wire.b, []).append(index)
    for cable, line, named in draft.cabled:
        for token in named:
            stop = resolve(draft, line, token, "", FIRST)
            for index in ends.get(stop.leave, ()) if stop is not None else ():
                if not draft.wires[index].cable:
                    draft.put_in_cable(index, cable)
