"""Wires: `A (COLOUR SIZE LENGTH ...) B (...) C`, the brackets' words in any order."""

from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.base.band import Band
from loombench.base.problems import Span
from loombench.base.quantity import NotAQuantity
from loombench.facts.colour import ColourState
from loombench.facts.conductor import awg_area_mm2
from loombench.text.colour import as_colour, other_systems, reading, system_code
from loombench.text.draft import Draft
from loombench.text.fill import assumed
from loombench.text.numbers import read_number, write_number
from loombench.text.partline import joined, limits_text
from loombench.text.resolve import FIRST, LAST, MIDDLE, Stop, resolve
from loombench.text.syntax import Line
from loombench.text.tokens import STRING, Token
from loombench.vehicle.model import Colour, Wire
from loombench.vehicle.naming import UNNAMED

WIRE_EXAMPLE = "S4.2 (GY/RD 1.5mm2 1.2m) E7"
UNITS = MappingProxyType({"mm2": "area_mm2", "AWG": "gauge_awg", "m": "length_m"})
COLOUR_WORDS = 3
UNCOLOURED = Colour()


@dataclass(frozen=True)
class Stretch:
    """What a bracket says of the wire in it."""

    colour: Colour = UNCOLOURED
    number: str = ""
    area_mm2: Band | None = None
    size_text: str = ""
    length_m: Band | None = None
    via: tuple[str, ...] = ()
    cable: str = ""
    label: str = ""


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


def read_stretch(draft: Draft, line: Line, found: tuple[Token, ...]) -> Stretch:
    """What stands in a bracket; a word that says nothing is noted, the rest holds."""
    made = Stretch()
    colours: list[Token] = []
    words = list(joined(found))
    while words:
        token = words.pop(0)
        after = words[0] if words and words[0].is_word() else None
        if token.kind == STRING:
            made = replace(made, label=token.text)
        elif token.is_word("via", "at") and after is not None:
            place = words.pop(0)
            draft.wanted_places.append((place.text, line.span(place)))
            made = replace(made, via=(*made.via, place.text))
        elif token.is_word("in") and after is not None:
            made = replace(made, cable=_cable(draft, line, words.pop(0)))
        elif token.text.startswith("#") and len(token.text) > 1:
            made = replace(made, number=token.text[1:])
        elif token.is_word() and (token.text[0].isdigit() or token.text[0] in "?+-" or token.text[0] == "."):
            made = _number(draft, line, token, made)
        elif token.is_word():
            colours.append(token)
        else:
            draft.unexpected(line, token, "( )", ("GY/RD", "1.5mm2", "2m", "via", "in", "#214"))
    return replace(made, colour=_colour(draft, line, colours)) if colours else made


def _cable(draft: Draft, line: Line, token: Token) -> str:
    part = draft.parts.get(token.text)
    if part is not None and part.kind == "cable":
        return token.text
    cables = [name for name, other in draft.parts.items() if other.kind == "cable"]
    draft.wrong("cable-unknown", line.span(token), name=token.text[:40], nearest=draft.near(token.text, cables))
    return ""


def _number(draft: Draft, line: Line, token: Token, made: Stretch) -> Stretch:
    number = read_number(token.text)
    span, text = line.span(token), token.text[:40]
    if isinstance(number, NotAQuantity):
        if number.reason in ("bounds", "size"):
            draft.wrong("number-range", span, text=text, limits=limits_text(UNITS))
        else:
            draft.wrong("number-unit", span, text=text, unit=number.text[:20], allowed="mm2, AWG, m")
    elif number.unit == "m":
        return replace(made, length_m=number.band)
    elif number.unit == "mm2":
        return replace(made, area_mm2=number.band, size_text=write_number(number.band, "mm2") if number.band else "")
    elif number.unit == "AWG":
        return _gauge(draft, line, token, made, number.band)
    elif not number.unit and number.band is not None:
        draft.wrong("number-bare", span, text=text, example=f"{text}mm2", allowed="mm2, AWG, m")
    elif number.unit:
        draft.wrong("number-unit", span, text=text, unit=number.unit, allowed="mm2, AWG, m")
    return made


def _gauge(draft: Draft, line: Line, token: Token, made: Stretch, band: Band | None) -> Stretch:
    if band is None:
        return made
    if not band.known or band.nominal != round(band.nominal):
        draft.wrong("number-range", line.span(token), text=token.text[:40], limits="4/0 to 40 AWG")
        return made
    area = awg_area_mm2(round(band.nominal))
    return replace(made, area_mm2=Band(area, area, area), size_text=write_number(band, "AWG"))


def _colour(draft: Draft, line: Line, found: list[Token]) -> Colour:
    if len(found) > COLOUR_WORDS:
        draft.unexpected(line, found[COLOUR_WORDS], "( )", ("GY/RD", "1.5mm2", "2m", "via", "in", "#214"))
    tokens = found[:COLOUR_WORDS]
    text = "/".join(token.text for token in tokens)
    said = reading(draft.system, text)
    span, code = line.span(tokens[0], tokens[-1]), system_code(draft.system)
    if said.state is ColourState.AMBIGUOUS:
        choices = "; ".join(str(candidate) for candidate in said.candidates)
        draft.doubtful("colour-ambiguous", span, text=text[:40], system=code, candidates=choices)
    elif said.state is not ColourState.CERTAIN:
        others = ", ".join(other_systems(draft.system, text)) or "none"
        draft.wrong("colour-unknown", span, text=text[:40], system=code, others=others)
    return as_colour(said)
