"""Names in a wire's line as points of parts: pins, halves of connectors, implicit splices, ways through a part."""

import re
from dataclasses import dataclass

from loombench.base.nearest import NONE
from loombench.text.draft import Draft
from loombench.text.syntax import Line
from loombench.text.tokens import Token
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Part
from loombench.vehicle.points import Point, read_point

FIRST, MIDDLE, LAST = "first", "middle", "last"
SPLICE = re.compile(r"SP\d+")
MOST_SPANS = 4
MOST_GLUED = 40


@dataclass(frozen=True)
class Stop:
    """A point on the way of a line: where the wire before it ends, where the one behind it begins.

    `loom_in` and `loom_out` are the looms of these two wires where the connector's half says it, else empty.
    """

    enter: Point
    leave: Point
    loom_in: str = ""
    loom_out: str = ""


def resolve(draft: Draft, line: Line, token: Token, loom: str, role: str) -> Stop | None:
    """The stop a word of a wire's line names; None, with the problem noted, where it names none."""
    text, _, out = token.text.partition(">")
    point = read_point(text)
    if point is None or point.layer != "wire":
        draft.wrong("point-bad", line.span(token), text=token.text[:60])
        return None
    found = _part(draft, line, token, point)
    if found is None:
        return None
    part, point = found
    if part.kind == "connector":
        return _cavity(draft, line, token, part, point, loom, role)
    if part.kind == "stud":
        if point.pin and not point.ring:
            _style(draft, line, token, f"{part.id}/{point.pin}")
        ring = Point(part.id, point.pin, ring=bool(point.pin))
        return Stop(ring, ring)
    if not point.pin:
        return _through(draft, line, token, part, role)
    pin = _pin(draft, line, token, part, point)
    leave = _pin(draft, line, token, part, Point(part.id, out)) if out else pin
    if pin is None or leave is None:
        return None
    return Stop(Point(part.id, pin), Point(part.id, leave))


def _part(draft: Draft, line: Line, token: Token, point: Point) -> tuple[Part, Point] | None:
    part = draft.parts.get(point.part)
    if part is not None:
        return part, point
    if SPLICE.fullmatch(point.part):
        part = Part(point.part, "splice", (), span=line.span(token))
        draft.parts[part.id] = part
        return part, point
    name, dash, pin = point.part.rpartition("-")
    other = draft.parts.get(name)
    if dash and other is not None and not point.pin and (other.kind == "stud" or pin in other.pins):
        ring = other.kind == "stud"
        _style(draft, line, token, f"{name}{'/' if ring else '.'}{pin}")
        return other, Point(name, pin, ring=ring)
    unknown_part(draft, line, token, point.part)
    return None


def unknown_part(draft: Draft, line: Line, token: Token, name: str) -> None:
    """Remember a name that is no part; it is said once, with its places, unless its own line failed already."""
    if name not in draft.failed:
        draft.unknown.setdefault(name, []).append(line.span(token))


def say_unknown(draft: Draft) -> None:
    """Say the names that were no parts."""
    for name, spans in draft.unknown.items():
        if draft.hopeless:
            break
        near = _glued_point(draft, name) or draft.near(name, draft.parts)
        draft.wrong("part-unknown", *spans[:MOST_SPANS], name=name[:60], nearest=near, count=len(spans))
    draft.unknown.clear()


def _glued_point(draft: Draft, name: str) -> str:
    """The point meant by a name that is a part and a pin without the mark between them: `S42`, `S4,2`, `W1e`."""
    for cut in range(min(len(name), MOST_GLUED) - 1, 0, -1):
        part, pin = draft.parts.get(name[:cut]), name[cut:].lstrip(",;:_-/")
        if part is not None and part.kind == "stud" and len(pin) == 1 and pin.isalpha():
            return f"{part.id}/{pin}"
        if part is not None and pin in part.pins:
            return f"{part.id}.{pin}"
    return ""


def _style(draft: Draft, line: Line, token: Token, meant: str) -> None:
    draft.doubtful("point-style", line.span(token), text=token.text[:60], meant=meant)


def _pin(draft: Draft, line: Line, token: Token, part: Part, point: Point) -> str | None:
    """The pin's name as the part has it."""
    pin = point.pin
    if pin in part.pins:
        if point.ring:
            _style(draft, line, token, f"{part.id}.{pin}")
        return pin
    dotted = pin.replace(".", "/")
    if dotted in part.pins:
        _style(draft, line, token, f"{part.id}.{dotted}")
        return dotted
    pin_problem(draft, line, token, part, pin)
    return None


def pin_problem(draft: Draft, line: Line, token: Token, part: Part, pin: str) -> None:
    """A pin that a part has not, or that has to be named; nothing more of a part whose own line failed."""
    if part.id in draft.failed:
        return
    allowed = pins_text(part)
    if not pin:
        example = f"{part.id}.{part.pins[0]}" if part.pins else part.id
        draft.wrong("pin-needed", line.span(token), part=part.id, kind=part.kind, allowed=allowed, example=example)
        return
    near = draft.near(pin, part.pins)
    draft.wrong("pin-unknown", line.span(token), part.span, part=part.id, pin=pin[:40], nearest=near, allowed=allowed)


def pins_text(part: Part) -> str:
    """A part's pins for a message; many numbered ones as a range."""
    if len(part.pins) > 12:
        return f"{part.pins[0]} to {part.pins[-1]}"
    return " ".join(part.pins) or NONE


def _through(draft: Draft, line: Line, token: Token, part: Part, role: str) -> Stop | None:
    """A part named without a pin: itself where it is one point, else entered by its first pin, left by its second."""
    if part.kind in ("splice", "body"):
        point = Point(part.id)
        return Stop(point, point)
    spec = KINDS[part.kind]
    polarised = spec.polarised or (part.kind == "motor" and part.pins == ("a", "b"))
    if len(part.pins) == 2 and polarised:
        way = f"{part.id}.{part.pins[0]}>{part.pins[1]}"
        if role == MIDDLE:
            draft.wrong("way-needed", line.span(token), part=part.id, kind=part.kind, example=way)
        else:
            pin_problem(draft, line, token, part, "")
        return None
    if len(part.pins) != 2:
        pin_problem(draft, line, token, part, "")
        return None
    enter, leave = spec.through or part.pins
    return Stop(Point(part.id, enter), Point(part.id, leave))


def _cavity(draft: Draft, line: Line, token: Token, part: Part, point: Point, loom: str, role: str) -> Stop | None:
    """A cavity of a connector: the wire's loom says which half it ends in, and passing through leaves by the other."""
    if not point.pin:
        pin_problem(draft, line, token, part, "")
        return None
    pin = _pin(draft, line, token, part, point)
    if pin is None:
        return None
    if not part.halves:
        if not point.half or part.id in draft.failed:
            both = Point(part.id, pin)
            return Stop(both, both)
        draft.wrong("connector-halves", line.span(token), part.span, part=part.id, halves=NONE)
        return None
    half = point.half or loom
    if half not in part.halves:
        code = "half-unknown" if half else "loom-needed"
        halves = " | ".join(part.halves)
        near = draft.near(half, part.halves) if half else part.halves[0]
        draft.wrong(
            code, line.span(token), draft.loom_lines.get(half), part.span,
            part=part.id, half=half, halves=halves, nearest=near,
        )  # fmt: skip
        return None
    other = part.halves[1] if half == part.halves[0] else part.halves[0]
    own = Point(part.id, pin, half)
    if role == MIDDLE and len(part.halves) == 2:
        return Stop(own, Point(part.id, pin, other), half, other)
    return Stop(own, own, half, half)
