"""What stands at the head of a file: `vehicle`, `colours`, `option`, and the places and looms."""

from dataclasses import replace

from loombench.base.quantity import NotAQuantity
from loombench.text.colour import CODES, system_name
from loombench.text.draft import Draft
from loombench.text.fill import assumed
from loombench.text.numbers import read_number
from loombench.text.partline import NAME
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import STRING, Token
from loombench.text.units import joined
from loombench.vehicle.model import ACROSS, ALONG, FORMS, LEVELS, Place

SURROUNDINGS = ("wet", "flexing", "hot", "dirty", "vibrating", "outside", "fuel", "gas")
PLACE_EXAMPLE = 'place seat-box reach 2min "behind the seat"'
VEHICLE_EXAMPLE = 'vehicle "Telehandler" 12V'
LEAST_V, MOST_V = 5.0, 60.0


def read_vehicle(draft: Draft, statement: Statement) -> None:
    """`vehicle "Name" 12V`, if wanted with what it looks like from above: `van`."""
    line = statement.line
    if draft.head is not None:
        draft.wrong("name-twice", line.span(), draft.head, name="vehicle")
        return
    draft.head = line.span()
    volts = False
    for token in joined(line.tokens[1:]):
        if token.kind == STRING and not draft.name:
            draft.name = token.text
            continue
        if token.is_word(*FORMS):
            draft.form = token.text
            continue
        number = read_number(token.text) if token.is_word() else NotAQuantity("number", 0, token.text)
        if isinstance(number, NotAQuantity) or number.unit != "V" or number.band is None:
            draft.unexpected(line, token, "vehicle", ('"Name"', "12V", "24V", *FORMS))
            volts = volts or token.text[0].isdigit()
        elif not LEAST_V <= number.band.low <= number.band.high <= MOST_V:
            limits = f"{LEAST_V:g} to {MOST_V:g} V"
            draft.wrong("number-range", line.span(token), text=token.text, limits=limits)
            volts = True
        else:
            draft.nominal_v = number.band.nominal
            volts = True
    if not volts or not draft.name:
        draft.missing(line, "vehicle", VEHICLE_EXAMPLE)


def read_colours(draft: Draft, statement: Statement) -> None:
    """`colours IEC`."""
    line = statement.line
    said = " ".join(token.text for token in line.tokens[1:])
    name = system_name(said)
    if not said:
        draft.missing(line, "colours", "colours IEC")
    elif name is None:
        span = line.span(line.tokens[1], line.tokens[-1])
        near = draft.near(said, CODES)
        draft.wrong("colour-system-unknown", span, name=said[:40], nearest=near, allowed=", ".join(CODES))
    else:
        draft.system = name


def read_option(draft: Draft, statement: Statement) -> None:
    """`option trailer-kit "text"`."""
    line = statement.line
    if len(line.tokens) < 2 or not line.tokens[1].is_word():
        draft.missing(line, "option", 'option trailer-kit "with trailer socket"')
        return
    name = line.tokens[1].text
    if name in draft.offers:
        draft.wrong("name-twice", line.span(line.tokens[1]), draft.offers[name], name=name)
        return
    draft.offers[name] = line.span(line.tokens[1])
    for token in line.tokens[2:]:
        if token.kind != STRING:
            draft.unexpected(line, token, "option", ('"text"',))


def read_loom(draft: Draft, statement: Statement) -> None:
    """`loom chassis`: the wires that follow are in it; `loom ?` where that is not known."""
    line = statement.line
    if len(line.tokens) < 2 or not line.tokens[1].is_word():
        draft.missing(line, "loom", "loom chassis")
        return
    name = line.tokens[1].text
    draft.loom = "" if name == "?" else name
    if draft.loom:
        draft.looms.setdefault(draft.loom)
        draft.loom_lines.setdefault(draft.loom, line.span(line.tokens[1]))
    for token in line.tokens[2:]:
        draft.unexpected(line, token, "loom")


def read_place(draft: Draft, statement: Statement) -> None:
    """`place boom-pivot reach 4min opens trim flexing wet "boom lowered"`."""
    line = statement.line
    if len(line.tokens) < 2 or not line.tokens[1].is_word():
        draft.missing(line, "place", PLACE_EXAMPLE)
        return
    name = line.tokens[1].text
    if not NAME.fullmatch(name):
        draft.wrong("name-bad", line.span(line.tokens[1]), name=name[:40])
        return
    place = _attributes(draft, line, Place(name, typical_reach_s(), span=line.span(line.tokens[1])))
    other = draft.places.get(name)
    if other is not None:
        draft.wrong("name-twice", place.span, other.span, name=name)
        return
    draft.places[name] = place


def typical_reach_s() -> float:
    """The time to open and close a place of which nothing is said."""
    band = assumed("place.reach_s")
    return band.nominal if band else 0.0


def _attributes(draft: Draft, line: Line, place: Place) -> Place:
    rest = list(joined(line.tokens[2:]))
    while rest:
        token = rest.pop(0)
        following = rest[0] if rest and rest[0].is_word() else None
        if token.kind == STRING:
            place = replace(place, note=f"{place.note} {token.text}".strip())
        elif token.is_word("reach") and following:
            rest.pop(0)
            place = replace(place, reach_s=_time_s(draft, line, following, place.reach_s))
        elif token.is_word("opens") and following:
            rest.pop(0)
            place = replace(place, opens=(*place.opens, following.text))
        elif token.is_word("lies"):
            place, rest = _spot(place, rest)
        elif token.is_word(*SURROUNDINGS):
            place = replace(place, surroundings=tuple(dict.fromkeys((*place.surroundings, token.text))))
        else:
            draft.unexpected(line, token, "place", ("reach", "opens", "lies", *SURROUNDINGS))
    return place


def _spot(place: Place, rest: list[Token]) -> tuple[Place, list[Token]]:
    """`lies 35% left under`: where it is, seen from above, as far as the words go."""
    while rest and rest[0].is_word():
        word, number = rest[0].text, read_number(rest[0].text)
        if word in ALONG:
            place = replace(place, along=ALONG[word])
        elif word in ACROSS:
            place = replace(place, across=word)
        elif word in LEVELS:
            place = replace(place, level=word)
        elif not isinstance(number, NotAQuantity) and number.unit == "%" and number.band and 0 <= number.band.low <= 1:
            place = replace(place, along=round(min(1.0, number.band.nominal), 4))
        else:
            break
        rest = rest[1:]
    return place, rest


def _time_s(draft: Draft, line: Line, token: Token, otherwise: float) -> float:
    number = read_number(token.text)
    if isinstance(number, NotAQuantity) or number.unit not in ("s", ""):
        draft.wrong("number-unit", line.span(token), text=token.text[:40], unit=token.text[:20], allowed="min, s")
    elif number.band is None:
        return otherwise
    elif not number.unit:
        example = f"{token.text[:20]}min"
        draft.wrong("number-bare", line.span(token), text=token.text[:40], example=example, allowed="min, s")
    else:
        return number.band.nominal
    return otherwise
