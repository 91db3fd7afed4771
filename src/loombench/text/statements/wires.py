"""Wires: `A (COLOUR SIZE LENGTH ...) B (...) C`."""

import re
from dataclasses import dataclass

from loombench.base.band import Band
from loombench.base.problems import Span
from loombench.text.draft import Draft
from loombench.text.fill import assumed
from loombench.text.resolve import FIRST, LAST, MIDDLE, SPLICE, Stop, resolve
from loombench.text.statements.stretch import Stretch, read_stretch
from loombench.text.syntax import Line
from loombench.text.tokens import STRING, Token
from loombench.vehicle.model import Wire
from loombench.vehicle.naming import UNNAMED

WIRE_EXAMPLE = "S4.2 (GY/RD 1.5mm2 1.2m) E7"
_LONGEST_SHOWN = 100
_POINT = re.compile(r"[A-Za-z][\w-]*(?:\.\S+|/[a-z])|\d\S*(?:mm2|mm²|AWG)")
"""What only a line of wires has: a point with its pin or ring, a size."""


@dataclass(frozen=True)
class Way:
    """A line taken apart: its points, and between them the tokens of the brackets."""

    points: tuple[Token, ...]
    brackets: tuple[tuple[Token, ...], ...]


def is_wire_line(line: Line) -> bool:
    """Whether a line looks like one of wires: brackets, or a point where another line has its keyword."""
    if len(line.tokens) > 1 and line.tokens[1].is_mark("("):
        return True
    first = line.tokens[0]
    return first.is_mark("(") or (
        first.is_word() and any(mark in first.text for mark in "./@>") and "::" not in first.text
    )


def lacks_brackets(draft: Draft, line: Line) -> bool:
    """Whether a line that begins with no keyword is one of a wire without its brackets: `E1 RD 1mm2 G1.-`."""
    first, others = line.tokens[0], line.tokens[1:]
    if not others or not all(token.is_word() for token in line.tokens):
        return False
    named = first.text in draft.parts or SPLICE.fullmatch(first.text) is not None
    return named or (
        any(mark.isdigit() for mark in first.text)
        and any(_POINT.fullmatch(token.text) is not None or token.text in draft.parts for token in others)
    )


def read_wires(draft: Draft, line: Line, loom: str) -> None:
    """Take the wires of a line in; a stretch whose end is not known is left out, the others stay."""
    way = take_apart(draft, line)
    if way is None:
        return
    current = loom
    last = len(way.points) - 1
    before: Stop | None = None
    for index, token in enumerate(way.points):
        role = FIRST if index == 0 else LAST if index == last else MIDDLE
        stop = resolve(draft, line, token, current, role)
        if index:
            stretch = read_stretch(draft, line, way.brackets[index - 1])
            if before is not None and stop is not None:
                span = line.span(way.points[index - 1], token)
                _add(draft, span, before, stop, stretch, current)
        before = stop
        current = stop.loom_out if stop is not None and stop.loom_out else current


def take_apart(draft: Draft, line: Line) -> Way | None:
    """A line's points and brackets; None, with what is wrong noted, where they do not take turns."""
    points: list[Token] = []
    brackets: list[tuple[Token, ...]] = []
    index = 0
    found = _glued(line.tokens)
    if not any(token.is_mark("(") or token.is_mark(")") for token in found):
        draft.wrong("wire-unfinished", line.span(), example=_with_brackets(found))
        return None
    lone = _lone_bracket(found)
    if lone is not None:
        draft.wrong("bracket-open", line.span(lone), text=lone.text)
        return None
    while index < len(found):
        token = found[index]
        if token.is_mark("("):
            end = next(at for at in range(index + 1, len(found)) if found[at].is_mark(")"))
            if len(points) != len(brackets) + 1:
                draft.wrong("wire-unfinished", line.span(token, found[end]), example=WIRE_EXAMPLE)
                return None
            brackets.append(found[index + 1 : end])
            index = end + 1
        elif not token.is_word() or len(points) != len(brackets):
            draft.wrong("wire-unfinished", line.span(token), example=WIRE_EXAMPLE)
            return None
        else:
            points.append(token)
            index += 1
    if len(points) != len(brackets) + 1 or not brackets:
        draft.wrong("wire-unfinished", line.span(found[-1]), example=WIRE_EXAMPLE)
        return None
    return Way(tuple(points), tuple(brackets))


def _with_brackets(found: tuple[Token, ...]) -> str:
    """The line as it would be with the wire between its first and last word in brackets."""
    words = [f'"{token.text}"' if token.kind == STRING else token.text.strip("[]{}<>") for token in found]
    shown = f"{words[0]} ({' '.join(words[1:-1]) or '?'}) {words[-1]}" if len(words) > 1 else ""
    return shown if 0 < len(shown) <= _LONGEST_SHOWN else WIRE_EXAMPLE


def _lone_bracket(found: tuple[Token, ...]) -> Token | None:
    """The first bracket without a partner; brackets do not stand within each other."""
    opened: Token | None = None
    for token in found:
        if token.is_mark("("):
            if opened is not None:
                return opened
            opened = token
        elif token.is_mark(")"):
            if opened is None:
                return token
            opened = None
    return opened


def _glued(found: tuple[Token, ...]) -> tuple[Token, ...]:
    """Words and colons that touch as one word: a point such as `E7.1:face`."""
    if not any(token.is_mark(":") for token in found):
        return found
    made: list[Token] = []
    for token in found:
        before = made[-1] if made else None
        touches = before is not None and before.end == token.column and before.is_word()
        if before is not None and touches and (token.is_mark(":") or token.is_word()):
            made[-1] = Token(before.text + token.text, before.column, token.end)
        else:
            made.append(token)
    return tuple(made)


def _add(draft: Draft, span: Span, start: Stop, end: Stop, stretch: Stretch, loom: str) -> None:
    if start.leave == end.enter:
        draft.wrong("wire-to-itself", span, point=str(start.leave))
        return
    if start.loom_out and end.loom_in and start.loom_out != end.loom_in:
        draft.wrong("loom-clash", span, one=str(start.leave), two=str(end.enter))
        return
    size, length = stretch.area_mm2, stretch.length_m
    unknown = tuple(name for name, band in (("size", size), ("length", length)) if band is None)
    wire = Wire(
        id=UNNAMED,
        a=start.leave,
        b=end.enter,
        colour=stretch.colour,
        area_mm2=size or _range("wire.area_mm2"),
        length_m=length or _range("wire.length_m"),
        size_text=stretch.size_text,
        number=stretch.number,
        loom=end.loom_in or start.loom_out or loom,
        via=stretch.via,
        cable=stretch.cable,
        assumed=unknown,
        label=stretch.label,
        span=span,
    )
    draft.wires.append(wire)


def _range(name: str) -> Band:
    band = assumed(name)
    if band is None:
        raise KeyError(f"assumed.csv has no {name}")
    return band
