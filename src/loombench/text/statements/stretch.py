"""What stands in a wire's brackets: colour or number, size, length, places, cable, label, in any order."""

import re
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.base.band import Band
from loombench.base.quantity import NotAQuantity
from loombench.facts.colour import ColourState
from loombench.facts.conductor import awg_area_mm2
from loombench.text.colour import as_colour, letters_of, other_systems, reading, system_code
from loombench.text.draft import Draft
from loombench.text.numbers import Number, read_number, write_number
from loombench.text.syntax import Line
from loombench.text.tokens import STRING, Token
from loombench.text.units import joined, limits_text, size_in_mm
from loombench.vehicle.model import Colour

UNITS = MappingProxyType({"mm2": "area_mm2", "AWG": "gauge_awg", "m": "length_m"})
COLOUR_WORDS = 3
UNCOLOURED = Colour()
_COMMA = re.compile(r",(?!\d)|(?<!\d),|(?<=mm2),|(?<=AWG),")
_LARGEST_MM2 = 120.0
"""A bare number above this is no size of a vehicle's wire."""


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


def read_stretch(draft: Draft, line: Line, found: tuple[Token, ...]) -> Stretch:
    """What stands in a bracket; a word that says nothing is noted, the rest holds."""
    made = Stretch()
    colours: list[Token] = []
    words = list(joined(found, UNITS, every_spelling=True))
    lengths = [token.text for token in words if token.is_word() and _unit(token.text) == "m"]
    sized = any(_unit(token.text) in ("mm2", "AWG") for token in words if token.is_word())
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
            meant = size_in_mm(token.text, surely=len(lengths) > 1 and not sized)
            if meant:
                draft.wrong("size-as-length", line.span(token), text=token.text[:40], meant=meant)
            else:
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
    if isinstance(number, Number) and number.band and _said(made, number.unit):
        draft.unexpected(line, token, "( )", ("GY/RD", "1.5mm2", "2m", "via", "in", "#214"))
    elif isinstance(number, NotAQuantity):
        if number.reason in ("bounds", "size"):
            draft.wrong("number-range", span, text=text, limits=limits_text(UNITS, text))
        else:
            draft.wrong("number-unit", span, text=text, unit=number.text[:20], allowed="mm2, AWG, m")
    elif number.unit == "m":
        return replace(made, length_m=number.band)
    elif number.unit == "mm2":
        return replace(made, area_mm2=number.band, size_text=write_number(number.band, "mm2") if number.band else "")
    elif number.unit == "AWG":
        return _gauge(draft, line, token, made, number.band)
    elif not number.unit and number.band is not None:
        example = f"{text}mm2" if number.band.nominal <= _LARGEST_MM2 else f"#{text} if it is printed on the wire"
        draft.wrong("number-bare", span, text=text, example=example, allowed="mm2, AWG, m")
    elif number.unit:
        draft.wrong("number-unit", span, text=text, unit=number.unit, allowed="mm2, AWG, m")
    return made


def _unit(text: str) -> str:
    number = read_number(text) if text[0].isdigit() else None
    return number.unit if isinstance(number, Number) else ""


def _said(made: Stretch, unit: str) -> bool:
    """Whether the bracket has a size, or a length, already."""
    return made.length_m is not None if unit == "m" else unit in ("mm2", "AWG") and made.area_mm2 is not None


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
    elif said.state is not ColourState.CERTAIN and "," in text and any(mark.isdigit() for mark in text):
        draft.unexpected(line, tokens[0], "( )", ("GY/RD", "1.5mm2", "2m"), _COMMA.sub(" ", text))
        return UNCOLOURED
    elif said.state is not ColourState.CERTAIN:
        others = ", ".join(other_systems(draft.system, text)) or "none"
        letters = letters_of(draft.system)
        draft.wrong("colour-unknown", span, text=text[:40], system=code, others=others, letters=letters)
    return as_colour(said)
